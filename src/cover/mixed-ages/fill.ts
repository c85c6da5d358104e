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
    .map((portion) => ({ ...portion, limit: pool.limit(portion.band, portion.spot) }))
    .sort((a, b) => a.band - b.band || compare(a.limit, b.limit) || compare(b.weight, a.weight));

  let load = ZERO;
  let set: { limit: Fraction; size: Fraction } | null = null;
  for (const { athletes, weight, limit } of queue) {
    if (weight.n === 0n) continue;
    let left = athletes;
    while (left > 0) {
      if (set === null) set = { limit, size: ZERO };
      const room: number = floorOf(dividedBy(minus(set.limit, set.size), weight));
      const fits: number = set.size.n === 0n ? Math.max(1, Math.min(room, left)) : Math.min(room, left);
      set.size = plus(set.size, times(weight, fraction(fits)));
      left -= fits;
      if (left > 0) {
        load = plus(load, larger(ONE, dividedBy(set.size, set.limit)));
        set = null;
      }
    }
  }
  if (set !== null) load = plus(load, dividedBy(set.size, set.limit));
  return { load, governing: -1 };
};
