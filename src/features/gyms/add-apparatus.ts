import type { Context } from '../../platform/context.ts';
import { insertApparatus } from './repo.ts';
import type { Apparatus, NewApparatus } from './schema.ts';

/** Adds a kind of apparatus; it stands in no area yet. */
export async function addApparatus(ctx: Context, apparatus: NewApparatus): Promise<Apparatus> {
  const added = await insertApparatus(ctx, apparatus);
  await ctx.record('gyms.apparatus-added', { subjectId: added.id, revision: added.revision }, {});
  return added;
}
