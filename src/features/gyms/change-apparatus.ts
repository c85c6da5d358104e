import type { Context } from '../../platform/context.ts';
import { updateApparatus } from './repo.ts';
import type { Apparatus, ApparatusChanges } from './schema.ts';

/** Renames a kind of apparatus; rules and plans mean it by its id, so no cover depends on its name. */
export async function changeApparatus(
  ctx: Context,
  apparatusId: string,
  ifMatch: number,
  { name }: ApparatusChanges,
): Promise<Apparatus> {
  const changed = await updateApparatus(ctx, apparatusId, ifMatch, name);
  await ctx.record('gyms.apparatus-changed', { subjectId: apparatusId, revision: changed.revision }, {});
  return changed;
}
