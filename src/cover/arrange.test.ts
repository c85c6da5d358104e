import { describe, expect, test } from 'vitest';
import {
  aBand,
  aFloor,
  aRule,
  aStation,
  atBlock,
  counting,
  holding,
  holds,
  spotted,
} from '../../tests/support/a-floor.ts';
import { MOST_STEPS } from './arrange.ts';
import { coverOf } from './timeline.ts';
import { MOST_CHOICES } from './trainees.ts';
import type { Cover, Floor, Rule, Test } from './types.ts';

const coverAt = (floor: Floor): Cover => coverOf(floor, atBlock('beam'))[0] as Cover;
const named = (n: number, prefix: string) => `${prefix}${String(n).padStart(2, '0')}`;
const times = <T>(n: number, one: (i: number) => T): T[] => Array.from({ length: n }, (_, i) => one(i));

/** Every coach may spot everywhere, nobody counts meanwhile, and there are too few whatever is tried. */
function crowd({ stations, staff, children = 0 }: { stations: number; staff: number; children?: number }) {
  let looks = 0;
  const counts = [counting({ test: 'duty', in: ['lead'] }), counting({ test: 'duty', in: ['assist'] }, '1/2')];
  const rule: Rule = {
    ...aRule({ bands: [aBand('any', null, null, 1)] }),
    get whileSpotting() {
      looks += 1;
      return 'does-not-count' as const;
    },
    counts,
  };
  const anyOf = times(staff, (i) => named(i, 'coach-'));
  const floor = aFloor({
    athletes: [...times(60, () => ({})), ...times(children, () => ({ support: { anyOf } }))],
    stations: times(stations, (i) => aStation(named(i, 'v'), spotted())),
    coaches: times(staff, (i) => ({ duty: i % 2 === 0 ? 'lead' : 'assist', holds: holding('spotter') })),
    rules: [rule],
  });
  return { floor, looks: () => looks };
}

describe('a hall with more ways to arrange it than can be tried', () => {
  test.each<[string, Parameters<typeof crowd>[0]]>([
    ['twelve stations, fourteen who spot', { stations: 12, staff: 14 }],
    ['twelve stations, thirty who spot: 86 million sets', { stations: 12, staff: 30 }],
    ['and eight children with a helper each, out of thirty', { stations: 12, staff: 30, children: 8 }],
  ])('takes a bounded number of steps: %s', (_, size) => {
    const { floor, looks } = crowd(size);
    const cover = coverAt(floor);
    // Each coach, for each set of hands that is weighed, and once more for each way to help that is looked into.
    const weighed = MOST_STEPS + 3 * 200;
    expect(looks()).toBeGreaterThan(0);
    expect(looks()).toBeLessThan(weighed * size.staff);
    expect(cover.covered).toBe(false);
    expect(cover.spotters).toHaveLength(size.stations);
  });

  test('is always arranged the same, whatever the order in which people and rules are listed', () => {
    const { floor } = crowd({ stations: 12, staff: 24, children: 2 });
    const again = { ...floor, staff: floor.staff.toReversed(), athletes: floor.athletes.toReversed() };
    expect(coverAt(again).spotters).toEqual(coverAt(floor).spotters);
    expect(coverAt(again).findings).toEqual(coverAt(floor).findings);
  });

  test('errs on the strict side: it may miss the set that would do, and tells a set that can be had', () => {
    // The leads come first by id; only if the last twelve of thirty spot, and not they, do the shares come to the load.
    const floor = aFloor({
      athletes: 18,
      stations: times(12, (i) => aStation(named(i, 'v'), spotted())),
      coaches: times(30, (i) => ({ duty: i < 18 ? 'lead' : 'assist', holds: holding('spotter') })),
      rules: [
        aRule({
          bands: [aBand('any', null, null, 1)],
          counts: [counting({ test: 'duty', in: ['lead'] })],
          whileSpotting: 'does-not-count',
        }),
      ],
    });
    const { covered, spotters, counts } = coverAt(floor);
    expect(covered).toBe(false);
    const leadsLeft = 18 - spotters.filter(({ person }) => person < 'coach-18').length;
    expect(counts[0]?.counted).toEqual({ n: BigInt(leadsLeft), d: 1n });
  });

  test('six stations among twelve who spot are tried to the end', () => {
    const floor = aFloor({
      athletes: 6,
      stations: times(6, (i) => aStation(named(i, 'v'), spotted())),
      coaches: times(12, (i) => ({ duty: i < 6 ? 'lead' : 'assist', holds: holding('spotter') })),
      rules: [
        aRule({
          bands: [aBand('any', null, null, 1)],
          counts: [counting({ test: 'duty', in: ['lead'] })],
          whileSpotting: 'does-not-count',
        }),
      ],
    });
    expect(coverAt(floor)).toMatchObject({ covered: true });
    expect(coverAt(floor).spotters.map(({ person }) => person)).toEqual(times(6, (i) => named(i + 6, 'coach-')));
  });
});

describe('more supervisors than can be tried', () => {
  test('each takes one of three mixes: a bounded number of choices', () => {
    let looks = 0;
    const trainee: Test = {
      test: 'holds',
      grade: 1,
      get kind() {
        looks += 1;
        return 'trainee';
      },
    };
    const anyOf = [[{ who: trainee, max: 1 }], [{ who: holds('nobody'), max: 2 }], [{ who: trainee, max: 2 }]];
    const [bosses, trainees] = [14, 30];
    const floor = aFloor({
      athletes: 1,
      coaches: [
        ...times(bosses, () => ({ holds: holding('boss') })),
        ...times(trainees, () => ({ duty: 'assist' as const, holds: holding('trainee') })),
      ],
      rules: [aRule({ supervision: [{ supervisor: holds('boss'), anyOf }] })],
    });
    const { findings } = coverAt(floor);
    expect(looks).toBeLessThan((MOST_CHOICES + 10) * bosses * trainees * 2);
    // The first choices leave most with one each; all with two would still leave two of thirty.
    expect(findings.map(({ code }) => code)).toEqual(['supervision']);
    expect(findings[0]?.subjects.length).toBeGreaterThanOrEqual(2);
  });
});
