import { describe, expect, test } from 'vitest';
import { aBand, aBlock, aFloor, aRule, atBlock, span } from '../../tests/support/a-floor.ts';
import { applyChange } from './change.ts';
import { headroom } from './headroom.ts';
import { coverOf } from './timeline.ts';
import type { Athlete, Floor, Rule, Unit } from './types.ts';

const AFTERNOON = aBlock({ id: 'afternoon', session: 'first', span: span('17:00-17:20') });
const EVENING = aBlock({ id: 'evening', session: 'second', span: span('19:00-19:20') });
const GYM: Unit = { per: 'premises', id: 'gym' };
const bands = [
  aBand('kindergarten', null, null, 1, { category: 'kindergarten' }),
  aBand('school', null, null, 4, { category: 'school' }),
];

const placed = (block: typeof AFTERNOON, category: string | null): Athlete['at'][number] => ({
  unit: atBlock(block.id),
  span: block.span,
  category,
});
const enrolled: Athlete['enrolled'] = [
  { block: 'afternoon', category: 'school' },
  { block: 'evening', category: 'kindergarten' },
];
const four = Array.from({ length: 4 }, () => ({
  at: [placed(AFTERNOON, 'school'), placed(EVENING, 'kindergarten')],
  enrolled,
}));
const floorUnder = (rule: Partial<Rule>, athletes = four): Floor =>
  aFloor({ blocks: [AFTERNOON, EVENING], athletes, rules: [aRule({ bands, ...rule })] });
const needs = (floor: Floor, unit: Unit) =>
  coverOf(floor, unit).flatMap(({ counts }) => counts.filter(({ load }) => load.n > 0n).map(({ needed }) => needed));

describe('meaning 2: four children who are “school” at 17:00 and “kindergarten” at 19:00 need one coach, then four', () => {
  const atBlocks: [Unit, Unit] = [atBlock('afternoon'), atBlock('evening')];
  const sessions: [Unit, Unit] = [
    { per: 'session', id: 'first' },
    { per: 'session', id: 'second' },
  ];
  test.each<[string, Partial<Rule>, Unit[]]>([
    ['by the block', { per: 'block' }, atBlocks],
    ['by the session', { per: 'session' }, sessions],
    ['by the premises', { per: 'premises' }, [GYM]],
    ['by the block, as enrolled', { per: 'block', agesOf: 'enrolled' }, atBlocks],
    ['by the session, as enrolled', { per: 'session', agesOf: 'enrolled' }, sessions],
    ['by the premises, as enrolled', { per: 'premises', agesOf: 'enrolled' }, [GYM]],
  ])('%s', (_, rule, units) => {
    const floor = floorUnder(rule);
    expect(units.flatMap((unit) => needs(floor, unit))).toEqual([1, 4]);
  });
});

test('a child who waits is in no class: the first band whose ages fit', () => {
  const waiting = [{ at: [{ unit: GYM, span: span('18:00-18:10'), category: null }], enrolled }];
  const counts = coverOf(floorUnder({ per: 'premises' }, waiting), GYM).flatMap((cover) => cover.counts);
  expect(counts.flatMap(({ band }) => band ?? [])).toEqual(['kindergarten']);
});

describe('meaning 7: who is enrolled and absent', () => {
  const absent = { at: [], enrolled: [{ block: 'evening', category: 'kindergarten' }] };
  const present = {
    at: [placed(AFTERNOON, 'school'), placed(EVENING, 'school')],
    enrolled: enrolled.map(({ block }) => ({ block, category: 'school' })),
  };

  test.each<[Rule['agesOf'], string[]]>([
    ['enrolled', ['school', 'kindergarten']],
    ['present', ['school', 'school']],
  ])('governs as what they are in that block, where the ages of those %s do', (agesOf, governing) => {
    const floor = floorUnder({ agesOf }, [present, absent]);
    const found = ['afternoon', 'evening'].flatMap((id) => coverOf(floor, atBlock(id)).flatMap(({ counts }) => counts));
    expect(found.map(({ band }) => band)).toEqual(governing);
  });

  test('from two blocks at once, counts as in the first of them by id, whatever the order of the floor', () => {
    const both = {
      at: [],
      enrolled: [
        { block: 'b', category: 'school' },
        { block: 'a', category: 'kindergarten' },
      ],
    };
    const there = { at: [placed(aBlock({ id: 'a' }), 'school')], enrolled: [] };
    const floor = aFloor({
      blocks: [{ id: 'b' }, { id: 'a' }],
      athletes: [there, both],
      rules: [aRule({ bands, per: 'session', agesOf: 'enrolled' })],
    });
    for (const blocks of [floor.blocks, floor.blocks.toReversed()]) {
      const [cover] = coverOf({ ...floor, blocks }, { per: 'session', id: 'class' });
      expect(cover?.counts[0]?.band).toBe('kindergarten');
    }
  });
});

test('one more like a child is what that child is in the block', () => {
  const floor: Floor = { ...floorUnder({}, []), staff: aFloor({ coaches: 1 }).staff };
  const staff = floor.staff.map((one) => ({
    ...one,
    at: [AFTERNOON, EVENING].map((block) => ({ unit: atBlock(block.id), duty: 'lead' as const, span: block.span })),
  }));
  const [like] = floorUnder({}).athletes as [Athlete];
  expect(['afternoon', 'evening'].map((id) => headroom({ ...floor, staff }, id, like).more)).toEqual([4, 1]);
});

test('when two groups are merged, whoever moves stays what they were', () => {
  const floor = aFloor({
    blocks: [{ id: 'a' }, { id: 'b', group: 'other' }],
    athletes: [
      { in: 'a', category: 'school' },
      { in: 'b', category: 'kindergarten' },
    ],
    rules: [aRule({ bands, agesOf: 'enrolled' })],
  });
  const merged = applyChange(floor, { merge: ['a', 'b'] });
  expect(merged.athletes[1]).toMatchObject({
    at: [{ unit: atBlock('a'), category: 'kindergarten' }],
    enrolled: [{ block: 'a', category: 'kindergarten' }],
  });
  expect(needs(merged, atBlock('a'))).toEqual([2]);
});
