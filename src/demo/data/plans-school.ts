import {
  block,
  coolDown,
  core,
  extend,
  first,
  forMixedSizes,
  ifTime,
  inLanes,
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
  stretches,
  target,
  using,
  warmUp,
} from './plan.ts';

export const BARS_RULE = 'Chalk, grip, look: nobody starts before the coach is at the bar.';
export const VAULT_RULE = 'The next runner goes when the landing mat is empty and the coach’s arm is down.';
export const BEAM_RULE = 'One on each beam. Feet first if you lose it; sit, then step off.';
export const FLOOR_RULE = 'Everybody moves the same way across the floor and walks back along the edge.';

/** For the recreational groups: an hour of three apparatus, with easier and harder in every place. */
export const SCHOOL: PlanData[] = [
  {
    title: 'Recreational: rolls and front supports',
    week: 0,
    programmes: ['recreational'],
    note: 'Front supports are new on the bars. A box under the feet of whoever cannot reach.',
    focus: [
      {
        on: 'Floor',
        skills: [
          ['Forward roll', 'continuing'],
          ['Backward roll', 'new'],
        ],
        nextWeek: 'Next week cartwheels instead.',
      },
      {
        on: 'Bars',
        skills: [
          ['Front support', 'new'],
          ['Hang and swing', 'continuing'],
        ],
        nextWeek: 'In two weeks it swings.',
      },
      {
        on: 'Beam',
        skills: [
          ['Walking on the beam', 'continuing'],
          ['Balances on the beam', 'continuing'],
        ],
        nextWeek: 'Next week little jumps.',
      },
    ],
    blocks: [
      warmUp(8, 'Three rounds, each faster than the last'),
      stretches(5, '20 seconds'),
      inLanes(
        block(
          'Floor',
          14,
          FLOOR_RULE,
          left(
            using(
              [slope(1, 'Wedge'), landing(1, 'Thin mat'), keepBack(2, 'Cone')],
              station(
                'Floor',
                1,
                'Wedge',
                'One wedge, thin mat at its foot.',
                core('Forward roll down a wedge', '4 turns'),
                extend('Backward roll down a wedge', '4 turns', 'Improvers'),
              ),
            ),
          ),
          room(
            4,
            using(
              [landing(2, 'Long mat', [6, 'Thin mat'])],
              station(
                'Floor',
                2,
                'Flat lane',
                'Two long mats end to end.',
                core('Rock and stand', '6 times'),
                extend('Forward roll on the flat', '4 times', 'Improvers'),
              ),
            ),
          ),
        ),
      ),
      first(
        block(
          'Bars',
          14,
          BARS_RULE,
          using(
            [landing(1, 'Thick mat', [3, 'Thin mat']), forMixedSizes(raise(1, 'Low block'))],
            station(
              'Bars',
              1,
              'Support bar',
              'Low bar, thick mat; a box to climb on for the small ones.',
              core('Front support hold', '5 holds'),
              extend('Small casts', '2 sets of 3 times', 'Improvers'),
            ),
          ),
          using(
            [landing(1, 'Thin mat'), forMixedSizes(raise(1, 'High block', [2, 'Low block']))],
            station(
              'Bars',
              1,
              'Hanging bar',
              'Bar at reach, thin mat.',
              oneOf(['Long hang count', 'Tuck hang'], 'By whether the shoulders stay quiet', '3 sets of 10 counts'),
              ifTime('Tuck hang', '3 times'),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        14,
        BEAM_RULE,
        left(
          room(
            4,
            using(
              [landing(4, 'Thin mat', [2, 'Thick mat']), keepOff(2, 'Cone')],
              station(
                'Beam',
                2,
                'Low beams',
                'Two low beams, mats touching both sides.',
                core('Forwards and backwards on the low beam', '3 lengths'),
                extend('Dip steps', '2 lengths', 'Improvers'),
              ),
            ),
          ),
        ),
        using(
          [landing(2, 'Thin mat')],
          station('Beam', 1, 'Balances', 'One floor beam.', core('Stork and star', '3 times each side')),
        ),
      ),
      coolDown(5),
    ],
  },
  {
    title: 'Recreational: take-offs and balances',
    week: 1,
    programmes: ['recreational'],
    note: 'Two-foot take-offs are new. Nobody runs from further back than the second cone.',
    focus: [
      { on: 'Vault', skills: [['Two-foot take-off', 'new']], nextWeek: 'In two weeks the squat on.' },
      {
        on: 'Beam',
        skills: [
          ['Jumps on the beam', 'new'],
          ['Balances on the beam', 'continuing'],
        ],
        nextWeek: 'Next week dip steps.',
      },
      {
        on: 'Floor',
        skills: [
          ['Cartwheel', 'new'],
          ['Jumps and landings', 'continuing'],
        ],
        nextWeek: 'Next week upside down at the wall.',
      },
    ],
    blocks: [
      warmUp(8, 'Three rounds; on the third, land with a quarter turn'),
      stretches(5, '20 seconds'),
      first(
        block(
          'Vault',
          14,
          VAULT_RULE,
          using(
            [raise(1, 'Board'), target(1, 'Low block'), landing(1, 'Thick mat'), keepBack(3, 'Cone')],
            station(
              'Vault',
              1,
              'Board and block',
              'Board, a low block, thick mat behind; cones to keep others back.',
              core('Punch to a straight jump', '4 turns'),
              extend('Squat on to a low block', '4 turns', 'Improvers'),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        14,
        BEAM_RULE,
        left(
          using(
            [landing(2, 'Thin mat'), forMixedSizes(raise(1, 'Low block')), keepOff(2, 'Cone')],
            station(
              'Beam',
              1,
              'Low beam',
              'Low beam, mats touching both sides.',
              core('Little jumps on the low beam', '2 lengths'),
              ifTime('Tuck jump off the end', '3 turns'),
            ),
          ),
        ),
        using(
          [landing(2, 'Thin mat')],
          station(
            'Beam',
            2,
            'Turning beams',
            'Two floor beams.',
            oneOf(['Stork and star', 'Dip steps'], 'By who can count to three on one leg', '2 times each side'),
            extend('Half turn on tiptoe', '4 turns', 'Improvers'),
          ),
        ),
      ),
      inLanes(
        block(
          'Floor',
          14,
          FLOOR_RULE,
          using(
            [target(1, 'Low block', [3, 'Spot']), keepBack(2, 'Cone')],
            station(
              'Floor',
              2,
              'Cartwheel lane',
              'Taped line, a low block half-way.',
              core('Side steps over a block', '6 times each side'),
              extend('Cartwheel along a line', '4 times each side', 'Improvers'),
            ),
          ),
          room(
            2,
            using(
              [raise(1, 'Low block'), landing(1, 'Thick mat'), target(1, 'Spot')],
              station(
                'Floor',
                1,
                'Landings',
                'A block at knee height, thick mat.',
                core('Freeze landings', '6 times'),
                ifTime('Quarter, half and full jump turns', '4 times'),
              ),
            ),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
];
