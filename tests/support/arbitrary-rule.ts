/** Made-up ratio rules for properties: any shape that a rule can have, over few enough names that they meet the floor. */
import fc from 'fast-check';
import type { Band, Day, Duty, Fraction, Id, Limit, Mixed, Rule, Test } from '../../src/cover/types.ts';

export const pick = <const T>(...values: T[]): fc.Arbitrary<T> => fc.constantFrom(...values);
export const seldom = <T>(usual: T, rare: fc.Arbitrary<T>): fc.Arbitrary<T> =>
  fc.oneof({ weight: 4, arbitrary: fc.constant(usual) }, { weight: 1, arbitrary: rare });
export const some = (ids: Id[], minLength = 0): fc.Arbitrary<Id[]> => fc.subarray(ids, { minLength });
export const ratio = (n: number, d = 1): Fraction => ({ n: BigInt(n), d: BigInt(d) });

const leaf: fc.Arbitrary<Test> = fc.oneof(
  fc.record({ test: fc.constant('age'), atLeastYears: pick(13, 16, 18) }),
  fc.record({ test: fc.constant('older-than-athletes'), byYears: pick(0, 2, 10) }),
  fc.record({ test: fc.constant('holds'), kind: pick('coach', 'aid'), grade: pick(1, 2) }),
  fc.record({
    test: fc.constant('duty'),
    in: fc.subarray<Duty>(['lead', 'assist', 'oversee'], { minLength: 1 }),
  }),
  fc.record({ test: pick<'not-taking-part' | 'no-own-child-here'>('not-taking-part', 'no-own-child-here') }),
);
const anyone: Test = { test: 'all', of: [] };
const test: fc.Arbitrary<Test> = fc.oneof(
  { weight: 3, arbitrary: fc.constant(anyone) },
  { weight: 4, arbitrary: leaf },
  {
    weight: 1,
    arbitrary: fc.record({
      test: pick<'all' | 'any'>('all', 'any'),
      of: fc.array(leaf, { minLength: 1, maxLength: 2 }),
    }),
  },
  { weight: 1, arbitrary: fc.record({ test: fc.constant('supervised'), by: leaf }) },
);

const limit: fc.Arbitrary<Limit> = fc.record({
  upToGroup: seldom<number | null>(null, pick(1, 2, 4)),
  athletesPerCoach: pick(ratio(1), ratio(2), ratio(3), ratio(4), ratio(3, 2), ratio(7, 3)),
  when: seldom<Test | null>(null, leaf),
});

const edge = (months: number): fc.Arbitrary<Band['from']> =>
  seldom<Band['from']>(
    { months },
    fc.constant({ firstOn: { month: 3, day: 1 }, afterBirthday: Math.floor(months / 12) }),
  );

/** Cut points make the age bands; the youngest or the oldest may be missing; a trait or a category may come first. */
const bands: fc.Arbitrary<Band[]> = fc
  .subarray([36, 60, 108, 144], { minLength: 1, maxLength: 3 })
  .chain((cuts) =>
    fc.tuple(
      fc.tuple(...cuts.map(edge)),
      fc.boolean(),
      fc.boolean(),
      seldom<'none' | 'trait' | 'category'>('none', pick('trait', 'category')),
    ),
  )
  .map(([cuts, fromBirth, noEnd, special]) => {
    const edges = [
      ...(fromBirth ? [null] : []),
      ...cuts,
      ...(noEnd || cuts.length + Number(fromBirth) < 2 ? [null] : []),
    ];
    const spans: Partial<Band>[] = edges.slice(1).map((to, i) => ({ from: edges[i] ?? null, to }));
    if (special === 'trait') spans.unshift({ trait: 'accompanied' });
    if (special === 'category') spans.unshift({ category: 'beginner', from: null, to: cuts[0] ?? null });
    return spans;
  })
  .chain((spans) =>
    fc.tuple(
      ...spans.map((span, i) =>
        fc.record({
          id: fc.constant(`band${i + 1}`),
          from: fc.constant(span.from ?? null),
          to: fc.constant(span.to ?? null),
          category: fc.constant(span.category ?? null),
          trait: fc.constant(span.trait ?? null),
          countBy: seldom<Band['countBy']>('athlete', fc.constant('family')),
          limits: fc.oneof(
            { weight: 9, arbitrary: fc.array(limit, { minLength: 1, maxLength: 2 }) },
            fc.constant<Limit[]>([]),
          ),
          largestGroup: seldom<number | null>(null, pick(1, 3)),
          mixes: seldom<Band['mixes']>('in', pick('rules', 'apart')),
        }),
      ),
    ),
  );

