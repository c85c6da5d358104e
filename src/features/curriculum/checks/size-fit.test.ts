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
import type { Drill } from '../schema.ts';
import { checkSizeFit, unmeasured } from './size-fit.ts';

// At 96.5 months the CDC growth charts have 118.3 to 137.8 cm (5th percentile of girls to 95th of boys): a shoulder, at
// 0.818 of it, is at 96.8 to 112.7 cm.
type Fit = NonNullable<Drill['equipment'][number]['fit']>;
const sized = (more: Partial<Fit> = {}): Fit => ({
  measure: 'shoulder',
  lowerByCm: 20,
  higherByCm: 5,
  raise: null,
  ...more,
});

function check(cm: number | null, fit: Fit | null, raises: number, months: number[] = [96, 97]) {
  const drill = aDrillLike({ name: 'Over the barrel', equipment: [{ apparatusId: 'barrel', amount: 1, fit }] });
  const raise = {
    apparatusId: 'mat',
    amount: Math.max(1, raises),
    job: 'raise' as const,
    forMixedSizes: true,
    orInstead: [],
  };
  const setUp: PlanStation['setUp'] = { words: '', pieces: raises > 0 ? [raise] : [], staysUp: false, diagram: null };
  const plan = {
    blocks: [aBlockOf([aStationOf([drill], { setUp })])],
    drills: byId(drill),
    classes: [aCheckedClass({ months })],
    apparatus: new Map([
      ['barrel', { name: 'Barrel', heightCm: cm }],
      ['mat', { name: 'Thick mat', heightCm: 20 }],
    ]),
  };
  return { found: checkSizeFit(plan), left: unmeasured(plan) };
}
const under = (what: 'piece' | 'child') => sized({ raise: { apparatusId: 'mat', under: what } });

describe('passes', () => {
  test.each([
    ['a barrel between the tallest less 20 and the smallest and 5 more', 95, sized(), 0],
    ['one that is too low, with a raise for under it', 80, under('piece'), 1],
    ['one that is too high, with a raise for under the child', 120, under('child'), 1],
    ['a piece whose size does not matter', 10, null, 0],
    ['a piece that nobody has measured', null, sized(), 0],
  ] as const)('%s', (_, cm, fit, raises) => expect(check(cm, fit, raises).found).toEqual([]));
});

describe('breaks', () => {
  test.each([
    ['too low for the tallest', 90, sized(), 0],
    ['too high for the smallest', 105, sized(), 0],
    ['too low by more than the raise', 70, under('piece'), 1],
    ['too low, with the raise for under the child', 90, under('child'), 1],
    ['too high by more than the raise', 130, under('child'), 1],
    ['with a raise that the set-up has not', 80, under('piece'), 0],
  ] as const)('%s', (_, cm, fit, raises) =>
    expect(check(cm, fit, raises).found.map(inShort)).toEqual([`size ${cm}, 93 to 102`]),
  );
});

test('a finding names the step, the published heights, and where they come from', () => {
  const [found] = check(70, sized(), 0).found;
  expect(found?.where).toEqual([
    { pointer: '/blocks/0/stations/0/steps/0', names: ['Floor', 'Wedge', 'Over the barrel'] },
  ]);
  expect(found?.sentence).toBe(
    '“Barrel” is 70 cm high; the shoulder is at about 97 to 113 cm in “Tumblers” (North, Monday): at least 93 for the tallest and at most 102 for the smallest, and no raise of the set-up bridges it.',
  );
  expect(found?.source).toContain('CDC');
});

test('for small children it warns that an adult’s share overstates theirs; for stature there is no share', () => {
  expect(check(10, sized(), 0, [50]).found[0]?.sentence).toContain('overstates small children');
  expect(check(10, sized({ measure: 'stature' }), 0, [50]).found[0]?.sentence).not.toContain('overstates');
});

test('where nobody’s age is known nothing is said; what nobody has measured is named', () => {
  expect(check(10, sized(), 0, []).found).toEqual([]);
  expect(check(null, sized(), 0).left).toEqual(['Barrel']);
  expect(check(70, sized(), 0).left).toEqual([]);
});

test('who was measured counts as measured; the published heights stand in for the others', () => {
  const of = (measured: { months: number | null; cm: number }[], months: number[]) => {
    const drill = aDrillLike({ equipment: [{ apparatusId: 'barrel', amount: 1, fit: sized({ measure: 'stature' }) }] });
    return checkSizeFit({
      blocks: [aBlockOf([aStationOf([drill])])],
      drills: byId(drill),
      classes: [aCheckedClass({ months, measured })],
      apparatus: new Map([['barrel', { name: 'Barrel', heightCm: 50 }]]),
    }).map((one) => [inShort(one), one.limitFrom]);
  };
  expect(of([{ months: 96, cm: 120 }], [96])).toEqual([['size 50, 100 to 125', 'recorded']]);
  expect(
    of(
      [
        { months: 96, cm: 120 },
        { months: null, cm: 130 },
      ],
      [96],
    ),
  ).toEqual([['size 50, 110 to 125', 'recorded']]);
  expect(of([{ months: 96, cm: 110 }], [96, 97])).toEqual([['size 50, 118 to 115', 'published']]);
});
