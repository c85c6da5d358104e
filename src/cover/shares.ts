import {
  atLeast,
  ceilOf,
  compare,
  dividedBy,
  floorOf,
  fraction,
  minus,
  ONE,
  plus,
  sum,
  times,
  ZERO,
} from './fraction.ts';
import { failing } from './passes.ts';
import type { OnDuty, Ratio, View } from './scene.ts';
import type { Fraction, Id, Rule, Why } from './types.ts';

type Share = { person: Id; share: Fraction; why: Why | null; entry: number };

/** Who counts for how much under the view's rule, against its load, once its trainees are placed. */
export function weigh(view: View): void {
  const { rule, ratio } = view;
  const shares = view.people.map((one) => shareOf(one, view));
  for (const one of shares) {
    if (one.share.n > 0n && view.trainees.unplaced.includes(one.person)) drop(one, 'no-supervisor-free');
  }

  const needed = neededFor(rule, ratio);
  keepToMaximum(shares, rule, needed);

  const counted = sum(shares.map(({ share }) => share));
  view.count = {
    rule: rule.id,
    version: rule.version,
    load: ratio.load,
    needed,
    counted,
    band: rule.bands[ratio.governing]?.id ?? null,
    people: shares.map(({ person, share, why }) => ({ person, share, why })),
    met: atLeast(counted, askedBy(rule, ratio.load)),
  };
}

/** What the shares have to come to, unrounded: the load and, where there is any, the rule's `plus`. */
export function askedBy(rule: Rule, load: Fraction): Fraction {
  return load.n > 0n && rule.plus > 0 ? plus(load, fraction(rule.plus)) : load;
}

export function neededFor(rule: Rule, { load }: Ratio): number {
  return load.n > 0n ? ceilOf(load) + rule.plus : 0;
}

function shareOf(one: OnDuty, { rule, ratio, moment, youngsters }: View): Share {
  const { staff, spot } = one;
  const none = { person: staff.person, share: ZERO, entry: -1 };
  if (spot.helpers.has(staff.person)) return { ...none, why: 'helper' };
  if (youngsters.has(staff.person))
    return { ...none, why: { test: 'age', atLeastYears: rule.staffBelowYearsAreAthletes ?? 0 } };

  let why: Why | null = null;
  const entry = rule.counts.findIndex(({ who }) => {
    const failed = failing(who, one, moment);
    why ??= failed;
    return failed === null;
  });
  if (entry === -1) return { ...none, why };
  const share = rule.counts[entry]?.share ?? ZERO;
  const whole: Share = { person: staff.person, share, why: compare(share, ONE) >= 0 ? null : why, entry };
  return spot.handsOn.has(staff.person) ? whileSpotting(whole, rule, ratio) : whole;
}

function whileSpotting(one: Share, { whileSpotting: rule }: Rule, { largest }: Ratio): Share {
  if (rule === 'counts') return one;
  if (rule === 'does-not-count') return { ...one, share: ZERO, why: 'spotting' };
  const most = largest === null ? one.share : dividedBy(fraction(rule.upTo), largest);
  return compare(one.share, most) > 0 ? { ...one, share: most, why: 'spotting' } : one;
}

/**
 * Of those whom an entry lets count only up to a part of the whole, the largest shares stay; the rest count zero. A part of
 * those counted is a part beside all who are not bounded that way themselves.
 */
function keepToMaximum(shares: Share[], rule: Rule, needed: number): void {
  if (rule.counts.every(({ maxOf }) => maxOf === null)) return;
  const counting = (entry: number) => shares.filter((one) => one.entry === entry && one.share.n > 0n);
  const bound = (base: 'required' | 'counted', others: number) =>
    rule.counts.forEach(({ maxOf }, entry) => {
      if (maxOf?.base !== base) return;
      const largestFirst = counting(entry).sort((a, b) => compare(b.share, a.share));
      for (const one of largestFirst.slice(admitted(maxOf, needed, others))) drop(one, 'max-of');
    });
  bound('required', 0);
  const unbounded = rule.counts.map(({ maxOf }, entry) => (maxOf?.base === 'counted' ? 0 : counting(entry).length));
  bound(
    'counted',
    unbounded.reduce((a, b) => a + b, 0),
  );
}

function admitted(
  { share, base }: NonNullable<Rule['counts'][number]['maxOf']>,
  needed: number,
  others: number,
): number {
  if (base === 'required') return floorOf(times(share, fraction(needed)));
  const rest = minus(ONE, share);
  return rest.n <= 0n ? Number.POSITIVE_INFINITY : floorOf(times(dividedBy(share, rest), fraction(others)));
}

function drop(one: Share, why: Why): void {
  one.share = ZERO;
  one.why = why;
}
