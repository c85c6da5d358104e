import {
  asCircuit,
  block,
  coolDown,
  core,
  extend,
  first,
  forMixedSizes,
  ifTime,
  keepBack,
  keepOff,
  landing,
  left,
  oneOf,
  type PlanData,
  raise,
  room,
  slope,
  station,
  target,
  using,
  warmUp,
} from './plan.ts';

export const ONE_AT_A_TIME = 'One child on a shape at a time; the next one waits on the dot.';

/** For the little ones: 45 minutes, one thing new a week, and never more than one place that needs a hand. */
export const LITTLE: PlanData[] = [
  {
    title: 'Little ones: roll like a log',
    week: 0,
    programmes: ['toddlers', 'preschool'],
    note: 'One new thing: the log roll. Everything else they know from the summer.',
    focus: [
      { on: 'Floor', skills: [['Rolling sideways', 'new']], nextWeek: 'Next week the roll gets small: eggs.' },
      { on: 'Soft shapes', skills: [['Climbing and crawling', 'continuing']], nextWeek: null },
      { on: 'Beam', skills: [['Walking on the beam', 'continuing']], nextWeek: 'Next week on two beams end to end.' },
    ],
    blocks: [
      warmUp(7, 'Until everybody has visited three islands'),
      first(
        block(
          'Floor',
          11,
          'Rolling goes one way only, towards the window.',
          left(
            room(
              2,
              using(
                [landing(2, 'Long mat', [6, 'Thin mat']), keepBack(2, 'Cone')],
                station(
                  'Floor',
                  2,
                  'Rolling lane',
                  'Two long mats side by side, taped lines as the edges of the road.',
                  core('Log roll along the lines', '3 lengths'),
                  extend('Egg roll', '3 times each side', 'Next steps'),
                ),
              ),
            ),
          ),
          room(
            4,
            using(
              [target(4, 'Spot')],
              station(
                'Floor',
                1,
                'Shape corner',
                'Four picture cards on the wall.',
                core('Follow my shape', 'Each card twice'),
              ),
            ),
          ),
        ),
      ),
      asCircuit(
        block(
          'Play corner',
          11,
          ONE_AT_A_TIME,
          using(
            [slope(1, 'Wedge'), landing(4, 'Thin mat'), keepBack(2, 'Cone')],
            station(
              'Soft shapes',
              3,
              'Over and under',
              'Tunnel, steps, slope, with a thin mat all round.',
              oneOf(
                ['Tunnel and steps', 'Stepping stones'],
                'Crawlers take the tunnel; those who step over take the stones',
                '4 rounds',
              ),
              ifTime('Stepping stones', '2 rounds'),
            ),
          ),
          using(
            [raise(1, 'Low block'), landing(1, 'Thick mat', [3, 'Thin mat']), target(1, 'Spot')],
            station(
              'Soft shapes',
              1,
              'First jumps',
              'One small block, a thick mat to land on.',
              core('Jump from the small block', '5 times'),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        11,
        'One on each beam; step off when somebody comes the other way.',
        using(
          [keepBack(1, 'Cone')],
          station(
            'Beam',
            1,
            'Floor line',
            'A taped line beside the low beam.',
            core('Heel to toe on the floor line', '3 lengths'),
          ),
        ),
        left(
          using(
            [landing(2, 'Thin mat'), forMixedSizes(raise(1, 'Low block')), keepOff(2, 'Cone')],
            station(
              'Beam',
              1,
              'Low beam',
              'The lowest beam, mats on both sides touching it.',
              core('Forwards and backwards on the low beam', '2 lengths, a hand to hold'),
            ),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
  {
    title: 'Little ones: tip and tuck',
    week: 1,
    programmes: ['toddlers', 'preschool'],
    note: 'The barrel is new. Hands reach the mat before feet leave the floor, every time.',
    focus: [
      {
        on: 'Floor',
        skills: [
          ['Rolling sideways', 'continuing'],
          ['Body shapes', 'returning'],
        ],
        nextWeek: 'Next week we leave the rolling alone.',
      },
      { on: 'Soft shapes', skills: [['Tipping over safely', 'new']], nextWeek: 'Next week jumps in its place.' },
      {
        on: 'Beam',
        skills: [
          ['Walking on the beam', 'continuing'],
          ['Balances on the beam', 'new'],
        ],
        nextWeek: null,
      },
    ],
    blocks: [
      warmUp(7, 'Until everybody has led the way to one island'),
      block(
        'Floor',
        11,
        'Rolling goes one way only, towards the window.',
        using(
          [landing(2, 'Long mat', [6, 'Thin mat']), keepBack(2, 'Cone')],
          station(
            'Floor',
            2,
            'Egg lane',
            'Two long mats side by side.',
            oneOf(['Egg roll', 'Log roll along the lines'], 'By whether the knees stay tucked', '3 times each side'),
            extend('Rock and stand', '5 times', 'Next steps'),
          ),
        ),
        room(
          4,
          using(
            [target(4, 'Spot')],
            station(
              'Floor',
              1,
              'Shape corner',
              'Four picture cards on the wall, new ones.',
              core('Follow my shape', 'Each card twice'),
            ),
          ),
        ),
      ),
      asCircuit(
        first(
          block(
            'Play corner',
            11,
            ONE_AT_A_TIME,
            using(
              [landing(1, 'Thick mat'), keepOff(2, 'Cone')],
              station(
                'Soft shapes',
                1,
                'The barrel',
                'A low barrel against the wall, thick mat in front.',
                core('Tip over the barrel', '4 turns'),
              ),
            ),
            using(
              [target(6, 'Spot'), landing(2, 'Thin mat')],
              station(
                'Soft shapes',
                3,
                'Stones',
                'Six stones in a curve, an arm’s length apart.',
                core('Stepping stones', '3 rounds'),
              ),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        11,
        'One on each beam; step off when somebody comes the other way.',
        left(
          using(
            [landing(4, 'Thin mat', [2, 'Thick mat']), keepOff(2, 'Cone')],
            station(
              'Beam',
              2,
              'Low beams',
              'Two low beams end to end, mats touching both sides.',
              core('Forwards and backwards on the low beam', '3 lengths'),
              extend('Stork and star', '3 times each side', 'Next steps'),
            ),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
];
