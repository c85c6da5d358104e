import { bandOf, limitAt } from './bands.ts';
import { ceilOf, equal, fraction, larger, ONE, plus, smaller, ZERO } from './fraction.ts';
import { methodOf } from './mixed-ages/index.ts';
import { type Pool, type Portion, share } from './mixed-ages/pool.ts';
import type { Head, Ratio, Spot, View } from './scene.ts';
import type { Band, Fraction } from './types.ts';

export const NO_RATIO: Ratio = { load: ZERO, governing: -1, limit: null, largest: null };

/** The load of a unit under a rule, exact, with what governed it. Helped children stand outside it. */
export function ratioOf(view: View): Ratio {
  const { bands, mixed } = view.rule;
  if (bands.length === 0) return NO_RATIO;
  const limit = limitsOf(view);
  const portions = portionsOf(view.heads, bands);
  const pooled = portions.filter(({ band }) => isPooled(bands[band]));
  const { load, governing } = loadOf(view, { bands, portions: pooled, limit });

  let total = load;
  for (const apart of apartLoads(portions, bands, limit)) {
    total = plus(total, mixed.method === 'each-band' ? fraction(ceilOf(apart)) : apart);
  }
  return { load: total, governing, ...limitsPresent(portions, bands, limit, governing) };
}

/** Whether a band's athletes are shared out by the mixed-age method; the bandless are. */
const isPooled = (band: Band | undefined): boolean =>
  band === undefined || (band.mixes !== 'apart' && band.limits.length > 0);

/** Governed by those enrolled where the rule says so; by those present if nobody enrolled is of a band. */
function loadOf(view: View, pool: Pick<Pool, 'bands' | 'portions' | 'limit'>): ReturnType<ReturnType<typeof methodOf>> {
  const method = methodOf(view.rule.mixed);
  const { bands, portions, limit } = pool;
  if (view.rule.agesOf === 'enrolled') {
    const { heads, total } = countByBand(bandsEnrolled(view), bands);
    const governed = method({ bands, portions, limit, heads, total });
    if (governed.governing !== -1) return governed;
  }
  const bandsPresent: number[] = [];
  for (const { helped, band } of view.heads) if (!helped) bandsPresent.push(band);
  const { heads, total } = countByBand(bandsPresent, bands);
  return method({ bands, portions, limit, heads, total });
}

function bandsEnrolled({ rule, moment, enrolled, heads, youngsters }: View): number[] {
  const present = new Map(heads.map((head) => [head.athlete, head]));
  const found = enrolled.flatMap(({ athlete, category }) => {
    const head = present.get(athlete);
    if (head === undefined) return [bandOf(rule, athlete, category, moment)];
    return head.helped ? [] : [head.band];
  });
  const young = heads.filter(({ athlete }) => youngsters.has(athlete.person));
  return [...found, ...young.map(({ band }) => band)];
}

function countByBand(found: readonly number[], bands: readonly Band[]): { heads: number[]; total: number } {
  const heads = bands.map(() => 0);
  let total = 0;
  for (const band of found) {
    if (!isPooled(bands[band])) continue;
    total += 1;
    if (band !== -1) heads[band] = (heads[band] as number) + 1;
  }
  return { heads, total };
}

function limitsOf(view: View): Pool['limit'] {
  const known = new Map<Spot, Fraction[]>();
  return (band, spots) => spots.map((spot) => limitOf(view, known, band, spot)).reduce(smaller);
}

function limitOf({ rule, groupSize, moment }: View, known: Map<Spot, Fraction[]>, band: number, spot: Spot): Fraction {
  let limits = known.get(spot);
  if (limits === undefined) {
    limits = [];
    known.set(spot, limits);
  }
  limits[band] ??= limitAt(rule.bands[band] as Band, spot, groupSize.get(spot) ?? 0, moment);
  return limits[band];
}

/** Families count once a band. */
function portionsOf(heads: readonly Head[], bands: readonly Band[]): Portion[] {
  const portions: Portion[] = [];
  for (const { athlete, spot, band, helped } of heads) {
    if (helped) continue;
    const family = bands[band]?.countBy === 'family' ? athlete.family : null;
    const weight = equal(athlete.countsAs, ONE) ? ONE : athlete.countsAs;
    const same = portions.find(
      (one) =>
        one.band === band &&
        one.family === family &&
        (family !== null || (one.spots[0] === spot && equal(one.weight, weight))),
    );
    if (same === undefined) portions.push({ band, spots: [spot], weight, athletes: 1, family });
    else if (family === null) same.athletes += 1;
    else Object.assign(same, { weight: larger(same.weight, weight), spots: [...same.spots, spot] });
  }
  return portions;
}

function apartLoads(portions: readonly Portion[], bands: readonly Band[], limit: Pool['limit']): Fraction[] {
  const loads: Fraction[] = [];
  for (const portion of portions) {
    const band = bands[portion.band];
    if (band === undefined || band.mixes !== 'apart' || band.limits.length === 0) continue;
    const own = share(portion, limit(portion.band, portion.spots));
    loads[portion.band] = plus(loads[portion.band] ?? ZERO, own);
  }
  return loads.filter((load) => load !== undefined);
}

/** The governing limit (the lowest, should it differ by place), and the largest of anybody; of the bandless, what governs. */
function limitsPresent(
  portions: readonly Portion[],
  bands: readonly Band[],
  limit: Pool['limit'],
  governing: number,
): Pick<Ratio, 'limit' | 'largest'> {
  const asks = (band: number) => (bands[band]?.limits.length ?? 0) > 0;
  let lowest: Fraction | null = null;
  let largest: Fraction | null = null;
  for (const { band, spots } of portions) {
    const own = band === -1 ? governing : band;
    for (const spot of asks(own) ? spots : []) {
      const one = limit(own, [spot]);
      largest = largest === null ? one : larger(largest, one);
    }
    if (asks(governing) && isPooled(bands[band])) {
      const governed = limit(governing, spots);
      lowest = lowest === null ? governed : smaller(lowest, governed);
    }
  }
  return { limit: lowest, largest };
}
