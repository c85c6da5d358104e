import { lockCover } from '../../enforcement/lock.ts';
import { asFact, type Settled } from '../../enforcement/settle.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { endEnrolment, getEnrolment } from './enrolments-repo.ts';
import { placesOf, releasePlaces } from './places-repo.ts';
import { getClass, openSessions } from './repo.ts';
import type { Enrolment } from './schema.ts';
import { staffDays } from './staff-days.ts';

/**
 * Ends an enrolment: `until` is the first day on which the athlete is no longer enrolled. A fact: it stands whatever it
 * leads to. The places in sessions from that day on that have not ended are given up.
 */
export async function unenrol(
  ctx: Context,
  at: { gymId: string; classId: string; enrolmentId: string },
  until: string,
): Promise<{ enrolment: Enrolment; releasedFrom: string[]; settled: Settled }> {
  const { gymId, classId, enrolmentId } = at;
  await getClass(ctx, gymId, classId);
  const { athleteId } = await getEnrolment(ctx, classId, enrolmentId);
  const lock = await lockCover(ctx, 'fact', async () => {
    const sessions = await openSessions(ctx, classId, until);
    const days = sessions.map(({ day }) => ({ gymId, day }));
    return {
      classes: [classId],
      days: [...days, ...(await staffDays(ctx, [athleteId], sessions))],
      people: [athleteId],
    };
  });

  const known = await getEnrolment(ctx, classId, enrolmentId);
  if (until < known.from) throw invalid('/until', `The enrolment begins on ${known.from}: expected that day or later.`);
  if (known.until !== null && until >= known.until) {
    throw refuse('conflict', `The enrolment ends on ${known.until} as it is; for longer, enrol the athlete again.`);
  }

  const { done, settled } = await asFact(ctx, lock, async () => {
    const enrolment = await endEnrolment(ctx, lock, enrolmentId, until);
    const sessions = await openSessions(ctx, classId, until);
    // From its old end on, places belong to another enrolment of theirs.
    const ids = sessions.filter(({ day }) => known.until === null || day < known.until).map(({ id }) => id);
    const places = ids.length === 0 ? [] : await placesOf(ctx, athleteId, ids);
    await releasePlaces(
      ctx,
      lock,
      places.map(({ id }) => id),
    );
    return { enrolment, releasedFrom: places.map(({ sessionId }) => sessionId).sort() };
  });
  await ctx.record(
    'schedule.unenrolled',
    { subjectId: enrolmentId, gymId, revision: done.enrolment.revision },
    { classId, athleteId, until },
  );
  return { ...done, settled };
}
