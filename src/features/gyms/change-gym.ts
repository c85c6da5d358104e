import type { Context } from '../../platform/context.ts';
import { updateGym } from './repo.ts';
import type { Gym, GymChanges } from './schema.ts';

/** Changes a gym's name or its window of confirmation, neither of which cover depends on. */
export async function changeGym(ctx: Context, gymId: string, ifMatch: number, changes: GymChanges): Promise<Gym> {
  const gym = await updateGym(ctx, gymId, ifMatch, changes);
  await ctx.record(
    'gyms.changed',
    { subjectId: gymId, gymId, revision: gym.revision },
    { fields: Object.keys(changes) },
  );
  return gym;
}
