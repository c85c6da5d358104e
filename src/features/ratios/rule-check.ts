import { compare, equal, fraction, ONE, parseFraction, ZERO } from '../../cover/index.ts';
import type { Test } from '../../cover/types.ts';
import type { Fault } from '../../platform/problem.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';

const MOST_TESTS = 300;
/**
 * Every fraction that is worked out under a rule has a denominator that divides the least common multiple of its numbers
 * times that of the twentieths (see `CountsAs`): kept this small, none is longer than `Fraction` can be. Numbers up to 60
 * always fit.
 */
const MOST_MULTIPLE = 10n ** 30n;
type StoredBand = StoredRule['bands'][number];
type StoredEdge = StoredBand['from'];

/**
 * What is wrong with a rule whose shape is right: each fault with a JSON pointer below `at`. What it names in the
 * franchise is looked at elsewhere.
 */
export function faultsInRule(rule: StoredRule, at: string): Fault[] {
  const { bands, floors, caps, counts, mixed } = rule;
  const faults: Fault[] = [...faultsInBands(bands, `${at}/bands`), ...faultsInMixed(mixed, bands, `${at}/mixed`)];
  const say = (pointer: string, detail: string) => faults.push({ pointer: `${at}${pointer}`, detail });

  const asks = bands.some(({ limits }) => limits.length > 0);
  if (asks && counts.length === 0) say('/counts', 'Nobody would ever count: say who does.');
  if (!asks && floors.length === 0 && caps.length === 0 && rule.supervision.length === 0) {
    say('', 'It asks nothing: give it bands, floors, caps or supervision.');
  }
  for (const [c, { share, maxOf }] of counts.entries()) {
    if (!isShare(share)) say(`/counts/${c}/share`, 'Expected a share from 0 to 1.');
    if (maxOf === null) continue;
    if (!isShare(maxOf.share)) say(`/counts/${c}/maxOf/share`, 'Expected a share from 0 to 1.');
    else if (maxOf.base === 'counted' && isOne(maxOf.share)) {
      say(`/counts/${c}/maxOf/share`, 'All of those who count is no limit: leave it out, or expect less than 1.');
    }
  }
  for (const [f, { fromAthletes, toAthletes }] of floors.entries()) {
    if (toAthletes !== null && toAthletes < fromAthletes) {
      say(`/floors/${f}/toAthletes`, `Expected at least ${fromAthletes}, where it begins.`);
    }
  }
  for (const [c, cap] of caps.entries()) {
    for (const [b, id] of (cap.bands ?? []).entries()) {
      if (!bands.some((band) => band.id === id)) say(`/caps/${c}/bands/${b}`, noBand(id));
    }
  }
  if (leastCommonMultiple(divisorsIn(rule)) > MOST_MULTIPLE) {
    say(
      '',
      'Its limits and shares have too large a common multiple to be reckoned with exactly: take rounder numbers.',
    );
  }
  const tests = [...testsIn(rule, at)].length;
  if (tests > MOST_TESTS) say('', `It has ${tests} tests in it; at most ${MOST_TESTS} are taken.`);
  return faults;
}

const noBand = (id: string) => `There is no band "${id}" in this rule.`;

function faultsInBands(bands: readonly StoredBand[], at: string): Fault[] {
  const faults: Fault[] = [];
  const say = (pointer: string, detail: string) => faults.push({ pointer: `${at}${pointer}`, detail });
  for (const [b, band] of bands.entries()) {
    if (bands.findIndex(({ id }) => id === band.id) < b) say(`/${b}/id`, `"${band.id}" is named twice.`);
    for (const end of ['from', 'to'] as const) {
      if (!isDate(band[end])) say(`/${b}/${end}/firstOn`, 'There is no such date in any year.');
    }
    const [from, to] = [monthsOf(band.from), monthsOf(band.to)];
    if (from !== null && to !== null && to <= from) {
      say(`/${b}/to`, `It ends at ${to} completed months, before it begins at ${from}.`);
    }
    const before = bands.slice(0, b).findLast((one) => one.trait === band.trait && one.category === band.category);
    const begins = before && (before.from === null ? 0 : monthsOf(before.from));
    if (before && typeof begins === 'number' && (band.from === null ? 0 : (from ?? begins)) < begins) {
      say(`/${b}`, `List bands youngest first: it begins before "${before.id}", which stands above it.`);
    }
    for (const [l, { athletesPerCoach }] of band.limits.entries()) {
      if (compare(parseFraction(athletesPerCoach), ZERO) <= 0) {
        say(`/${b}/limits/${l}/athletesPerCoach`, 'Expected more than 0; a band without limits asks nothing.');
      }
    }
    const last = band.limits.findIndex(({ upToGroup, when }) => upToGroup === null && when === null);
    if (last >= 0 && last < band.limits.length - 1) {
      say(`/${b}/limits/${last + 1}`, 'It is never reached: the limit above it always fits.');
    }
  }
  return faults;
}

