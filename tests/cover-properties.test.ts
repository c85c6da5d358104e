import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { coverTimeline, headroom, narrowed, uncoveredBlocks } from '../src/cover/index.ts';
import type { Band, Cover, Floor, Fraction, Unit } from '../src/cover/types.ts';
import { ANYONE, aBand, aFloor, aRule } from './support/a-floor.ts';
import { arbitraryFloor } from './support/arbitrary-floor.ts';
import { judgeAlone, judgeAt, judgeHeadroom, judgeUncovered } from './support/judge.ts';
import { fraction, less, minus, over, whole, within, written } from './support/judge-facts.ts';

/** The same floors on every run; more of them, or others, with FC_RUNS and FC_SEED. */
const seed = Number(process.env.FC_SEED || 20260312);
const runs = (most: number) => ({ seed, numRuns: Number(process.env.FC_RUNS || most) });

function unitsOf(floor: Floor): Unit[] {
  return [
    ...floor.blocks.map((block): Unit => ({ per: 'block', id: block.id })),
    ...[...new Set(floor.blocks.map((block) => block.session))].map((id): Unit => ({ per: 'session', id })),
    { per: 'premises', id: floor.gym },
  ];
}

type Answer = Pick<Cover, 'covered'> & {
  findings: { code: string; rule: string | null; short: Fraction; subjects: { what: string; id: string }[] }[];
  counts: { rule: string; load: Fraction; counted: Fraction; needed: number; met: boolean }[];
};

/** What both must agree on, in words that show the difference. A rule that asks nothing may say so or be silent. */
const inWords = ({ covered, findings, counts }: Answer) => ({
  covered,
  findings: findings
    .map(({ code, rule, short, subjects }) => {
      const who = subjects.map((one) => `${one.what} ${one.id}`).sort();
      return `${code} by ${written(short)} under ${rule}: ${who.join(', ')}`;
    })
    .sort(),
  counts: counts
    .filter(({ load }) => load.n > 0n)
    .map((one) => `${one.rule}: ${written(one.counted)} of ${written(one.load)}, needs ${one.needed}, met ${one.met}`)
    .sort(),
});

const nothing = { covered: true, findings: [], counts: [] };

function coverAt(timeline: Cover[], unit: Unit, moment: number): Answer {
  const there = timeline.filter(
    (one) => one.unit.per === unit.per && one.unit.id === unit.id && within(moment, one.span),
  );
  expect(there.length, 'segments of one unit never overlap').toBeLessThanOrEqual(1);
  return there[0] ?? nothing;
}

const loadOf = (floor: Floor): Fraction => coverTimeline(floor)[0]?.counts[0]?.load ?? whole(0);
const byJson = (a: unknown, b: unknown): number => (inJson(a) < inJson(b) ? -1 : 1);
const inJson = (value: unknown): string =>
  JSON.stringify(value, (_, part: unknown) => (typeof part === 'bigint' ? `${part}` : part));

/** "From memory", derived: the table is the NSPCC/CPSU recommended minimum (undated web page), silent on mixed ages. */
test.each([
  ['youngest', 4],
  ['each-band', 4],
  ['proportional', 3],
  ['fill', 3],
  ['majority', 2],
] as const)('the judge itself: one class of sixteen, by %s, needs %i', (method, needed) => {
  const bands = [
    aBand('under 2', null, 2, 3),
    aBand('2-3', 2, 4, 4),
    aBand('4-8', 4, 9, 6),
    aBand('9-12', 9, 13, 8),
    aBand('13-18', 13, 19, 10),
  ];
  const years = [3, ...Array<number>(7).fill(6), ...Array<number>(8).fill(9)];
  const floor = aFloor({
    athletes: years.map((one) => ({ years: one })),
    rules: [aRule({ bands, mixed: { method } })],
  });
  expect(judgeAt(floor, unitsOf(floor)[0] as Unit, floor.over.from).counts[0]?.needed).toBe(needed);
});

/** Minute by minute, with `covered` the unit's own; how block, session and premises join is a test of its own. */
function expectTheSame(floor: Floor): void {
  const timeline = coverTimeline(floor);
  for (const unit of unitsOf(floor)) {
    const block = floor.blocks.find((one) => unit.per === 'block' && one.id === unit.id);
    for (let moment = floor.over.from; moment < floor.over.to; moment += 60_000) {
      if (block && !within(moment, block.span)) continue;
      expect(inWords(coverAt(timeline, unit, moment))).toEqual(inWords(judgeAlone(floor, unit, moment)));
    }
  }
}

