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
  type PlanData,
  raise,
  room,
  slope,
  station,
  using,
  warmUp,
} from './plan.ts';
import { ONE_AT_A_TIME } from './plans-little.ts';

/** The third and fourth week of the same. */
export const LITTLE_LATER: PlanData[] = [
  {
    title: 'Little ones: hang and land',
    week: 2,
    programmes: ['toddlers', 'preschool'],
    note: 'Bars for the first time: hold the wrists, not the waist.',
    focus: [
      { on: 'Bars', skills: [['Hang and swing', 'new']], nextWeek: 'Next week the trail instead of the bars.' },
      { on: 'Soft shapes', skills: [['Climbing and crawling', 'returning']], nextWeek: null },
      { on: 'Floor', skills: [['Forward roll', 'new']], nextWeek: 'Next week they show it.' },
    ],
    blocks: [
      warmUp(7, 'Until everybody has frozen on four islands'),
      first(
        block(
          'Bars',
          11,
          'Feet on the spot until the coach says your name.',
          using(
            [landing(1, 'Thick mat'), forMixedSizes(raise(1, 'Low block', [2, 'Thin mat']))],
            station(
              'Bars',
              1,
              'Low bar',
              'Bar at chest height of the smallest, thick mat under it.',
              core('Long hang count', '4 sets of 5 counts'),
              extend('Tuck hang', '3 times', 'Next steps'),
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
            [raise(2, 'Low block'), landing(2, 'Thick mat')],
            station(
              'Soft shapes',
              2,
              'Landing pads',
              'Two small blocks, a thick mat each.',
              core('Jump from the small block', '6 times'),
            ),
          ),
          using(
            [slope(1, 'Wedge'), landing(4, 'Thin mat'), keepBack(2, 'Cone')],
            station(
              'Soft shapes',
              3,
              'Over and under',
              'Tunnel, steps, slope, with a thin mat all round.',
              core('Tunnel and steps', '3 rounds'),
            ),
          ),
        ),
      ),
      block(
        'Floor',
        11,
        'The hill is for one child and one coach.',
        using(
          [slope(1, 'Wedge'), landing(1, 'Thin mat')],
          station(
            'Floor',
            1,
            'The hill',
            'A wedge with a thin mat at its foot.',
            core('Forward roll down a wedge', '4 turns'),
          ),
        ),
        station(
          'Floor',
          1,
          'Bear cave',
          'Two mats as a cave to walk through.',
          core('Bear walk and donkey kick', '3 rounds'),
        ),
      ),
      coolDown(5),
    ],
  },
  {
    title: 'Little ones: show what you know',
    week: 3,
    programmes: ['toddlers', 'preschool'],
    note: 'Nothing new. Let them show you, and write down what you see.',
    focus: [
      {
        on: 'Floor',
        skills: [
          ['Forward roll', 'continuing'],
          ['Rolling sideways', 'returning'],
        ],
        nextWeek: null,
      },
      { on: 'Beam', skills: [['Walking on the beam', 'returning']], nextWeek: null },
    ],
    blocks: [
      warmUp(7, 'The children choose how to travel'),
      first(
        block(
          'Floor',
          11,
          'Rolling goes one way only, towards the window.',
          using(
            [slope(1, 'Wedge'), landing(1, 'Thin mat')],
            station(
              'Floor',
              1,
              'The hill',
              'A wedge with a thin mat at its foot.',
              core('Forward roll down a wedge', '3 turns'),
            ),
          ),
          left(
            room(
              2,
              using(
                [landing(2, 'Long mat', [6, 'Thin mat']), keepBack(2, 'Cone')],
                station(
                  'Floor',
                  2,
                  'Rolling lane',
                  'Two long mats side by side.',
                  core('Log roll along the lines', '2 lengths'),
                  ifTime('Egg roll', '2 times each side'),
                ),
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
            [slope(1, 'Wedge'), raise(1, 'Low block'), landing(2, 'Thick mat'), keepBack(2, 'Cone')],
            station(
              'Soft shapes',
              4,
              'The whole trail',
              'Tunnel, steps, stones and a jump, in a ring.',
              core('Tunnel and steps', '2 rounds'),
              core('Stepping stones', '2 rounds'),
              core('Jump from the small block', '2 times'),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        11,
        'One on each beam; clap for whoever finishes.',
        left(
          using(
            [landing(4, 'Thin mat', [2, 'Thick mat']), keepOff(2, 'Cone')],
            station(
              'Beam',
              2,
              'Low beams',
              'Two low beams end to end, mats touching both sides.',
              core('Forwards and backwards on the low beam', '2 lengths'),
              extend('Stork and star', '2 times each side', 'Next steps'),
            ),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
];
