import { and, asc, eq, gt, inArray, isNull, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { attendance } from '../../tables/attendance.ts';
import { levels, programmes } from '../../tables/curriculum.ts';
import { classes, classLevels, sessions } from '../../tables/schedule.ts';
import type { Class, ClassChanges, NewClass } from './schema.ts';

/** The levels of a programme, lowest first; null when there is no such programme. */
export async function findLevelsOf(ctx: Context, programmeId: string): Promise<string[] | null> {
  const rows = await ctx.tx
    .select({ levelId: levels.id })
    .from(programmes)
    .leftJoin(levels, and(ours(ctx, levels), eq(levels.programmeId, programmes.id)))
    .where(and(ours(ctx, programmes), eq(programmes.id, programmeId)))
    .orderBy(asc(levels.position));
  return rows.length === 0 ? null : rows.flatMap(({ levelId }) => (levelId === null ? [] : [levelId]));
}

const classColumns = (ctx: Context) => ({
  id: classes.id,
  name: classes.name,
  programmeId: classes.programmeId,
  levelIds: sql<string[]>`ARRAY(SELECT l.level_id::text FROM class_levels l
    JOIN levels v ON v.franchise_id = l.franchise_id AND v.id = l.level_id
    WHERE l.franchise_id = ${ctx.franchiseId} AND l.class_id = classes.id ORDER BY v.position)`,
  weekday: classes.weekday,
  time: classes.startsAt,
  durationMinutes: classes.durationMinutes,
  capacity: classes.capacity,
  from: classes.from,
  until: classes.until,
  revision: classes.revision,
});

export async function insertClass(
  ctx: Context,
  gymId: string,
  { levelIds, time, ...rest }: NewClass & { levelIds: string[] },
): Promise<Class> {
  const id = newId();
  const ofTenant = { franchiseId: ctx.franchiseId };
  await ctx.tx.insert(classes).values({ ...ofTenant, id, gymId, startsAt: time, ...rest });
  await ctx.tx.insert(classLevels).values(levelIds.map((levelId) => ({ ...ofTenant, classId: id, levelId })));
  return { id, ...rest, levelIds, time, revision: 1 };
}

export async function getClass(ctx: Context, gymId: string, classId: string): Promise<Class> {
  const [row] = await ctx.tx
    .select(classColumns(ctx))
    .from(classes)
    .where(and(ours(ctx, classes), eq(classes.gymId, gymId), eq(classes.id, classId)));
  return found(row, 'class');
}

/** In the order in which they were made. */
export async function listClasses(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select(classColumns(ctx))
    .from(classes)
    .where(and(ours(ctx, classes), eq(classes.gymId, gymId), after ? gt(classes.id, after) : undefined))
    .orderBy(asc(classes.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Class => row,
    (row) => [row.id],
  );
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updateClass(
  ctx: Context,
  _lock: CoverLock,
  classId: string,
  ifMatch: number,
  changes: ClassChanges,
): Promise<void> {
  const { rowCount } = await ctx.tx
    .update(classes)
    .set({ ...changes, revision: sql`${classes.revision} + 1` })
    .where(and(ours(ctx, classes), eq(classes.id, classId), eq(classes.revision, ifMatch)));
  if (rowCount !== 1) throw refuse('changed-meanwhile', 'The class has another revision by now.');
}

export interface SessionRow {
  id: string;
  gymId: string;
  classId: string;
  originalStart: string;
  day: string;
  startsAt: Date;
  endsAt: Date;
  planVersionId: string | null;
  cancelledAt: Date | null;
  revision: number;
}
const sessionColumns = {
  id: sessions.id,
  gymId: sessions.gymId,
  classId: sessions.classId,
  originalStart: sessions.originalStart,
  day: sessions.day,
  startsAt: sessions.startsAt,
  endsAt: sessions.endsAt,
  planVersionId: sessions.planVersionId,
  cancelledAt: sessions.cancelledAt,
  revision: sessions.revision,
};

export async function getSession(ctx: Context, gymId: string, sessionId: string): Promise<SessionRow> {
  const [row] = await ctx.tx
    .select(sessionColumns)
    .from(sessions)
    .where(and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.id, sessionId)));
  return found(row, 'session');
}

/**
 * A session that is about to be planned, read while it is locked. Refuses when it has another revision than the one that
 * the caller read, was cancelled or has ended.
 */
export async function getSessionAt(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  sessionId: string,
  ifMatch: number,
): Promise<SessionRow> {
  const session = await getSession(ctx, gymId, sessionId);
  if (session.revision !== ifMatch) throw refuse('changed-meanwhile', 'The session has another revision by now.');
  refuseUnlessOpen(ctx, session);
  return session;
}

/** Refuses to rewrite what has begun to happen. */
export function refuseOnceBegun(ctx: Context, { startsAt }: SessionRow): void {
  if (startsAt <= ctx.now) throw refuse('conflict', `The session began at ${startsAt.toISOString()}.`);
}

/** Refuses while somebody is marked as having come: to its day, whatever day it would have then. The lock holds the session. */
export async function refuseOnceCome(ctx: Context, { id }: SessionRow): Promise<void> {
  const came = inArray(attendance.state, ['present', 'on-hold', 'left']);
  const rows = await ctx.tx
    .select({ athleteId: attendance.athleteId })
    .from(attendance)
    .where(and(ours(ctx, attendance), eq(attendance.sessionId, id), came))
    .limit(1);
  if (rows.length > 0) throw refuse('conflict', 'Somebody has been checked in to it: take that back first.');
}

/** Refuses to plan a session that was cancelled or has ended. */
export function refuseUnlessOpen(ctx: Context, { cancelledAt, endsAt, day }: SessionRow): void {
  if (cancelledAt !== null) throw refuse('conflict', `The session on ${day} was cancelled.`);
  if (endsAt <= ctx.now) throw refuse('already-over', `The session ended at ${endsAt.toISOString()}.`);
}

/** A class's sessions that have not ended nor been cancelled, from a day on, by their start. */
export const openSessions = (ctx: Context, classId: string, from: string): Promise<SessionRow[]> =>
  ctx.tx
    .select(sessionColumns)
    .from(sessions)
    .where(
      and(
        ours(ctx, sessions),
        eq(sessions.classId, classId),
        sql`${sessions.day} >= ${from}`,
        gt(sessions.endsAt, ctx.now),
        isNull(sessions.cancelledAt),
      ),
    )
    .orderBy(asc(sessions.startsAt), asc(sessions.id));

/** The class's sessions with these original local starts. */
export const sessionsStarting = (ctx: Context, classId: string, originalStarts: string[]): Promise<SessionRow[]> =>
  ctx.tx
    .select(sessionColumns)
    .from(sessions)
    .where(and(ours(ctx, sessions), eq(sessions.classId, classId), inArray(sessions.originalStart, originalStarts)));

export interface NewSession {
  id: string;
  gymId: string;
  classId: string;
  originalStart: string;
  day: string;
  startsAt: Date;
  endsAt: Date;
}

export async function insertSessions(ctx: Context, _lock: CoverLock, rows: NewSession[]): Promise<void> {
  if (rows.length === 0) return;
  await ctx.tx.insert(sessions).values(rows.map((row) => ({ franchiseId: ctx.franchiseId, ...row })));
}

/** Writes to a session and counts it. */
export async function updateSession(
  ctx: Context,
  _lock: CoverLock,
  sessionId: string,
  changes: Partial<Pick<SessionRow, 'day' | 'startsAt' | 'endsAt' | 'planVersionId' | 'cancelledAt'>> & {
    termId?: string | null;
    termWeek?: number | null;
    cancelledWhy?: string;
  },
): Promise<number> {
  const [row] = await ctx.tx
    .update(sessions)
    .set({ ...changes, revision: sql`${sessions.revision} + 1` })
    .where(and(ours(ctx, sessions), eq(sessions.id, sessionId)))
    .returning({ revision: sessions.revision });
  return found(row, 'session').revision;
}
