import { bumpHeld, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { sessionsOnWire } from './read-sessions.ts';
import { getClass, insertSessions, type NewSession, sessionsStarting } from './repo.ts';
import type { Class, LaidOutSessions, SessionWeeks } from './schema.ts';
import { daysBetween, meetingOn, weekdaysIn } from './zone-time.ts';

const MOST_WEEKS = 26;

/**
 * Lays out a class's sessions in a span of days: one for each dated meeting, within the days of the class. Those that
 * are there already, known by their original local start, are left as they are, so that asking again is harmless.
 */
export async function layOutSessions(
  ctx: Context,
  gymId: string,
  classId: string,
  { from, until }: SessionWeeks,
): Promise<LaidOutSessions> {
  if (until <= from) throw invalid('/until', `Expected a day after ${from}.`);
  if (daysBetween(from, until) > MOST_WEEKS * 7) {
    throw invalid('/until', `Lay out at the most ${MOST_WEEKS} weeks at once.`);
  }
  const zone = await zoneOf(ctx, gymId);
  const meetings = async () => meetingsOf(await getClass(ctx, gymId, classId), gymId, from, until, zone);
  const lock = await lockCover(ctx, 'choice', async () => ({
    classes: [classId],
    days: (await meetings()).map(({ day }) => ({ gymId, day })),
  }));

  const wanted = await meetings();
  const starts = wanted.map(({ originalStart }) => originalStart);
  const there = starts.length === 0 ? [] : await sessionsStarting(ctx, classId, starts);
  const missing = wanted.filter(({ originalStart }) => !there.some((one) => one.originalStart === originalStart));
  if (missing.length > 0) {
    await insertSessions(ctx, lock, missing);
    await bumpHeld(ctx, lock);
    const sessionIds = missing.map(({ id }) => id);
    await ctx.record('schedule.sessions-laid-out', { subjectId: classId, gymId }, { classId, sessionIds });
  }
  const ids = (rows: { id: string }[]) => rows.map(({ id }) => id);
  return {
    laidOut: await sessionsOnWire(ctx, ids(missing)),
    alreadyThere: await sessionsOnWire(ctx, ids(there)),
  };
}

function meetingsOf(its: Class, gymId: string, from: string, until: string, zone: string): NewSession[] {
  const first = from > its.from ? from : its.from;
  const end = its.until !== null && its.until < until ? its.until : until;
  if (end <= first) return [];
  return weekdaysIn(first, end, its.weekday).map((day) => {
    const meeting = meetingOn(day, its.time, its.durationMinutes, zone);
    if (meeting === null) {
      throw refuse('conflict', `On ${day} the clocks change, and the session would run past midnight: leave it out.`);
    }
    return { id: newId(), gymId, classId: its.id, originalStart: `${day}T${its.time}`, day, ...meeting };
  });
}
