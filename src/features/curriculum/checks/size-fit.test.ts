import fc from 'fast-check';
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
import type { CheckedClass } from './finding.ts';
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
    '“Barrel” is 70 cm high; the shoulder is at about 97 to 113 cm in “Tumblers” (North, Monday): at least 93 for the tall and at most 102 for the small, and no raise of the set-up bridges it. Published heights: fewer than 5 of a class were measured (0 of 8).',
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

describe('recorded heights', () => {
  const heights = (...cm: number[]) => cm.map((one) => ({ months: 96, cm: one }));
  const of = (measured: CheckedClass['measured'], athletes = measured.length, months = Array(athletes).fill(96)) => {
    const drill = aDrillLike({ equipment: [{ apparatusId: 'barrel', amount: 1, fit: sized({ measure: 'stature' }) }] });
    const [found, ...others] = checkSizeFit({
      blocks: [aBlockOf([aStationOf([drill])])],
      drills: byId(drill),
      classes: [aCheckedClass({ months, measured, athletes })],
      apparatus: new Map([['barrel', { name: 'Barrel', heightCm: 50 }]]),
    });
    expect(others).toEqual([]);
    return found && { ...found, classes: [] };
  };
  const inBrief = (found: ReturnType<typeof of>) =>
    found && [inShort(found), found.limitFrom, found.sentence.slice(found.sentence.indexOf('bridges it.') + 12)];

  // Stature at 96 months by the CDC growth charts: 118 to 138 cm. Bounds: 20 below the tall, 5 above the small.
  const few = (measured: number, of: number) => [
    'size 50, 118 to 123',
    'published',
    `Published heights: fewer than 5 of a class were measured (${measured} of ${of}).`,
  ];
  test.each<[string, Parameters<typeof of>, string[]]>([
    ['nobody measured', [[], 8], few(0, 8)],
    ['one measured, who is alone in the class', [heights(120)], few(1, 1)],
    ['four measured of four', [heights(100, 110, 120, 150)], few(4, 4)],
    ['four measured of eight, with ages that nobody knows', [heights(100, 110, 120, 150), 8, [96]], few(4, 8)],
    [
      // Mean 120, standard deviation 7.9: 107 to 133, and outwards 105 to 135.
      'five measured of five: their spread',
      [heights(110, 115, 120, 125, 130)],
      ['size 50, 115 to 110', 'recorded', 'By recorded heights, to 5 cm (5 of 5 measured).'],
    ],
    [
      'of one height: no narrower than 5 cm',
      [heights(120, 120, 120, 120, 120)],
      ['size 50, 105 to 125', 'recorded', 'By recorded heights, to 5 cm (5 of 5 measured).'],
    ],
    [
      'the others of an age that nobody knows: it says how many were measured',
      [heights(110, 115, 120, 125, 130), 8, Array(5).fill(96)],
      ['size 50, 115 to 110', 'recorded', 'By recorded heights, to 5 cm (5 of 8 measured).'],
    ],
    [
      'the others by their ages, which reach further than those who were measured',
      [heights(110, 115, 120, 125, 130), 6],
      [
        'size 50, 118 to 110',
        'published',
        'By recorded heights, to 5 cm, and published ones for the others (5 of 6 measured).',
      ],
    ],
  ])('%s', (_, said, found) => expect(inBrief(of(...said))).toEqual(found));

  test('nobody’s height can be read from a finding: of few any heights give the same one, of more the bounds are in steps', () => {
    const height = fc.integer({ min: 90, max: 170 });
    fc.assert(
      fc.property(
        fc.array(height, { minLength: 1, maxLength: 4 }),
        fc.integer({ min: 4, max: 12 }),
        (some, athletes) => {
          expect(of(heights(...some), athletes)).toEqual(of(heights(...some.map(() => 100)), athletes));
        },
      ),
    );
    fc.assert(
      fc.property(fc.array(height, { minLength: 5, maxLength: 12 }), (all) => {
        const found = of(heights(...all));
        for (const limit of [found?.limit.atLeast, found?.limit.atMost]) expect(Number(limit) % 5).toBe(0);
      }),
    );
  });
});
