import { hasReached } from './age.ts';
import { compare } from './fraction.ts';
import { ageInMonths, passes } from './passes.ts';
import type { Moment, Spot } from './scene.ts';
import type { Athlete, Band, Edge, Fraction, Rule } from './types.ts';

const named = new WeakMap<Rule, ReadonlySet<string>>();

/**
 * The index of the first band whose trait, ages and category (where they are at that moment) all fit, -1 for none. Ages
 * suffice where the athlete has no category that the rule names; an unknown birth date fits no band of a rule that has ages.
 */
export function bandOf(rule: Rule, athlete: Athlete, as: string | null, moment: Moment): number {
  const categories = categoriesOf(rule);
  if (athlete.born === null && rule.bands.some(({ from, to }) => from !== null || to !== null)) return -1;
  const category = as !== null && categories.has(as) ? as : null;
  for (let i = 0; i < rule.bands.length; i++) {
    const band = rule.bands[i] as Band;
    if (band.category !== null && category !== null && band.category !== category) continue;
    if (band.trait !== null && !hasTrait(athlete, band.trait, moment)) continue;
    if (fitsAges(band, athlete, moment)) return i;
  }
  return -1;
}

/**
 * Athletes per coach in a band at a place: the first row that fits the group there and its staff. Where no row fits, the
 * row that allows fewest: a group larger than a table foresees is never read as a free one. The band must have rows.
 */
export function limitAt(band: Band, spot: Spot, groupSize: number, moment: Moment): Fraction {
  for (const { upToGroup, when, athletesPerCoach } of band.limits) {
    if (upToGroup !== null && groupSize > upToGroup) continue;
    if (when === null) return athletesPerCoach;
    const better = spot.staff.some(
      (one) =>
        (one.duty === 'lead' || one.duty === 'assist') &&
        !spot.helpers.has(one.staff.person) &&
        !moment.young.some(({ staff }) => staff === one.staff) &&
        passes(when, one, moment),
    );
    if (better) return athletesPerCoach;
  }
  return band.limits.map((row) => row.athletesPerCoach).reduce((a, b) => (compare(a, b) <= 0 ? a : b));
}

function categoriesOf(rule: Rule): ReadonlySet<string> {
  let categories = named.get(rule);
  if (categories === undefined) {
    categories = new Set(rule.bands.flatMap((band) => band.category ?? []));
    named.set(rule, categories);
  }
  return categories;
}

function hasTrait(athlete: Athlete, trait: string, moment: Moment): boolean {
  return athlete.traits.some(
    (one) =>
      one.trait === trait &&
      (one.spans === null || one.spans.some(({ from, to }) => from <= moment.span.from && moment.span.to <= to)),
  );
}

function fitsAges(band: Band, { born }: Athlete, moment: Moment): boolean {
  if (band.from === null && band.to === null) return true;
  if (born === null) return false;
  return (
    (band.from === null || isPast(band.from, born, moment)) && (band.to === null || !isPast(band.to, born, moment))
  );
}

function isPast(edge: Edge, born: string, moment: Moment): boolean {
  if ('months' in edge) return ageInMonths(born, moment) >= edge.months;
  return hasReached(edge, born, moment.day, moment.leapDay);
}
