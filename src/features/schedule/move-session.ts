import { asChoice } from '../../enforcement/choice.ts';
import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { insertStaff, releaseStaff, shiftBlocks, staffOf } from './blocks-repo.ts';
import { enrolledOn } from './enrolments-repo.ts';
import { groupsOf, insertPlaces, membersOf, type NewPlace, releasePlaces } from './places-repo.ts';
import { readSession } from './read-sessions.ts';
import {
  getClass,
  getSession,
  getSessionAt,
  refuseOnceBegun,
  refuseOnceCome,
  type SessionRow,
  updateSession,
} from './repo.ts';
import type { SessionMove, WholeSession } from './schema.ts';
import { smallestGroup } from './smallest-group.ts';
import { staffDays } from './staff-days.ts';
import { type Meeting, meetingOn } from './zone-time.ts';

const WHY = 'session moved';

/**
 * Moves a session that has not begun to another wall time, that day or another. It stays the same session: its blocks,
 * the staff placed on it and its athletes move along; who is no longer enrolled on the new day stays behind, and who
 * has been enrolled by then is given a place. Not to another day once somebody has come: that was on this one.
 */
export async function moveSession(
  ctx: Context,
  gymId: string,
  sessionId: string,
  ifMatch: number,
  { day, time }: SessionMove,
): Promise<WholeSession> {
  const lock = await lockCover(ctx, 'choice', async () => {
    const session = await getSession(ctx, gymId, sessionId);
    const members = (await membersOf(ctx, sessionId)).map(({ athleteId }) => athleteId);
    const athletes = [...members, ...(await enrolledOn(ctx, session.classId, day))];
    const staff = (await staffOf(ctx, sessionId)).map(({ personId }) => personId);
    const days = [session.day, day].map((one) => ({ gymId, day: one }));
    return {
      classes: [session.classId],
      days: [...days, ...(await staffDays(ctx, athletes, [session, await meetingFor(ctx, session, day, time)]))],
      people: [...athletes, ...staff],
      sessions: [sessionId],
    };
  });
  const session = await getSessionAt(ctx, lock, gymId, sessionId, ifMatch);
  refuseOnceBegun(ctx, session);
  if (day !== session.day) await refuseOnceCome(ctx, session);
  const to = await meetingFor(ctx, session, day, time);
  if (to.startsAt <= ctx.now) throw invalid('/day', 'Expected a time that is yet to come.');
  const { until } = await getClass(ctx, gymId, session.classId);
  if (until !== null && day >= until) throw invalid('/day', `Expected a day before ${until}, when the class ends.`);

  await asChoice(ctx, lock, async () => {
    const byMs = to.startsAt.getTime() - session.startsAt.getTime();
    await shiftBlocks(ctx, lock, sessionId, byMs, day);
    await updateSession(ctx, lock, sessionId, { day, ...to });
    await moveAthletes(ctx, lock, session, day, to);
    await moveStaff(ctx, lock, session, day, byMs);
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.session-moved',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, from: session.startsAt.toISOString(), to: whole.startsAt },
  );
  return whole;
}

async function meetingFor(
  ctx: Context,
  { gymId, startsAt, endsAt }: SessionRow,
  day: string,
  time: string,
): Promise<Meeting> {
  const minutes = (endsAt.getTime() - startsAt.getTime()) / 60_000;
  const to = meetingOn(day, time, minutes, await zoneOf(ctx, gymId));
  if (to === null) throw invalid('/time', `A session ends by midnight, and this one takes ${minutes} minutes.`);
  return to;
}

async function moveAthletes(
  ctx: Context,
  lock: CoverLock,
  { id: sessionId, classId }: SessionRow,
  day: string,
  to: Meeting,
): Promise<void> {
  const members = await membersOf(ctx, sessionId);
  await releasePlaces(
    ctx,
    lock,
    members.map(({ id }) => id),
  );
  const groups = await groupsOf(ctx, [sessionId]);
  const enrolled = await enrolledOn(ctx, classId, day);
  const groupOf = new Map(members.map(({ athleteId, groupId }) => [athleteId, groupId]));
  const places: NewPlace[] = [];
  const place = (athleteId: string, group: (typeof groups)[number] | null | undefined) => {
    if (!group) return;
    group.athletes += 1;
    places.push({ sessionId, groupId: group.id, athleteId, ...to });
  };
  for (const athleteId of enrolled.filter((id) => groupOf.has(id))) {
    place(
      athleteId,
      groups.find(({ id }) => id === groupOf.get(athleteId)),
    );
  }
  for (const athleteId of enrolled.filter((id) => !groupOf.has(id))) place(athleteId, smallestGroup(groups));
  await insertPlaces(ctx, lock, places);
}

async function moveStaff(
  ctx: Context,
  lock: CoverLock,
  { id: sessionId, gymId }: SessionRow,
  day: string,
  byMs: number,
): Promise<void> {
  const staff = await staffOf(ctx, sessionId);
  await releaseStaff(
    ctx,
    lock,
    staff.map(({ id }) => id),
    WHY,
  );
  const moved = staff.map((one) => ({
    ...one,
    id: newId(),
    day,
    startsAt: new Date(one.startsAt.getTime() + byMs),
    endsAt: new Date(one.endsAt.getTime() + byMs),
    createdAt: ctx.now,
    createdBy: ctx.accountId,
  }));
  await insertStaff(ctx, lock, moved);
  for (const [index, { id, personId, duty, per, blockId }] of staff.entries()) {
    const unit = { per, id: blockId ?? sessionId };
    const next = moved[index];
    await ctx.record('staffing.released', { subjectId: id, gymId }, { personId, duty, unit, why: WHY });
    if (next) await ctx.record('staffing.assigned', { subjectId: next.id, gymId }, { personId, duty, unit });
  }
}
