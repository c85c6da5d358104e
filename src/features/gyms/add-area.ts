import type { Context } from '../../platform/context.ts';
import { insertArea } from './repo.ts';
import type { Area, NewArea } from './schema.ts';

/** Adds an area to a gym's hall; no block is there yet, so no cover depends on it. */
export async function addArea(ctx: Context, gymId: string, area: NewArea): Promise<Area> {
  const added = await insertArea(ctx, gymId, area);
  await ctx.record('gyms.area-added', { subjectId: added.id, gymId, revision: added.revision }, { areaId: added.id });
  return added;
}
