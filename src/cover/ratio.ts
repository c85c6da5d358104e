import { bandOf, limitAt } from './bands.ts';
import { ceilOf, compare, equal, fraction, larger, ONE, plus, smaller, ZERO } from './fraction.ts';
import { hasGoverningBand, methodOf } from './mixed-ages/index.ts';
import { type Pool, type Portion, share } from './mixed-ages/pool.ts';
import type { Head, Ratio, Spot, View } from './scene.ts';
import type { Band, Fraction } from './types.ts';

export const NO_RATIO: Ratio = { load: ZERO, governing: -1, limit: null, largest: null };

/** The load of a unit under a rule, exact, with what governed it. Helped children stand outside it. */
export function ratioOf(view: View): Ratio {
  const { rule } = view;
  if (rule.bands.length === 0) return NO_RATIO;
  const limit = limitsOf(view);
  const portions = portionsOf(view.heads, rule.bands, limit);
  const pooled = portions.filter(({ band }) => band === -1 || isPooled(rule.bands[band] as Band));
  const pool: Pool = { bands: rule.bands, portions: pooled, limit, ...governingHeads(view) };

  const { load, governing } = methodOf(rule.mixed)(pool);
  let total = load;
  for (const [, apart] of apartLoads(portions, rule.bands, limit)) {
    total = plus(total, rule.mixed.method === 'each-band' ? fraction(ceilOf(apart)) : apart);
  }
  return { load: total, governing, ...limitsPresent(portions, rule.bands, limit, governing) };
}

/** Bands whose athletes are shared out by the mixed-age method. */
export const isPooled = (band: Band): boolean => band.mixes !== 'apart' && band.limits.length > 0;

/** The band that would govern the heads given, -1 where none does: for the size of one group. */
export function governingAmong(view: View, heads: readonly Head[]): number {
  if (!hasGoverningBand(view.rule.mixed)) return -1;
  const counted = countByBand(
    heads.map(({ band }) => band),
    view.rule.bands,
  );
  return methodOf(view.rule.mixed)({ bands: view.rule.bands, portions: [], limit: () => ONE, ...counted }).governing;
}

function limitsOf(view: View): (band: number, spot: Spot) => Fraction {
  const known = new Map<Spot, Fraction[]>();
  return (band, spot) => {
    let limits = known.get(spot);
    if (limits === undefined) {
      limits = [];
      known.set(spot, limits);
    }
    limits[band] ??= limitAt(view.rule.bands[band] as Band, spot, view.groupSize.get(spot) ?? 0, view.moment);
    return limits[band];
  };
}

/** Families count once a band, as their heaviest child, in the place with the lowest limit. */
function portionsOf(heads: readonly Head[], bands: readonly Band[], limit: Pool['limit']): Portion[] {
  const portions: Portion[] = [];
  const families = new Map<string, Portion>();
  for (const { athlete, spot, band, helped } of heads) {
    if (helped) continue;
    const weight = athlete.countsAs;
    if (band !== -1 && bands[band]?.countBy === 'family' && athlete.family !== null) {
      const key = `${band} ${athlete.family}`;
      const before = families.get(key);
      const one: Portion = { band, spot, weight, athletes: 1, family: athlete.family };
      if (before === undefined) {
        families.set(key, one);
        portions.push(one);
      } else if (isHeavier(one, before, bands, limit)) Object.assign(before, one);
      continue;
    }
    const same = portions.find(
      (one) => one.band === band && one.spot === spot && one.family === null && equal(one.weight, weight),
    );
    if (same !== undefined) same.athletes += 1;
    else portions.push({ band, spot, weight: equal(weight, ONE) ? ONE : weight, athletes: 1, family: null });
  }
  return portions;
}

function isHeavier(one: Portion, other: Portion, bands: readonly Band[], limit: Pool['limit']): boolean {
  const byWeight = compare(one.weight, other.weight);
  if (byWeight !== 0 || bands[one.band]?.limits.length === 0) return byWeight > 0;
  return compare(limit(one.band, one.spot), limit(other.band, other.spot)) < 0;
}

function governingHeads(view: View): { heads: number[]; total: number } {
  const { rule, moment, enrolled } = view;
  if (rule.agesOf === 'enrolled' && enrolled !== null && enrolled.length > 0) {
    const helped = new Set(view.heads.filter((head) => head.helped).map(({ athlete }) => athlete.person));
    const others = enrolled.filter(({ person }) => !helped.has(person));
    return countByBand(
      others.map((athlete) => bandOf(rule, athlete, moment)),
      rule.bands,
    );
  }
  return countByBand(
    view.heads.filter(({ helped }) => !helped).map(({ band }) => band),
    rule.bands,
  );
}

function countByBand(found: readonly number[], bands: readonly Band[]): { heads: number[]; total: number } {
  const heads = bands.map(() => 0);
  let total = 0;
  for (const band of found) {
    if (band !== -1 && !isPooled(bands[band] as Band)) continue;
    total += 1;
    if (band !== -1) heads[band] = (heads[band] as number) + 1;
  }
  return { heads, total };
}

function apartLoads(portions: readonly Portion[], bands: readonly Band[], limit: Pool['limit']): Map<number, Fraction> {
  const loads = new Map<number, Fraction>();
  for (const portion of portions) {
    const band = bands[portion.band];
    if (band === undefined || band.mixes !== 'apart' || band.limits.length === 0) continue;
    const own = share(portion, limit(portion.band, portion.spot));
    loads.set(portion.band, plus(loads.get(portion.band) ?? ZERO, own));
  }
  return loads;
}

/** The governing limit (the lowest, should it differ by place), and the largest limit in use. */
function limitsPresent(
  portions: readonly Portion[],
  bands: readonly Band[],
  limit: Pool['limit'],
  governing: number,
): { limit: Fraction | null; largest: Fraction | null } {
  const governs = governing !== -1 && bands[governing]?.limits.length !== 0;
  let lowest: Fraction | null = null;
  let largest: Fraction | null = null;
  for (const { band, spot } of portions) {
    const own = band === -1 || bands[band]?.limits.length === 0 ? null : limit(band, spot);
    const governed = governs && (band === -1 || isPooled(bands[band] as Band)) ? limit(governing, spot) : null;
    for (const one of [own, governed]) {
      if (one !== null) largest = largest === null ? one : larger(largest, one);
    }
    if (governed !== null) lowest = lowest === null ? governed : smaller(lowest, governed);
  }
  return { limit: lowest, largest };
}
