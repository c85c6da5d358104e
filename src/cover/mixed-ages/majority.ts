import { governedBy, type MixedAges, overriding } from './pool.ts';

/** The band with most athletes governs everybody; of equal ones, the first listed. */
export const majority: MixedAges = (pool) => {
  const ruling = overriding(pool);
  if (ruling !== -1) return governedBy(pool, ruling);
  const most = Math.max(0, ...pool.heads);
  return governedBy(pool, most === 0 ? -1 : pool.heads.indexOf(most));
};
