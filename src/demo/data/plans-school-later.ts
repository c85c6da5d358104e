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
import { BARS_RULE, BEAM_RULE, FLOOR_RULE, VAULT_RULE } from './plans-school.ts';

/** The third and fourth week of the same. */
export const SCHOOL_LATER: PlanData[] = [
  {
    title: 'Recreational: swings and handstands',
    week: 2,
    programmes: ['recreational'],
    note: 'Swings stay small: hips below the bar, and stop when the hands slide.',
    focus: [
      { on: 'Bars', skills: [['Hang and swing', 'continuing']], nextWeek: 'Next week the pullover.' },
      {
        on: 'Floor',
        skills: [
          ['Handstand', 'new'],
          ['Cartwheel', 'continuing'],
        ],
        nextWeek: null,
      },
      { on: 'Beam', skills: [['Balances on the beam', 'returning']], nextWeek: null },
    ],
    blocks: [
      warmUp(8, 'Three rounds, travelling on hands and feet'),
      stretches(5, '25 seconds'),
      first(
        block(
          'Bars',
          14,
          BARS_RULE,
          using(
            [landing(1, 'Thick mat'), keepOff(2, 'Cone')],
            station(
              'Bars',
              1,
              'Swing bar',
              'Bar at reach of the tallest, thick mat well behind it.',
              core('Three small swings', '4 turns'),
            ),
          ),
          using(
            [landing(1, 'Thin mat'), forMixedSizes(raise(1, 'High block', [2, 'Low block']))],
            station(
              'Bars',
              1,
              'Hanging bar',
              'Bar at reach, thin mat.',
              core('Tuck hang', '4 times'),
              ifTime('Long hang count', '15 counts'),
            ),
          ),
        ),
      ),
      inLanes(
        block(
          'Floor',
          14,
          FLOOR_RULE,
          using(
            [landing(3, 'Thin mat')],
            station('Floor', 1, 'Wall', 'Thin mats along the wall.', core('Wall walk to handstand', '4 times')),
          ),
          using(
            [landing(2, 'Long mat')],
            station(
              'Floor',
              2,
              'Bear lane',
              'Two long mats.',
              core('Bear walk and donkey kick', '3 lengths'),
              extend('Cartwheel along a line', '4 times each side', 'Improvers'),
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
                core('Dip steps', '3 lengths'),
                extend('Half turn on tiptoe', '3 times each side', 'Improvers'),
              ),
            ),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
  {
    title: 'Recreational: pullovers and a short routine',
    week: 3,
    programmes: ['recreational'],
    note: 'Pullovers are new; the rest goes into three moves in a row.',
    focus: [
      {
        on: 'Bars',
        skills: [
          ['Pullover', 'new'],
          ['Front support', 'continuing'],
        ],
        nextWeek: null,
      },
      {
        on: 'Floor',
        skills: [
          ['Forward roll', 'returning'],
          ['Cartwheel', 'continuing'],
        ],
        nextWeek: null,
      },
      { on: 'Vault', skills: [['Squat on', 'new']], nextWeek: null },
    ],
    blocks: [
      warmUp(8, 'The children set the travelling, two rounds'),
      stretches(5, '25 seconds'),
      first(
        block(
          'Bars',
          14,
          BARS_RULE,
          using(
            [slope(1, 'Wedge'), landing(1, 'Thick mat')],
            station(
              'Bars',
              1,
              'Slope bar',
              'Low bar, a wedge up to it, thick mat behind.',
              core('Pullover up the slope', '4 turns'),
              extend('Pullover from two feet', '3 turns', 'Confident'),
            ),
          ),
          left(
            using(
              [landing(1, 'Thick mat'), forMixedSizes(raise(1, 'Low block', [2, 'Thin mat']))],
              station('Bars', 1, 'Casting bar', 'Low bar, thick mat.', core('Small casts', '2 sets of 3 times')),
            ),
          ),
        ),
      ),
      inLanes(
        block(
          'Floor',
          14,
          FLOOR_RULE,
          using(
            [landing(3, 'Long mat', [9, 'Thin mat'])],
            station(
              'Floor',
              3,
              'Routine corner',
              'A long mat for each pair.',
              core('Forward roll on the flat', 'In a row of three moves'),
              core('Cartwheel along a line', 'In a row of three moves'),
              ifTime('Quarter, half and full jump turns', 'To finish'),
            ),
          ),
        ),
      ),
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
            core('Squat on to a low block', '4 turns'),
            extend('Squat on, jump off', '3 turns', 'Confident'),
          ),
        ),
      ),
      coolDown(5),
    ],
  },
];
