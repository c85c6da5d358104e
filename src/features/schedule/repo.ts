import { and, asc, eq, gt, inArray, isNull, lte, or, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { levels, programmes } from '../../tables/curriculum.ts';
import { gyms } from '../../tables/gyms.ts';
import { athletes } from '../../tables/people.ts';
import { classes, classLevels, enrolments, sessions } from '../../tables/schedule.ts';
import type { Class, ClassChanges, Enrolment, NewClass } from './schema.ts';

export interface Paging {
  limit: number;
  cursor?: string | undefined;
}

export async function getZone(ctx: Context, gymId: string): Promise<string> {
  const [row] = await ctx.tx
    .select({ zone: gyms.zone })
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  return found(row, 'gym').zone;
}

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

/** Is there such an athlete at this gym, who has not left? */
export async function isAthleteAt(ctx: Context, gymId: string, athleteId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: athletes.personId })
    .from(athletes)
    .where(
      and(ours(ctx, athletes), eq(athletes.gymId, gymId), eq(athletes.personId, athleteId), isNull(athletes.leftAt)),
    );
  return rows.length === 1;
}

const enrolmentColumns = {
  id: enrolments.id,
  classId: enrolments.classId,
  athleteId: enrolments.athleteId,
  category: enrolments.category,
  from: enrolments.from,
  until: enrolments.until,
  revision: enrolments.revision,
};

export async function insertEnrolment(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  enrolment: Omit<Enrolment, 'id' | 'revision'>,
): Promise<Enrolment> {
  const row = { id: newId(), ...enrolment };
  try {
    await ctx.tx.insert(enrolments).values({ franchiseId: ctx.franchiseId, gymId, ...row });
  } catch (error) {
    if (violates(error, 'exclusion', 'enrolments_once')) {
      throw refuse('already-exists', `That athlete is already enrolled in this class on or after ${enrolment.from}.`);
    }
    throw error;
  }
  return { ...row, revision: 1 };
}

export async function getEnrolment(ctx: Context, classId: string, enrolmentId: string): Promise<Enrolment> {
  const [row] = await ctx.tx
    .select(enrolmentColumns)
    .from(enrolments)
    .where(and(ours(ctx, enrolments), eq(enrolments.classId, classId), eq(enrolments.id, enrolmentId)));
  return found(row, 'enrolment');
}

export async function listEnrolments(ctx: Context, classId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select(enrolmentColumns)
    .from(enrolments)
    .where(and(ours(ctx, enrolments), eq(enrolments.classId, classId), after ? gt(enrolments.id, after) : undefined))
    .orderBy(asc(enrolments.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Enrolment => row,
    (row) => [row.id],
  );
}

/** The days of everybody who is enrolled on `from` or later; enrolments that were ended before they began are none. */
export function enrolledDays(ctx: Context, classId: string, from: string) {
  return ctx.tx
    .select({ from: enrolments.from, until: enrolments.until })
    .from(enrolments)
    .where(
      and(
        ours(ctx, enrolments),
        eq(enrolments.classId, classId),
        or(isNull(enrolments.until), and(gt(enrolments.until, from), gt(enrolments.until, enrolments.from))),
      ),
    );
}

/** Who is enrolled on a day, in the order in which they were enrolled. */
export async function enrolledOn(ctx: Context, classId: string, day: string): Promise<string[]> {
  const rows = await ctx.tx
    .select({ athleteId: enrolments.athleteId })
    .from(enrolments)
    .where(
      and(
        ours(ctx, enrolments),
        eq(enrolments.classId, classId),
        lte(enrolments.from, day),
        or(isNull(enrolments.until), gt(enrolments.until, day)),
      ),
    )
    .orderBy(asc(enrolments.id));
  return rows.map(({ athleteId }) => athleteId);
}

export async function endEnrolment(
  ctx: Context,
  _lock: CoverLock,
  enrolmentId: string,
  until: string,
): Promise<Enrolment> {
  const [row] = await ctx.tx
    .update(enrolments)
    .set({ until, revision: sql`${enrolments.revision} + 1` })
    .where(and(ours(ctx, enrolments), eq(enrolments.id, enrolmentId)))
    .returning(enrolmentColumns);
  return found(row, 'enrolment');
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

/** Meetings, one of each, of two classes that an athlete is enrolled in, at the same time; the first, or null. */
export async function findDoubleBooking(ctx: Context, athleteId: string, meetings: readonly SessionRow[]) {
  if (meetings.length === 0) return null;
  const ids = meetings.map(({ id }) => id);
  const { rows } = await ctx.tx.execute<{ name: string; day: string }>(sql`
    SELECT c.name, s.day::text AS day FROM sessions s
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    JOIN enrolments e ON e.franchise_id = ${ctx.franchiseId} AND e.class_id = s.class_id AND e.athlete_id = ${athleteId}
      AND e.from_day <= s.day AND (e.until_day IS NULL OR e.until_day > s.day)
    JOIN sessions m ON m.franchise_id = ${ctx.franchiseId} AND m.id = ANY(${sql.param(ids)}::uuid[])
      AND m.class_id <> s.class_id AND m.starts_at < s.ends_at AND m.ends_at > s.starts_at
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.cancelled_at IS NULL
    ORDER BY s.starts_at, s.id LIMIT 1`);
  return rows[0] ?? null;
}
