import { ceilOf, fraction, plus, ZERO } from '../fraction.ts';
import type { Fraction } from '../types.ts';
import { type MixedAges, share } from './pool.ts';

/** Each band is rounded up to whole coaches, then added. */
export const eachBand: MixedAges = (pool) => {
  const loads = new Map<number, Fraction>();
  for (const portion of pool.portions) {
    if (portion.band === -1) continue;
    const own = share(portion, pool.limit(portion.band, portion.spots));
    loads.set(portion.band, plus(loads.get(portion.band) ?? ZERO, own));
  }
  let coaches = 0;
  for (const load of loads.values()) coaches += ceilOf(load);
  return { load: fraction(coaches), governing: -1 };
};
