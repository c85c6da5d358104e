import {
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
  stretches,
  target,
  using,
  warmUp,
} from './plan.ts';
import { conditioning } from './plans-development.ts';

/** The third and fourth week of the same. */
export const DEVELOPMENT_LATER: PlanData[] = [
  {
    title: 'Development: over and round',
    week: 2,
    programmes: ['development'],
    note: 'Flat backs for all on the stack. Count the landings that are tight.',
    focus: [
      { on: 'Vault', skills: [['Handstand flat-back', 'continuing']], nextWeek: null },
      {
        on: 'Bars',
        skills: [
          ['Hip circle', 'continuing'],
          ['Hang and swing', 'returning'],
        ],
        nextWeek: null,
      },
      {
        on: 'Floor',
        skills: [
          ['Backward roll', 'returning'],
          ['Cartwheel', 'continuing'],
        ],
        nextWeek: 'Next week short routines.',
      },
      { on: 'Beam', skills: [['Jumps on the beam', 'returning']], nextWeek: null },
    ],
    waterBefore: 'Floor',
    blocks: [
      warmUp(10, 'Four rounds, in pairs'),
      stretches(7, '30 seconds'),
      first(
        block(
          'Vault',
          15,
          'The coach’s arm starts you.',
          using(
            [landing(4, 'Thick mat'), forMixedSizes(raise(1, 'Low block'))],
            station('Vault', 1, 'Stack', 'Board, mats stacked to chest height.', core('Vault to flat back', '5 turns')),
          ),
        ),
      ),
      block(
        'Bars',
        15,
        'Coach at the bar before hands on the bar.',
        using(
          [landing(1, 'Thick mat')],
          station('Bars', 1, 'Circle bar', 'Low bar, thick mat.', core('Cast to hip circle', '5 turns')),
        ),
        using(
          [landing(1, 'Thin mat'), forMixedSizes(raise(1, 'High block', [2, 'Low block']))],
          station('Bars', 1, 'Hanging bar', 'Bar at reach.', core('Tuck hang', '5 times')),
        ),
      ),
      block(
        'Floor',
        14,
        'Along the diagonal, back along the edge.',
        left(
          using(
            [slope(1, 'Wedge'), landing(1, 'Thin mat'), keepBack(2, 'Cone')],
            station(
              'Floor',
              1,
              'Wedge',
              'One wedge, thin mat at its foot.',
              core('Backward roll to straddle', '5 turns'),
            ),
          ),
        ),
        using(
          [target(4, 'Spot'), keepBack(2, 'Cone')],
          station('Floor', 2, 'Lines', 'Two taped lines.', core('Cartwheel along a line', '5 times each side')),
        ),
      ),
      block(
        'Beam',
        14,
        'One on each beam.',
        left(
          room(
            4,
            using(
              [landing(4, 'Thin mat', [2, 'Thick mat']), keepOff(2, 'Cone')],
              station(
                'Beam',
                2,
                'Low beams',
                'Two low beams, mats touching.',
                core('Little jumps on the low beam', '3 lengths'),
                core('Tuck jump off the end', '3 turns'),
              ),
            ),
          ),
        ),
      ),
      conditioning('4 sets of 10 times'),
      coolDown(5),
    ],
  },
  {
    title: 'Development: short routines',
    week: 3,
    programmes: ['development'],
    note: 'Short routines: three moves each, judged by one another.',
    focus: [
      { on: 'Beam', skills: [['Inverted on the beam', 'continuing']], nextWeek: null },
      {
        on: 'Floor',
        skills: [
          ['Cartwheel', 'returning'],
          ['Turns', 'continuing'],
        ],
        nextWeek: null,
      },
      {
        on: 'Bars',
        skills: [
          ['Pullover', 'continuing'],
          ['Hip circle', 'continuing'],
        ],
        nextWeek: null,
      },
      { on: 'Vault', skills: [['Squat on', 'continuing']], nextWeek: null },
    ],
    waterBefore: 'Bars',
    blocks: [
      warmUp(10, 'Three rounds, each with a new turn'),
      stretches(7, '30 seconds'),
      first(
        block(
          'Beam',
          15,
          'One on each beam; the others count.',
          using(
            [landing(2, 'Thin mat')],
            station(
              'Beam',
              1,
              'Floor beam',
              'Floor beam, mats on both sides.',
              core('Cartwheel on the floor beam', '3 turns'),
              core('Half turn on tiptoe', '3 turns'),
            ),
          ),
        ),
      ),
      block(
        'Floor',
        15,
        'One routine at a time.',
        station(
          'Floor',
          2,
          'Routine square',
          'Half the floor.',
          core('Cartwheel along a line', 'In the routine'),
          core('Quarter, half and full jump turns', 'In the routine'),
          ifTime('Forward roll on the flat', 'In the routine'),
        ),
      ),
      block(
        'Bars',
        14,
        'Coach at the bar before hands on the bar.',
        left(
          using(
            [landing(1, 'Thick mat'), forMixedSizes(raise(1, 'Low block'))],
            station(
              'Bars',
              1,
              'Pullover bar',
              'Bar at chest height, thick mat.',
              core('Pullover from two feet', 'Then 3 casts'),
              extend('Cast to hip circle', 'To finish', 'Second stage'),
            ),
          ),
        ),
      ),
      block(
        'Vault',
        14,
        'The coach’s arm starts you.',
        using(
          [raise(1, 'Board'), target(1, 'High block'), landing(2, 'Thick mat'), keepBack(2, 'Cone')],
          station(
            'Vault',
            1,
            'Block',
            'Board, block at hip height, thick mats behind.',
            core('Straddle over the buck', '4 turns'),
          ),
        ),
      ),
      conditioning('3 sets of 15 times'),
      coolDown(5),
    ],
  },
];
