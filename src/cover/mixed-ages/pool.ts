import { dividedBy, fraction, ONE, plus, times, ZERO } from '../fraction.ts';
import type { Spot } from '../scene.ts';
import type { Band, Fraction, Id } from '../types.ts';

/**
 * Athletes who weigh the same, of one band (-1: nobody's), in one place; or a family, where its band counts families: as
 * its heaviest child, wherever the limit is lowest.
 */
export type Portion = { band: number; spots: Spot[]; weight: Fraction; athletes: number; family: Id | null };

/** What a mixed-age method divides: the athletes of bands that ask something and don't stand apart, and the bandless. */
export type Pool = {
  bands: readonly Band[];
  portions: readonly Portion[];
  /** Heads by band among those whose ages govern: those present, or those enrolled. */
  heads: readonly number[];
  total: number;
  limit: (band: number, spots: readonly Spot[]) => Fraction;
};

/** The load, and the index of the band that governed all of them (-1 where each band has its own say). */
export type MixedAges = (pool: Pool) => { load: Fraction; governing: number };

/** Everybody, the bandless included, divided by one band's limit. */
export function governedBy(pool: Pool, governing: number): { load: Fraction; governing: number } {
  if (governing === -1 || pool.bands[governing]?.limits.length === 0) return { load: ZERO, governing };
  let load = ZERO;
  for (const portion of pool.portions) load = plus(load, share(portion, pool.limit(governing, portion.spots)));
  return { load, governing };
}

/** The band that must govern as soon as one of it is there; -1 for none. */
export function overriding({ bands, heads }: Pool): number {
  return bands.findIndex((band, i) => band.mixes === 'rules' && (heads[i] ?? 0) > 0);
}

/** What a portion weighs against a limit. */
export function share(portion: Portion, limit: Fraction): Fraction {
  const weight =
    portion.weight === ONE ? fraction(portion.athletes) : times(portion.weight, fraction(portion.athletes));
  return dividedBy(weight, limit);
}