const mixed = (ids: Id[]): fc.Arbitrary<Mixed> =>
  fc.oneof(
    {
      weight: 4,
      arbitrary: fc.record({ method: pick('youngest', 'majority', 'each-band', 'proportional', 'fill') }),
    },
    fc.record({
      method: fc.constant('composition'),
      rows: fc.array(
        fc.record({
          ifBand: pick(...ids),
          atLeast: fc.oneof(
            pick(1, 2, 3).map((count) => ({ count })),
            pick(ratio(1, 2), ratio(1, 3)).map((share) => ({ share })),
          ),
          use: pick(...ids),
        }),
        { minLength: 1, maxLength: 2 },
      ),
    }),
  );

const scope: fc.Arbitrary<Rule['scope']> = fc.oneof(
  { weight: 4, arbitrary: fc.constant({}) },
  { weight: 1, arbitrary: pick<Rule['scope']>({ programme: ['p1'] }, { level: ['l1'] }, { activity: ['party'] }) },
  {
    weight: 1,
    arbitrary: pick<Rule['scope']>({ area: ['a1'] }, { apparatus: ['beam'] }, { programme: ['p1'], area: ['a2'] }),
  },
);

const trainee: Test = { test: 'holds', kind: 'trainee', grade: 1 };
const seasoned: Test = { test: 'holds', kind: 'trainee', grade: 3 };
const entry: fc.Arbitrary<Rule['supervision'][number]> = fc.record({
  supervisor: pick<Test>(
    { test: 'holds', kind: 'coach', grade: 2 },
    { test: 'holds', kind: 'trainee', grade: 3 },
    { test: 'duty', in: ['lead', 'oversee'] },
    { test: 'age', atLeastYears: 18 },
  ),
  anyOf: pick<Rule['supervision'][number]['anyOf']>(
    [[{ who: trainee, max: 1 }]],
    [[{ who: trainee, max: 2 }]],
    [[{ who: trainee, max: 1 }], [{ who: seasoned, max: 2 }]],
    [
      [
        { who: trainee, max: 1 },
        { who: seasoned, max: 1 },
      ],
    ],
  ),
});
const supervision: fc.Arbitrary<Rule['supervision']> = fc.oneof(
  { weight: 2, arbitrary: fc.constant<Rule['supervision']>([]) },
  { weight: 1, arbitrary: fc.array(entry, { minLength: 1, maxLength: 2 }) },
);

export function ruleOn(day: Day, id: Id): fc.Arbitrary<Rule> {
  return fc.oneof({ weight: 6, arbitrary: bands }, fc.constant<Band[]>([])).chain((list) =>
    fc.record({
      id: fc.constant(id),
      version: fc.constant(1),
      owner: pick('franchise', 'gym'),
      source: fc.constant(null),
      strength: seldom<Rule['strength']>('refuse', fc.constant('warn')),
      overridable: seldom(true, fc.constant(false)),
      inForce: seldom<Rule['inForce']>(
        { from: '2020-01-01', to: null },
        pick({ from: '2020-01-01', to: day }, { from: day, to: null }),
      ),
      scope,
      except: seldom<Rule['except']>(null, pick({ activity: ['party'] }, { programme: ['p2'] })),
      per: pick('block', 'block', 'session', 'premises'),
      agesOf: seldom<Rule['agesOf']>('present', fc.constant('enrolled')),
      bands: fc.constant(list),
      mixed: mixed(list.length > 0 ? list.map((band) => band.id) : ['band1']),
      plus: seldom(0, fc.constant(1)),
      floors: seldom<Rule['floors']>(
        [],
        fc.array(
          fc.record({
            fromAthletes: pick(1, 2, 3),
            toAthletes: pick(null, null, 3),
            posts: fc.array(fc.record({ people: pick(1, 2), who: test }), { minLength: 1, maxLength: 2 }),
          }),
          { minLength: 1, maxLength: 2 },
        ),
      ),
      caps: seldom<Rule['caps']>(
        [],
        fc.array(
          fc.record({
            max: pick(1, 2, 4),
            of: pick('group', 'apparatus', 'equipment-item', 'area'),
            bands: list.length > 0 ? seldom<Id[] | null>(null, fc.constant<Id[]>(['band1'])) : fc.constant(null),
          }),
          { minLength: 1, maxLength: 2 },
        ),
      ),
      counts: fc.array(
        fc.record({
          who: test,
          share: pick(ratio(1), ratio(1), ratio(1, 2), ratio(2, 3)),
          maxOf: seldom<Rule['counts'][number]['maxOf']>(
            null,
            fc.record({
              share: pick(ratio(1, 2), ratio(1, 5), ratio(2, 3)),
              base: pick('required', 'counted'),
            }),
          ),
        }),
        { minLength: 1, maxLength: 3 },
      ),
      whileSpotting: pick<Rule['whileSpotting']>('counts', { upTo: 1 }, { upTo: 2 }, 'does-not-count'),
      supervision,
      staffBelowYearsAreAthletes: seldom<number | null>(null, pick(16, 18)),
    }),
  );
}
