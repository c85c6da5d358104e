import { governedBy, type MixedAges, overriding, type Pool } from './pool.ts';

/** The youngest band present governs everybody; youngest is the first listed. */
export const youngest: MixedAges = (pool) => governedBy(pool, youngestOf(pool));

export function youngestOf(pool: Pool): number {
  const ruling = overriding(pool);
  return ruling !== -1 ? ruling : pool.heads.findIndex((heads) => heads > 0);
}
