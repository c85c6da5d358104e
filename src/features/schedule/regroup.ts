import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import { enrolledOn } from './enrolments-repo.ts';
import { groupsOf, insertPlaces, membersOf, releasePlaces } from './places-repo.ts';
import { readSession } from './read-sessions.ts';
import { getSession, getSessionAt, type SessionRow, updateSession } from './repo.ts';
import type { Regrouping, WholeSession } from './schema.ts';
import { staffDays } from './staff-days.ts';

/** Moves athletes to other groups of their session; one who is enrolled that day and has no place yet is given one. */
export async function regroup(
  ctx: Context,
  gymId: string,
  sessionId: string,
  ifMatch: number,
  { moves }: Regrouping,
): Promise<WholeSession> {
  const athleteIds = moves.map(({ athleteId }) => athleteId);
  const twice = athleteIds.findIndex((id, index) => athleteIds.indexOf(id) < index);
  if (twice >= 0) throw invalid(`/moves/${twice}/athleteId`, 'This athlete is moved twice.');
  const lock = await lockCover(ctx, 'choice', async () => {
    const session = await getSession(ctx, gymId, sessionId);
    await getMembers(ctx, session, athleteIds);
    return {
      days: [{ gymId, day: session.day }, ...(await staffDays(ctx, athleteIds, [session]))],
      people: athleteIds,
      sessions: [sessionId],
    };
  });
  const session = await getSessionAt(ctx, lock, gymId, sessionId, ifMatch);
  const { startsAt, endsAt } = session;
  const groupIds = (await groupsOf(ctx, [sessionId])).map(({ id }) => id);
  const stray = moves.findIndex(({ groupId }) => !groupIds.includes(groupId));
  if (stray >= 0) throw invalid(`/moves/${stray}/groupId`, 'There is no such group in this session.');
  const members = await getMembers(ctx, session, athleteIds);

  const changes = moves.filter(
    ({ athleteId, groupId }) => !members.some((one) => one.athleteId === athleteId && one.groupId === groupId),
  );
  const leaving = members.filter(({ athleteId }) => changes.some((one) => one.athleteId === athleteId));
  await asChoice(ctx, lock, async () => {
    await releasePlaces(
      ctx,
      lock,
      leaving.map(({ id }) => id),
    );
    await insertPlaces(
      ctx,
      lock,
      changes.map((one) => ({ sessionId, ...one, startsAt, endsAt })),
    );
    await updateSession(ctx, lock, sessionId, {});
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.regrouped',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, athleteIds: changes.map(({ athleteId }) => athleteId) },
  );
  return whole;
}

/** Who has a place now; refuses when one of these athletes has none and is not enrolled that day. */
async function getMembers(ctx: Context, { id, classId, day }: SessionRow, athleteIds: string[]) {
  const members = await membersOf(ctx, id);
  const enrolled = await enrolledOn(ctx, classId, day);
  const known = new Set([...enrolled, ...members.map(({ athleteId }) => athleteId)]);
  const stranger = athleteIds.findIndex((athleteId) => !known.has(athleteId));
  if (stranger >= 0) throw invalid(`/moves/${stranger}/athleteId`, 'This athlete is not enrolled on that day.');
  return members;
}