/** Everybody at the first block, most of them able to spot, counted by different shares, with every station spotted. */
function crowded(floor: Floor): Floor {
  const [block] = floor.blocks;
  if (block === undefined) return floor;
  const here = { unit: { per: 'block', id: block.id }, span: block.span } as const;
  return {
    ...floor,
    blocks: [
      {
        ...block,
        stations: block.stations.map((one) => ({
          ...one,
          spotting: { mode: 'hands-on', kind: one.items === 1 ? 'coach' : 'aid', grade: 1, skills: [] },
        })),
      },
    ],
    athletes: floor.athletes.map((one) => ({ ...one, at: [{ ...here, category: one.at[0]?.category ?? null }] })),
    staff: floor.staff.map((one) => ({
      ...one,
      at: [{ ...here, duty: one.at[0]?.duty ?? 'lead' }],
      holds: [...one.holds, { kind: 'coach', grade: 1, from: '2000-01-01', to: null }],
    })),
    rules: floor.rules.map((rule) => ({ ...rule, per: 'block', scope: {}, except: null })),
  };
}

describe('the engine against a judge that tries everything', () => {
  test('cover, findings and counts are the same at every minute of every unit', () => {
    fc.assert(fc.property(arbitraryFloor, expectTheSame), runs(250));
  });

  test('and where many could spot, the one chosen is the same', () => {
    fc.assert(fc.property(arbitraryFloor.map(crowded), expectTheSame), runs(150));
  });

  test('a floor narrowed to a span says of every moment in it what the whole one says', () => {
    fc.assert(
      fc.property(
        arbitraryFloor,
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.integer({ min: 1, max: 90 }),
        (floor, at, minutes) => {
          const from = Math.floor(floor.over.from + (floor.over.to - floor.over.from - 1) * at);
          const span = { from, to: Math.min(floor.over.to, from + minutes * 60_000) };
          const [whole, part] = [coverTimeline(floor), coverTimeline(narrowed(floor, span))];
          for (const unit of unitsOf(floor)) {
            for (const moment of [span.from, span.to - 1]) {
              expect(inWords(coverAt(part, unit, moment))).toEqual(inWords(coverAt(whole, unit, moment)));
            }
          }
        },
      ),
      runs(200),
    );
  });

  test('a confirmed block is uncovered exactly where itself, its session or the premises are', () => {
    fc.assert(
      fc.property(arbitraryFloor, (floor) => {
        const confirmed = floor.blocks.filter((one) => one.confirmed).map((one) => one.id);
        const uncovered = uncoveredBlocks(floor).map((one) => one.block);
        expect(uncovered.filter((id) => confirmed.includes(id)).sort()).toEqual(judgeUncovered(floor));
      }),
      runs(150),
    );
  });

  test('headroom is what trying one more, and one more, comes to', () => {
    fc.assert(
      fc.property(arbitraryFloor.map(easier), fc.nat(), fc.nat(), (floor, i, j) => {
        const block = floor.blocks[i % floor.blocks.length];
        const like = floor.athletes[j % Math.max(1, floor.athletes.length)];
        fc.pre(block !== undefined && like !== undefined);
        const { more } = headroom(floor, block.id, like);
        expect(Math.min(more, 5)).toBe(judgeHeadroom(floor, block, like, 5));
      }),
      runs(60),
    );
  });
});

/** The same floor without what fails whatever the ratio, so that there is room to look for. */
function easier(floor: Floor): Floor {
  return {
    ...floor,
    blocks: floor.blocks.map((block) => ({ ...block, planWithdrawn: false, stations: block.stations.slice(0, 1) })),
    athletes: floor.athletes.slice(0, 3).map((one) => ({ ...one, support: null, born: one.born ?? '2017-05-05' })),
    staff: floor.staff.map((one) => ({
      ...one,
      holds: [
        { kind: 'coach', grade: 3, from: '2000-01-01', to: null },
        { kind: 'aid', grade: 3, from: '2000-01-01', to: null },
      ],
      signedOff: [{ skill: 'k1', level: 'alone', from: '2000-01-01', to: null }],
    })),
    rules: floor.rules.map((rule) => ({
      ...rule,
      bands: rule.bands.map((band, i) => ({ ...band, from: i === 0 ? null : band.from })),
      counts: [{ who: ANYONE, share: whole(2), maxOf: null }],
    })),
  };
}

