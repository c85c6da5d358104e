import { sql } from 'drizzle-orm';
import { localDay } from '../../cover/index.ts';
import { lockCover, lockGym } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import * as repo from './repo.ts';
import type { Gym, GymChanges } from './schema.ts';

/** Changes a gym's name or settings. What happens at the door depends on `door`, so that the days ahead are held for it. */
export async function changeGym(ctx: Context, gymId: string, ifMatch: number, changes: GymChanges): Promise<Gym> {
  if (changes.door !== undefined) {
    await lockGym(ctx, gymId, 'alone');
    await lockCover(ctx, 'fact', async () => ({ days: await daysAhead(ctx, gymId) }));
  }
  const gym = await repo.updateGym(ctx, gymId, ifMatch, changes);
  await ctx.record(
    'gyms.changed',
    { subjectId: gymId, gymId, revision: gym.revision },
    { fields: Object.keys(changes) },
  );
  return gym;
}

/** Today, and each day after it on which something was changed. */
async function daysAhead(ctx: Context, gymId: string) {
  const { zone } = await repo.getGym(ctx, gymId);
  const today = localDay(zone, ctx.now.getTime());
  const { rows } = await ctx.tx.execute<{ day: string }>(sql`
    SELECT day::text AS day FROM gym_days WHERE franchise_id = ${ctx.franchiseId} AND gym_id = ${gymId} AND day > ${today}`);
  return [today, ...rows.map(({ day }) => day)].map((day) => ({ gymId, day }));
}
