import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { updateArea } from './repo.ts';
import type { AreaChanges, AreaRef, ChangedArea } from './schema.ts';

/**
 * Corrects an area. A fact about no certain day: no block is laid out there meanwhile, and whatever cover comes to depend
 * on is judged anew.
 */
export const changeArea = (ctx: Context, at: AreaRef, ifMatch: number, changes: AreaChanges): Promise<ChangedArea> =>
  undatedFact(ctx, async (lock) => {
    const { gymId, areaId } = at;
    const area = await updateArea(ctx, lock, at, ifMatch, changes);
    await ctx.record('gyms.area-changed', { subjectId: areaId, gymId, revision: area.revision }, { areaId });
    return area;
  });
