import type { Context } from '../../platform/context.ts';
import { updateApparatus } from './repo.ts';
import type { Apparatus, ApparatusChanges } from './schema.ts';

/** Changes a kind of apparatus. Rules and plans mean it by its id, so no cover depends on its name, nor on its size. */
export async function changeApparatus(
  ctx: Context,
  apparatusId: string,
  ifMatch: number,
  changes: ApparatusChanges,
): Promise<Apparatus> {
  const changed = await updateApparatus(ctx, apparatusId, ifMatch, changes);
  await ctx.record('gyms.apparatus-changed', { subjectId: apparatusId, revision: changed.revision }, {});
  return changed;
}
