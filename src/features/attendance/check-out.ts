import { and, desc, eq, inArray } from 'drizzle-orm';
import { lockCover } from '../../enforcement/lock.ts';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { attendance } from '../../tables/attendance.ts';
import { sessions } from '../../tables/schedule.ts';
import { zoneOf } from '../gyms/repo.ts';
import { type Coming, whereTo } from './arrivals.ts';
import { whoCollects } from './collecting.ts';
import { type NewMark, writeMarks } from './marks-repo.ts';
import { athletesMarkedAt, daysOfNow } from './repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Collected, Marked } from './schema.ts';

export interface Leaving {
  at: Date;
  collectedBy: Collected;
  /** From a device: it has happened, so that it is written whoever took them. */
  offline?: { id: string };
}
export interface Departure {
  athleteId: string;
  sessionId?: string | undefined;
}

/**
 * Checks children out, to somebody who may collect each of them.
 *
 * @returns what was marked, and whether all were given to somebody on record (else it is offline).
 * @throws Problem `may-not-collect`, at the desk.
 */
export async function checkOut(
  ctx: Context,
  gymId: string,
  departures: readonly Departure[],
  { at, collectedBy, offline }: Leaving,
): Promise<{ marked: Marked[]; mayCollect: boolean }> {
  let leaving: Coming[] = [];
  const lock = await lockCover(ctx, 'fact', async () => {
    leaving = await whereTo(ctx, gymId, await fromWhere(ctx, gymId, departures), at, 'departures');
    return {
      people: leaving.map(({ athleteId }) => athleteId),
      sessions: leaving.map(({ sessionId }) => sessionId),
    };
  });
  const ids = leaving.map(({ athleteId }) => athleteId);
  const takenBy = await whoCollects(ctx, gymId, ids, collectedBy, at);
  const mayNot = ids.filter((id) => !takenBy.get(id)?.may);
  const onRecord = (id: string) => takenBy.get(id)?.onRecord ?? false;
  if (mayNot.length > 0 && !offline) {
    throw refuse('may-not-collect', 'Nobody on record for them by that id may collect them today.', {
      athleteIds: mayNot,
    });
  }
  const marks = leaving.flatMap((one): NewMark[] => {
    if (one.state === 'left' && !offline) return [];
    if (one.state !== 'present' && one.state !== 'on-hold' && !offline) {
      throw refuse('conflict', 'They have not been checked in.');
    }
    return [
      {
        id: offline?.id ?? newId(),
        sessionId: one.sessionId,
        athleteId: one.athleteId,
        kind: 'out',
        at,
        collectorId: takenBy.get(one.athleteId)?.collectorId ?? null,
        as: one,
      },
    ];
  });
  const written = await writeMarks(ctx, lock, gymId, marks, offline !== undefined);
  for (const { id: markId, athleteId, sessionId, collectorId = null } of marks) {
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    await ctx.record(
      'attendance.checked-out',
      { subjectId: athleteId, gymId, revision },
      { sessionId, athleteId, markId, at: at.toISOString(), collectorId, onRecord: onRecord(athleteId) },
    );
  }
  const rows = await attendanceOf(ctx, leaving);
  const marked = leaving.map(({ athleteId, sessionId }, index) => ({
    attendance: found(rows[index], 'attendance'),
    markId: marks.find((mark) => mark.athleteId === athleteId && mark.sessionId === sessionId)?.id ?? null,
    alerts: [],
    stopped: false,
    custodyNote: null,
  }));
  return { marked, mayCollect: mayNot.length === 0 };
}

/**
 * Of whoever names no session, each that they are in today; else that which they came to last: of an earlier day somebody
 * may still wait to be marked out.
 */
async function fromWhere(ctx: Context, gymId: string, departures: readonly Departure[]): Promise<Departure[]> {
  const ids = departures.map(({ athleteId }) => athleteId);
  const known = await athletesMarkedAt(ctx, gymId, ids);
  const rows = await ctx.tx
    .select({ athleteId: attendance.athleteId, sessionId: attendance.sessionId, day: sessions.day })
    .from(attendance)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, attendance.sessionId)))
    .where(
      and(
        ours(ctx, attendance),
        eq(attendance.gymId, gymId),
        inArray(attendance.athleteId, some(ids)),
        inArray(attendance.state, ['present', 'on-hold']),
      ),
    )
    .orderBy(desc(attendance.since), attendance.sessionId);
  const days = daysOfNow(await zoneOf(ctx, gymId), ctx.now);
  return departures.flatMap(({ athleteId, sessionId }, index): Departure[] => {
    const pointer = `/departures/${index}`;
    if (!known.has(athleteId)) throw invalid(`${pointer}/athleteId`, 'There is no such athlete at this gym.');
    if (sessionId !== undefined) return [{ athleteId, sessionId }];
    const theirs = rows.filter((row) => row.athleteId === athleteId);
    if (theirs.length === 0) {
      throw invalid(`${pointer}/sessionId`, 'They are not here: name the session that they left.');
    }
    const ofToday = theirs.filter(({ day }) => days.includes(day));
    return ofToday.length > 0 ? ofToday : theirs.slice(0, 1);
  });
}
