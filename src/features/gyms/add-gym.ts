import type { Context } from '../../platform/context.ts';
import { insertGym } from './repo.ts';
import type { Gym, NewGym } from './schema.ts';

/** Adds a gym to the franchise; nothing is planned there yet. */
export async function addGym(ctx: Context, gym: NewGym): Promise<Gym> {
  const added = await insertGym(ctx, gym);
  await ctx.record('gyms.added', { subjectId: added.id, gymId: added.id, revision: added.revision }, {});
  return added;
}