test('the order in which athletes, staff, rules and blocks are listed changes nothing', () => {
  const mixed = arbitraryFloor.chain((floor) => {
    const shuffled = <T>(list: T[]) => fc.shuffledSubarray(list, { minLength: list.length, maxLength: list.length });
    return fc.record({
      floor: fc.constant(floor),
      again: fc.record({
        blocks: shuffled(floor.blocks),
        athletes: shuffled(floor.athletes),
        staff: shuffled(floor.staff),
        rules: shuffled(floor.rules),
      }),
    });
  });
  fc.assert(
    fc.property(mixed, ({ floor, again }) => {
      const told = (one: Floor) =>
        coverTimeline(one)
          .map((cover) => ({ ...cover, counts: cover.counts.sort(byJson), findings: cover.findings.sort(byJson) }))
          .sort(byJson);
      expect(told({ ...floor, ...again })).toEqual(told(floor));
    }),
    runs(150),
  );
});

test('the segments of a block lie end to end and fill it', () => {
  fc.assert(
    fc.property(arbitraryFloor, (floor) => {
      const timeline = coverTimeline(floor);
      for (const block of floor.blocks) {
        const own = timeline.filter((one) => one.unit.per === 'block' && one.unit.id === block.id);
        expect(own.map((one) => one.span.from)).toEqual([
          block.span.from,
          ...own.slice(0, -1).map((one) => one.span.to),
        ]);
        expect(own.at(-1)?.span.to).toBe(block.span.to);
      }
    }),
    runs(150),
  );
});

describe('exact arithmetic', () => {
  const big = fc.bigInt({ min: 1n, max: 10n ** 30n });

  test('a share equal to the load is enough, and the smallest fraction less is not', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 12 }), big, big, (athletes, n, d) => {
        const limit = fraction(n, d);
        const load = over(whole(athletes), limit);
        const speck = fraction(1n, 10n ** 80n);
        const withShare = (share: Fraction) =>
          aFloor({
            athletes,
            coaches: 1,
            rules: [
              aRule({
                bands: [
                  {
                    ...aBand('any', null, null, 1),
                    limits: [{ upToGroup: null, athletesPerCoach: limit, when: null }],
                  },
                ],
                counts: [{ who: ANYONE, share, maxOf: null }],
              }),
            ],
          });
        expect(loadOf(withShare(load))).toEqual(load);
        expect(coverTimeline(withShare(load)).every((one) => one.covered)).toBe(true);
        const short = coverTimeline(withShare(minus(load, speck))).flatMap((one) => one.findings);
        expect(short.map((one) => [one.code, one.short])).toEqual([['short', speck]]);
      }),
      runs(100),
    );
  });
});

describe('more and fewer', () => {
  const age = fc.integer({ min: 2, max: 14 });
  const ages = fc.array(age, { minLength: 2, maxLength: 12 });
  /** Looser from band to band, as every published table is. */
  const table: Band[] = [aBand('under 4', null, 4, 4), aBand('4 to 8', 4, 9, 6), aBand('9 and over', 9, null, 8)];
  const under = (method: 'youngest' | 'majority' | 'each-band' | 'proportional' | 'fill', years: number[]) =>
    aFloor({ athletes: years.map((one) => ({ years: one })), rules: [aRule({ bands: table, mixed: { method } })] });

  test.each(['youngest', 'each-band', 'proportional', 'fill'] as const)(
    'one athlete fewer never raises the load under %s',
    (method) => {
      fc.assert(
        fc.property(ages, fc.nat(), (years, at) => {
          const fewer = years.filter((_, i) => i !== at % years.length);
          expect(less(loadOf(under(method, years)), loadOf(under(method, fewer)))).toBe(false);
        }),
        runs(100),
      );
    },
  );

  test('under majority, two older children fewer raise the need: kept, so that nobody assumes otherwise', () => {
    const needed = (sixes: number, nines: number) =>
      coverTimeline(under('majority', [...Array<number>(sixes).fill(6), ...Array<number>(nines).fill(9)]))[0]?.counts[0]
        ?.needed;
    expect(needed(7, 8)).toBe(2); // the nines are most: 15/8
    expect(needed(7, 6)).toBe(3); // now the sixes are: 13/6
  });

  test('one more coach whom every rule counts never takes cover away', () => {
    fc.assert(
      fc.property(
        ages,
        fc.nat({ max: 4 }),
        fc.constantFrom('youngest', 'majority', 'fill'),
        (years, coaches, method) => {
          const floor = (staff: number) => ({ ...under(method, years), staff: aFloor({ coaches: staff }).staff });
          const covered = (staff: number) => coverTimeline(floor(staff)).every((one) => one.covered);
          expect(covered(coaches) && !covered(coaches + 1)).toBe(false);
        },
      ),
      runs(60),
    );
  });
});
