import { atLeast, fraction } from '../fraction.ts';
import type { Mixed } from '../types.ts';
import { governedBy, type MixedAges, overriding } from './pool.ts';
import { youngestOf } from './youngest.ts';

/** The first row whose band is there in number or in share names the band that governs; without such a row, the youngest. */
export function composition(rows: Extract<Mixed, { method: 'composition' }>['rows']): MixedAges {
  return (pool) => {
    const ruling = overriding(pool);
    if (ruling !== -1) return governedBy(pool, ruling);
    const bandAt = (id: string) => pool.bands.findIndex((band) => band.id === id);
    const row = rows.find(({ ifBand, atLeast: least, use }) => {
      if (bandAt(use) === -1) return false;
      const heads = pool.heads[bandAt(ifBand)] ?? 0;
      if ('count' in least) return heads >= least.count;
      return pool.total > 0 && atLeast(fraction(heads, pool.total), least.share);
    });
    return governedBy(pool, row === undefined ? youngestOf(pool) : bandAt(row.use));
  };
}
