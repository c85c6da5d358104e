import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { fullestDay } from './capacity.ts';
import { enrolledDays, findDoubleBooking, insertEnrolment, isAthleteAt } from './enrolments-repo.ts';
import { groupsOf, insertPlaces } from './places-repo.ts';
import { getClass, openSessions, type SessionRow } from './repo.ts';
import type { Class, Enrolled, NewEnrolment } from './schema.ts';
import { smallestGroup } from './smallest-group.ts';
import { staffDays } from './staff-days.ts';

/**
 * Enrols an athlete in a class from a day on, and gives them a place in the smallest group of every session that is
 * laid out with groups, from that day on. Refuses when the class is full on one of those days, when the athlete would
 * be in two places, and when a confirmed block would be uncovered.
 */
export async function enrol(
  ctx: Context,
  gymId: string,
  classId: string,
  { athleteId, from, category = null }: NewEnrolment,
): Promise<Enrolled> {
  const lock = await lockCover(ctx, 'choice', async () => {
    const { until } = await getClass(ctx, gymId, classId);
    if (until !== null && from >= until) throw invalid('/from', `Expected a day before ${until}, when the class ends.`);
    if (!(await isAthleteAt(ctx, gymId, athleteId))) {
      throw invalid('/athleteId', 'There is no such athlete at this gym.');
    }
    const sessions = await openSessions(ctx, classId, from);
    const days = sessions.map(({ day }) => ({ gymId, day }));
    return {
      classes: [classId],
      days: [...days, ...(await staffDays(ctx, [athleteId], sessions))],
      people: [athleteId],
    };
  });
  await refuseWhenFull(ctx, await getClass(ctx, gymId, classId), from);

  const { done } = await asChoice(ctx, lock, async () => {
    const enrolment = await insertEnrolment(ctx, lock, gymId, { classId, athleteId, category, from, until: null });
    const sessions = await openSessions(ctx, classId, from);
    await refuseDoubleBooking(ctx, athleteId, sessions);
    const places = await placesFor(ctx, athleteId, sessions);
    await insertPlaces(ctx, lock, places);
    return { enrolment, placedIn: places.map(({ sessionId }) => sessionId) };
  });
  await ctx.record(
    'schedule.enrolled',
    { subjectId: done.enrolment.id, gymId, revision: done.enrolment.revision },
    { classId, athleteId, from },
  );
  return done;
}

async function refuseWhenFull(ctx: Context, { id, name, capacity }: Class, from: string): Promise<void> {
  const { day, enrolled } = fullestDay(await enrolledDays(ctx, id, from), from);
  if (enrolled >= capacity) {
    const full = `“${name}” takes ${capacity} and has ${enrolled} enrolled on ${day}`;
    throw refuse('conflict', `${full}: choose another class, or raise its capacity.`);
  }
}

async function refuseDoubleBooking(ctx: Context, athleteId: string, sessions: SessionRow[]): Promise<void> {
  const other = await findDoubleBooking(ctx, athleteId, sessions);
  if (other) {
    const where = `The athlete is enrolled in “${other.name}”, which meets at the same time on ${other.day}`;
    throw refuse('conflict', `${where}: end that enrolment first, or choose another class.`);
  }
}

/** A place in the smallest group of each session, the first of several. */
async function placesFor(ctx: Context, athleteId: string, sessions: SessionRow[]) {
  if (sessions.length === 0) return [];
  const groups = await groupsOf(
    ctx,
    sessions.map(({ id }) => id),
  );
  return sessions.flatMap(({ id: sessionId, startsAt, endsAt }) => {
    const smallest = smallestGroup(groups.filter((group) => group.sessionId === sessionId));
    if (!smallest) return [];
    return [{ sessionId, groupId: smallest.id, athleteId, startsAt, endsAt }];
  });
}
