import { plus, ZERO } from '../fraction.ts';
import { type MixedAges, share } from './pool.ts';

/** Each athlete is a fraction of a coach by the limit of their own band. */
export const proportional: MixedAges = (pool) => {
  let load = ZERO;
  for (const portion of pool.portions) {
    if (portion.band !== -1) load = plus(load, share(portion, pool.limit(portion.band, portion.spots)));
  }
  return { load, governing: -1 };
};
