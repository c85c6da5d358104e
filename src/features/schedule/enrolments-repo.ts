import { and, asc, eq, gt, isNull, lte, or, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { athletes } from '../../tables/people.ts';
import { enrolments } from '../../tables/schedule.ts';
import type { SessionRow } from './repo.ts';
import type { Enrolment } from './schema.ts';

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
