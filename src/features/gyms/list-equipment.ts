import type { Context } from '../../platform/context.ts';
import type { Paging } from '../../platform/http/paging.ts';
import { listStock } from './equipment-repo.ts';
import { type Equipment, NONE_SHORT } from './schema.ts';
import { shortStations } from './short-stations-repo.ts';

const MOST_SHORT = 20;

/** A gym's stock, kind by kind, each with the first 20 stations ahead for which there is not enough. */
export async function listEquipment(ctx: Context, gymId: string, paging: Paging) {
  const { items, ...page } = await listStock(ctx, gymId, paging);
  const kinds = items.map(({ apparatusId }) => apparatusId);
  const short = await shortStations(ctx, gymId, kinds, MOST_SHORT);
  return {
    ...page,
    items: items.map((one): Equipment => ({ ...one, short: short.get(one.apparatusId) ?? NONE_SHORT })),
  };
}
