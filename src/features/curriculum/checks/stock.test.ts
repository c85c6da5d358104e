import { describe, expect, test } from 'vitest';
import {
  aBlockOf,
  aCheckedClass,
  aDrillLike,
  aStationOf,
  byId,
  inShort,
} from '../../../../tests/support/a-checked-plan.ts';
import type { PlanStation } from '../plan-content-schema.ts';
import { checkStock, type Lesson, needsOf } from './stock.ts';

type Piece = PlanStation['setUp']['pieces'][number];
const piece = (apparatusId: string, amount: number, ...orInstead: Piece['orInstead']): Piece => ({
  apparatusId,
  amount,
  job: 'landing',
  forMixedSizes: false,
  orInstead,
});
const roll = aDrillLike({ equipment: [{ apparatusId: 'wedge', amount: 2, fit: null }] });
const plain = aDrillLike();
const drills = byId(roll, plain);
const station = (pieces: Piece[], more: Partial<PlanStation> = {}) =>
  aStationOf([plain], { setUp: { words: '', pieces, staysUp: false, diagram: null }, ...more });

describe('what a block needs at once', () => {
  const needs = (block: ReturnType<typeof aBlockOf>) =>
    needsOf([block], drills)[0]?.map(({ choices: [first] }) => `${first?.amount} ${first?.apparatusId}`);
  test.each([
    ['the apparatus and its pieces', aBlockOf([station([piece('mat', 2)])]), ['1 floor', '2 mat']],
    [
      'side by side, all of it',
      aBlockOf([station([piece('mat', 2)]), station([piece('mat', 1)])]),
      ['1 floor', '2 mat', '1 floor', '1 mat'],
    ],
    [
      'in turn, the most of each kind',
      aBlockOf([station([piece('mat', 2), piece('mat', 2)]), station([piece('mat', 3)], { items: 2 })], {
        stationsRun: 'in-turn',
      }),
      ['2 floor', '4 mat'],
    ],
    ['what its drills need and nobody has set out', aBlockOf([aStationOf([roll])]), ['1 floor', '2 wedge']],
    [
      'not twice what is set out for them',
      aBlockOf([
        aStationOf([roll], {
          setUp: {
            words: '',
            pieces: [piece('block', 1, { apparatusId: 'wedge', amount: 1 })],
            staysUp: false,
            diagram: null,
          },
        }),
      ]),
      ['1 floor', '1 block'],
    ],
  ] as const)('%s', (_, block, found) => expect(needs(block)).toEqual(found));
});

const MATS = [piece('mat', 3)];
const lesson = (blocks: ReturnType<typeof aBlockOf>[], more: Partial<Lesson> = {}): Lesson => ({
  weekday: 1,
  from: 1020,
  to: 1080,
  groups: 1,
  blocks: needsOf(blocks, drills),
  ours: aCheckedClass(),
  ...more,
});
const stock = (inUse: Record<string, number>, out = 0) =>
  new Map(Object.entries(inUse).map(([kind, count]) => [kind, { items: count + out, inUse: count }]));
const check = (inUse: Record<string, number>, ...lessons: Lesson[]) =>
  checkStock([{ name: 'North', stock: stock({ floor: 9, ...inUse }), lessons }], (id) => id);

describe('passes', () => {
  test.each([
    ['three mats of three', { mat: 3 }, [lesson([aBlockOf([station(MATS)])])]],
    ['in one block and then in the next', { mat: 3 }, [lesson([aBlockOf([station(MATS)]), aBlockOf([station(MATS)])])]],
    [
      'another class that begins when it ends, or is on another day',
      { mat: 3 },
      [
        lesson([aBlockOf([station(MATS)])]),
        lesson([aBlockOf([station(MATS)])], { from: 1080, to: 1140, ours: null }),
        lesson([aBlockOf([station(MATS)])], { weekday: 2, ours: null }),
      ],
    ],
    [
      'something else instead, of which enough is left',
      { mat: 2, thin: 6 },
      [lesson([aBlockOf([station([piece('mat', 3, { apparatusId: 'thin', amount: 6 })])])])],
    ],
    [
      'two other classes that are short of what the plan does not need',
      {},
      [lesson([aBlockOf([station([])])]), lesson([aBlockOf([station(MATS)])], { ours: null })],
    ],
  ] as const)('%s', (_, inUse, lessons) => expect(check(inUse, ...lessons)).toEqual([]));
});

describe('breaks', () => {
  test.each([
    ['four mats of three', { mat: 3 }, [lesson([aBlockOf([station([piece('mat', 4)])])])], ['stock 4, at most 3']],
    ['none at all', {}, [lesson([aBlockOf([station(MATS)])])], ['stock 3, at most 0']],
    [
      'with another class at that hour',
      { mat: 5 },
      [lesson([aBlockOf([station(MATS)])]), lesson([aBlockOf([station(MATS)])], { from: 1050, to: 1100, ours: null })],
      ['stock 6, at most 5'],
    ],
    [
      'two groups, each at a block of its own',
      { mat: 5 },
      [lesson([aBlockOf([station(MATS)]), aBlockOf([station([])]), aBlockOf([station(MATS)])], { groups: 2 })],
      ['stock 6, at most 5'],
    ],
    [
      'something else instead, of which the other class has too much',
      { mat: 2, thin: 6 },
      [
        lesson([aBlockOf([station([piece('mat', 3, { apparatusId: 'thin', amount: 6 })])])]),
        lesson([aBlockOf([station([piece('thin', 1)])])], { ours: null }),
      ],
      ['stock 3, at most 2'],
    ],
    [
      'something instead in one block, and nothing in the other',
      { mat: 2, thin: 6 },
      [
        lesson([
          aBlockOf([station([piece('mat', 3, { apparatusId: 'thin', amount: 6 })])]),
          aBlockOf([station([piece('mat', 3)])]),
        ]),
      ],
      ['stock 3, at most 2'],
    ],
    [
      'something instead that would be spent twice',
      { mat: 0, thin: 6 },
      [
        lesson([
          aBlockOf([
            station([
              piece('mat', 1, { apparatusId: 'thin', amount: 4 }),
              piece('mat', 1, { apparatusId: 'thin', amount: 4 }),
            ]),
          ]),
        ]),
      ],
      ['stock 2, at most 0'],
    ],
  ] as const)('%s', (_, inUse, lessons, found) => expect(check(inUse, ...lessons).map(inShort)).toEqual(found));
});

test('what is out of use is told, with every station that needs it', () => {
  const blocks = [
    aBlockOf([station(MATS, { name: 'Rolls' })]),
    aBlockOf([station(MATS, { name: 'Jumps' }), station([])]),
  ];
  const gym = { name: 'North', stock: stock({ mat: 2, floor: 4 }, 1), lessons: [lesson(blocks)] };
  const [found, ...others] = checkStock([gym], () => 'Thick mat');
  expect(others).toEqual([]);
  expect(found?.where).toEqual([
    { pointer: '/blocks/0/stations/0', names: ['Floor', 'Rolls'] },
    { pointer: '/blocks/1/stations/0', names: ['Floor', 'Jumps'] },
  ]);
  expect(found?.sentence).toBe(
    '3 of “Thick mat” are needed at once (“Tumblers”, 17:00 on 2026-09-14); North has 2 in use and 1 out of use.',
  );
});
