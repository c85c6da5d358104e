import {
  type BlockData,
  block,
  coolDown,
  core,
  extend,
  first,
  forMixedSizes,
  ifTime,
  inTurn,
  keepBack,
  keepOff,
  landing,
  left,
  oneOf,
  type PlanData,
  raise,
  room,
  station,
  stretches,
  target,
  using,
  warmUp,
} from './plan.ts';

export const conditioning = (dose: string): BlockData => ({
  title: 'Conditioning',
  activity: 'conditioning',
  minutes: 10,
  formation: 'stations',
  importance: 3,
  classRule: 'Stop when the shape goes; a good half beats a bad whole.',
  stationsRun: 'in-turn',
  stations: [
    room(
      8,
      using(
        [landing(8, 'Thin mat')],
        station(
          'Floor',
          1,
          'On the floor',
          'A mat each.',
          core('Dish and banana rocks', dose),
          ifTime('Bear walk and donkey kick', '2 lengths'),
        ),
      ),
    ),
  ],
});

/** For the development groups: an hour and a half, four apparatus and strength; a lead and somebody beside. */
export const DEVELOPMENT: PlanData[] = [
  {
    title: 'Development: casts and squats',
    week: 0,
    programmes: ['development'],
    note: 'Casts before circles. Whoever bends the arms goes back to small casts.',
    focus: [
      {
        on: 'Bars',
        skills: [
          ['Front support', 'continuing'],
          ['Hip circle', 'new'],
        ],
        nextWeek: 'Next week back to the pullover.',
      },
      { on: 'Beam', skills: [['Inverted on the beam', 'new']], nextWeek: 'Next week cartwheels on it.' },
      { on: 'Vault', skills: [['Squat on', 'continuing']], nextWeek: null },
      { on: 'Floor', skills: [['Handstand', 'continuing']], nextWeek: 'Next week backwards, over the barrel.' },
    ],
    waterBefore: 'Vault',
    blocks: [
      warmUp(10, 'Four rounds, the last one backwards'),
      stretches(7, '30 seconds'),
      first(
        block(
          'Bars',
          15,
          'Coach at the bar before hands on the bar.',
          left(
            using(
              [landing(1, 'Thick mat'), forMixedSizes(raise(1, 'Low block', [2, 'Thin mat']))],
              station(
                'Bars',
                1,
                'Casting bar',
                'Low bar, thick mat.',
                core('Small casts', '3 sets of 4 times'),
                extend('Cast to hip circle', '4 turns', 'Second stage'),
              ),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        14,
        'One on each beam.',
        using(
          [landing(2, 'Thin mat')],
          station(
            'Beam',
            1,
            'Floor beam',
            'Floor beam, mats on both sides.',
            core('Handstand on the floor beam', '5 turns'),
          ),
        ),
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
                oneOf(['Half turn on tiptoe', 'Dip steps'], 'By whether the heels stay up', '4 times each side'),
              ),
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
            core('Squat on, jump off', '5 turns'),
            extend('Straddle over the buck', '3 turns', 'Second stage'),
          ),
        ),
      ),
      block(
        'Floor',
        15,
        'Along the diagonal, back along the edge.',
        using(
          [landing(1, 'Thick mat')],
          station(
            'Floor',
            1,
            'Handstand mat',
            'Thick mat, a line to kick along.',
            core('Kick to handstand', '6 turns'),
          ),
        ),
        room(
          6,
          using(
            [landing(6, 'Thin mat')],
            station('Floor', 1, 'Bridges', 'A mat each.', core('Bridge and rock', '5 times')),
          ),
        ),
      ),
      conditioning('3 sets of 10 times'),
      coolDown(5),
    ],
  },
  {
    title: 'Development: going backwards',
    week: 1,
    programmes: ['development'],
    note: 'The barrel is back. Check its height against the shortest first, and raise the child, not the barrel.',
    focus: [
      { on: 'Floor', skills: [['Back handspring', 'new']], nextWeek: 'Not next week: it needs a rest.' },
      {
        on: 'Bars',
        skills: [
          ['Pullover', 'returning'],
          ['Hip circle', 'continuing'],
        ],
        nextWeek: null,
      },
      {
        on: 'Beam',
        skills: [
          ['Inverted on the beam', 'continuing'],
          ['Balances on the beam', 'returning'],
        ],
        nextWeek: null,
      },
      {
        on: 'Vault',
        skills: [
          ['Handstand flat-back', 'new'],
          ['Two-foot take-off', 'continuing'],
        ],
        nextWeek: 'Next week the two together.',
      },
    ],
    waterBefore: 'Beam',
    blocks: [
      warmUp(10, 'Four rounds, the last one backwards'),
      stretches(7, '30 seconds'),
      first(
        block(
          'Floor',
          15,
          'Nobody goes at the barrel before the coach says so.',
          using(
            [landing(4, 'Thick mat'), target(1, 'Barrel'), forMixedSizes(raise(2, 'Thin mat'))],
            station(
              'Floor',
              1,
              'The barrel',
              'Barrel at sitting height, thick mats all round, one end against the wall.',
              core('Back handspring over a barrel', '5 turns'),
            ),
          ),
          room(
            6,
            using(
              [landing(6, 'Thin mat')],
              station(
                'Floor',
                1,
                'Bridges',
                'A mat each.',
                oneOf(
                  ['Bridge and rock', 'Dish and banana rocks'],
                  'By shoulders: no bridge until the arms go straight',
                  '5 times',
                ),
              ),
            ),
          ),
        ),
      ),
      block(
        'Bars',
        15,
        'Coach at the bar before hands on the bar.',
        left(
          using(
            [landing(1, 'Thick mat'), forMixedSizes(raise(1, 'Low block'))],
            station(
              'Bars',
              1,
              'Pullover bar',
              'Bar at chest height, thick mat.',
              core('Pullover from two feet', '4 turns'),
              extend('Cast to hip circle', '4 turns', 'Second stage'),
            ),
          ),
        ),
      ),
      block(
        'Beam',
        14,
        'One on each beam.',
        using(
          [landing(2, 'Thin mat')],
          station(
            'Beam',
            1,
            'Floor beam',
            'Floor beam, mats on both sides.',
            core('Cartwheel on the floor beam', '5 turns'),
          ),
        ),
        left(
          room(
            4,
            using(
              [landing(4, 'Thin mat', [2, 'Thick mat']), keepOff(2, 'Cone')],
              station('Beam', 2, 'Low beams', 'Two low beams, mats touching.', core('Dip steps', '4 lengths')),
            ),
          ),
        ),
      ),
      inTurn(
        block(
          'Vault',
          14,
          'The coach’s arm starts you.',
          using(
            [landing(4, 'Thick mat'), forMixedSizes(raise(1, 'Low block'))],
            station('Vault', 1, 'Stack', 'Mats stacked to chest height.', core('Fall flat from handstand', '4 turns')),
          ),
          using(
            [raise(1, 'Board'), landing(4, 'Thick mat'), keepBack(2, 'Cone')],
            station('Vault', 1, 'Board', 'Board and the same stack.', core('Three steps and punch', '4 turns')),
          ),
        ),
      ),
      conditioning('3 sets of 12 times'),
      coolDown(5),
    ],
  },
];