function faultsInMixed(mixed: StoredRule['mixed'], bands: readonly StoredBand[], at: string): Fault[] {
  if (mixed.method !== 'composition') return [];
  return mixed.rows.flatMap(({ ifBand, atLeast, use }, r) => {
    const faults: Fault[] = [];
    for (const [field, id] of Object.entries({ ifBand, use })) {
      if (!bands.some((band) => band.id === id)) {
        faults.push({ pointer: `${at}/rows/${r}/${field}`, detail: noBand(id) });
      }
    }
    if (bands.some((band) => band.id === use && band.limits.length === 0)) {
      const detail = 'That band has no limits, so that nobody would be asked for: name one that has.';
      faults.push({ pointer: `${at}/rows/${r}/use`, detail });
    }
    if ('share' in atLeast && !isShare(atLeast.share)) {
      faults.push({ pointer: `${at}/rows/${r}/atLeast/share`, detail: 'Expected a share from 0 to 1.' });
    }
    return faults;
  });
}

/** What loads and shares are divided by: the numerators of limits, the denominators of shares. */
const divisorsIn = ({ bands, counts }: StoredRule): bigint[] => [
  ...bands.flatMap(({ limits }) => limits.map(({ athletesPerCoach }) => parseFraction(athletesPerCoach).n)),
  ...counts.map(({ share }) => parseFraction(share).d),
];

/** Of those above 0; it stops growing once it is too large. */
function leastCommonMultiple(numbers: readonly bigint[]): bigint {
  let multiple = 1n;
  for (const n of numbers) {
    if (n > 0n && multiple <= MOST_MULTIPLE) multiple *= fraction(n, multiple).n;
  }
  return multiple;
}

const isShare = (text: string) => compare(parseFraction(text), ONE) <= 0;
const isOne = (text: string) => equal(parseFraction(text), ONE);
const monthsOf = (edge: StoredEdge): number | null => (edge !== null && 'months' in edge ? edge.months : null);

const DAYS = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];
function isDate(edge: StoredEdge): boolean {
  if (edge === null || 'months' in edge) return true;
  return edge.firstOn.day <= (DAYS[edge.firstOn.month - 1] ?? 0);
}

/** Every test in a rule, those inside others too, with its JSON pointer. */
export function* testsIn(rule: StoredRule, at: string): Generator<{ pointer: string; test: Test }> {
  for (const [b, { limits }] of rule.bands.entries()) {
    for (const [l, { when }] of limits.entries()) {
      if (when !== null) yield* within(when, `${at}/bands/${b}/limits/${l}/when`);
    }
  }
  for (const [f, { posts }] of rule.floors.entries()) {
    for (const [p, { who }] of posts.entries()) yield* within(who, `${at}/floors/${f}/posts/${p}/who`);
  }
  for (const [c, { who }] of rule.counts.entries()) yield* within(who, `${at}/counts/${c}/who`);
  for (const [s, { supervisor, anyOf }] of rule.supervision.entries()) {
    yield* within(supervisor, `${at}/supervision/${s}/supervisor`);
    for (const [a, mix] of anyOf.entries()) {
      for (const [m, { who }] of mix.entries()) yield* within(who, `${at}/supervision/${s}/anyOf/${a}/${m}/who`);
    }
  }
}

function* within(test: Test, pointer: string): Generator<{ pointer: string; test: Test }> {
  yield { pointer, test };
  if (test.test === 'supervised') yield* within(test.by, `${pointer}/by`);
  if (test.test === 'all' || test.test === 'any') {
    for (const [i, part] of test.of.entries()) yield* within(part, `${pointer}/of/${i}`);
  }
}
