import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { fullestDay } from './capacity.ts';
import { enrolledDays } from './enrolments-repo.ts';
import { getClass, openSessions, updateClass } from './repo.ts';
import type { Class, ClassChanges } from './schema.ts';
import { dayOf } from './zone-time.ts';

/** Changes what may change once families have joined: the name, how many it takes, and its last day. */
export async function changeClass(
  ctx: Context,
  gymId: string,
  classId: string,
  ifMatch: number,
  changes: ClassChanges,
): Promise<Class> {
  await getClass(ctx, gymId, classId);
  const lock = await lockCover(ctx, 'choice', async () => ({ classes: [classId] }));
  const { capacity, from } = await getClass(ctx, gymId, classId);

  if (changes.capacity !== undefined && changes.capacity < capacity) {
    const today = dayOf(ctx.now, await zoneOf(ctx, gymId));
    const { day, enrolled } = fullestDay(await enrolledDays(ctx, classId, today), today);
    if (enrolled > changes.capacity) {
      throw refuse('conflict', `${enrolled} are enrolled on ${day}: end enrolments first, or keep room for them.`);
    }
  }
  const { until = null } = changes;
  if (until !== null) {
    if (until <= from) throw invalid('/until', `Expected a day after ${from}, or null.`);
    const after = await openSessions(ctx, classId, until);
    if (after.length > 0) {
      const days = `${after.length} sessions are laid out from ${after[0]?.day} on`;
      throw refuse('conflict', `${days}: cancel or move them first, or end the class later.`);
    }
  }

  await updateClass(ctx, lock, classId, ifMatch, changes);
  const changed = await getClass(ctx, gymId, classId);
  await ctx.record(
    'schedule.class-changed',
    { subjectId: classId, gymId, revision: changed.revision },
    { classId, fields: Object.keys(changes) },
  );
  return changed;
}
