import { compare, dividedBy, floorOf, fraction, larger, minus, ONE, plus, times, ZERO } from '../fraction.ts';
import type { Fraction } from '../types.ts';
import type { MixedAges } from './pool.ts';

/**
 * Whole coaches are filled, youngest first, each up to the limit of the youngest in their set; the last set counts by its
 * size. A child is never split over two sets. Within a band, those with the lower limit go first.
 */
export const fill: MixedAges = (pool) => {
  const queue = pool.portions
    .filter(({ band }) => band !== -1)
    .map((portion) => ({ ...portion, limit: pool.limit(portion.band, portion.spots) }))
    .sort((a, b) => a.band - b.band || compare(a.limit, b.limit) || compare(b.weight, a.weight));

  let load = ZERO;
  let set: { limit: Fraction; size: Fraction } | null = null;
  for (const { athletes, weight, limit } of queue) {
    let left = athletes;
    while (left > 0) {
      if (set !== null) {
        const fits: number = Math.min(left, roomIn(set.limit, set.size, weight));
        set.size = plus(set.size, times(weight, fraction(fits)));
        left -= fits;
        if (left === 0) break;
        load = plus(load, larger(ONE, dividedBy(set.size, set.limit)));
      }
      set = { limit, size: weight }; // the first of a set always fits
      left -= 1;
    }
  }
  return { load: set === null ? load : plus(load, dividedBy(set.size, set.limit)), governing: -1 };
};

function roomIn(limit: Fraction, size: Fraction, weight: Fraction): number {
  if (weight.n === 0n) return compare(size, limit) <= 0 ? Number.POSITIVE_INFINITY : 0;
  return Math.max(0, floorOf(dividedBy(minus(limit, size), weight)));
}
