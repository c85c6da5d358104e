import { compare } from './fraction.ts';
import type { Band, Fraction, Limit, Rule, Scope } from './types.ts';

const OLDEST = 25 * 12; // past every table's last edge

/**
 * The first age, in completed months, at which a gym's rule asks for less than its franchise's; null where it never does,
 * or where the two can't be compared: other units or mixed-age methods, no common ground or time, other people counting,
 * or bands that end on a school date. An ordinary athlete is compared, without traits or category, in groups of every size
 * that either rule tells apart. A gym's rule that allows no athletes of an age doesn't ask for less there.
 */
export function looserThan(gymRule: Rule, franchiseRule: Rule): number | null {
  if (!isComparable(gymRule, franchiseRule)) return null;
  for (let months = 0; months <= OLDEST; months++) {
    const [own, theirs] = [bandAt(gymRule, months), bandAt(franchiseRule, months)];
    if (own === undefined || theirs === undefined || theirs.limits.length === 0) continue;
    if (own.countBy !== theirs.countBy) continue;
    if (asksLess(own, theirs) || gymRule.plus < franchiseRule.plus) return months;
  }
  return null;
}

function isComparable(a: Rule, b: Rule): boolean {
  return (
    a.per === b.per &&
    a.agesOf === b.agesOf &&
    b.strength === 'refuse' &&
    JSON.stringify(a.mixed, plain) === JSON.stringify(b.mixed, plain) &&
    (JSON.stringify(a.counts, plain) === JSON.stringify(b.counts, plain) || countsAnybody(a)) &&
    ![...a.bands, ...b.bands].some(hasSchoolDate) &&
    haveCommon(a.scope, b.scope) &&
    (b.inForce.to === null || a.inForce.from < b.inForce.to) &&
    (a.inForce.to === null || b.inForce.from < a.inForce.to)
  );
}

/** Written alike whatever order its fields came in: what was stored comes back in another. */
function plain(_: string, value: unknown): unknown {
  if (typeof value === 'bigint') return `${value}`;
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

/** Whether everybody counts whole: at least as many people as under any other rule. */
function countsAnybody({ counts }: Rule): boolean {
  const [first] = counts;
  return (
    first?.who.test === 'all' && first.who.of.length === 0 && first.maxOf === null && first.share.n >= first.share.d
  );
}

function hasSchoolDate({ from, to }: Band): boolean {
  return (from !== null && 'firstOn' in from) || (to !== null && 'firstOn' in to);
}

function haveCommon(a: Scope, b: Scope): boolean {
  const words = ['programme', 'level', 'apparatus', 'activity', 'area'] as const;
  return words.every((word) => {
    const [some, others] = [a[word], b[word]];
    return some === undefined || others === undefined || some.some((id) => others.includes(id));
  });
}

function bandAt({ bands }: Rule, months: number): Band | undefined {
  return bands.find(
    ({ trait, from, to }) => trait === null && monthsOf(from, 0) <= months && months < monthsOf(to, Infinity),
  );
}

const monthsOf = (edge: Band['from'], open: number): number => (edge !== null && 'months' in edge ? edge.months : open);

function asksLess(own: Band, theirs: Band): boolean {
  if (own.limits.length === 0) return true;
  const sizes = new Set([...own.limits, ...theirs.limits].flatMap(({ upToGroup }) => upToGroup ?? []));
  const tried = [1, ...sizes, Math.max(0, ...sizes) + 1];
  return tried.some((size) => compare(limitFor(own.limits, size), limitFor(theirs.limits, size)) > 0);
}

/** The row for a group of that size when nobody better qualified is there. */
function limitFor(limits: readonly Limit[], size: number): Fraction {
  const row = limits.find(({ upToGroup, when }) => when === null && (upToGroup === null || size <= upToGroup));
  return (
    row?.athletesPerCoach ?? limits.map((one) => one.athletesPerCoach).reduce((a, b) => (compare(a, b) <= 0 ? a : b))
  );
}
