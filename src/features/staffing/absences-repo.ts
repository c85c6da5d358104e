import { and, asc, eq, gt, gte, isNull, lte, ne, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { absences } from '../../tables/index.ts';
import type { Absence } from './schema.ts';

export const absenceOnWire = (row: typeof absences.$inferSelect): Absence => ({
  id: row.id,
  personId: row.personId,
  startsAt: instantOf(row.startsAt),
  endsAt: instantOf(row.endsAt),
  withdrawnAt: maybeInstant(row.withdrawnAt),
});

export async function insertAbsence(ctx: Context, _lock: CoverLock, personId: string, startsAt: Date, endsAt: Date) {
  const [row] = await ctx.tx
    .insert(absences)
    .values({
      franchiseId: ctx.franchiseId,
      id: newId(),
      personId,
      startsAt,
      endsAt,
      createdAt: ctx.now,
      createdBy: ctx.accountId,
    })
    .returning();
  if (!row) throw new Error('an absence was not inserted');
  return row;
}

/** Another absence of theirs that stands, and that all of this one is in already. */
export async function findContaining(ctx: Context, { id, personId, startsAt, endsAt }: typeof absences.$inferSelect) {
  const [row] = await ctx.tx
    .select({ id: absences.id })
    .from(absences)
    .where(
      and(
        ours(ctx, absences),
        eq(absences.personId, personId),
        ne(absences.id, id),
        isNull(absences.withdrawnAt),
        lte(absences.startsAt, startsAt),
        gte(absences.endsAt, endsAt),
      ),
    )
    .limit(1);
  return row ?? null;
}

/** An absence of somebody whom this gym employs during it. */
export async function findAbsence(ctx: Context, gymId: string, absenceId: string) {
  const [row] = await ctx.tx
    .select()
    .from(absences)
    .where(and(ours(ctx, absences), eq(absences.id, absenceId), employedAt(ctx, gymId)));
  return row ?? null;
}

export const getAbsence = async (ctx: Context, gymId: string, absenceId: string) =>
  found(await findAbsence(ctx, gymId, absenceId), 'absence');

/**
 * The gym employs the absent person on a day of the absence. Written out: in a select from one table, drizzle gives its
 * columns no table, and the inner one's would be meant.
 */
const employedAt = (ctx: Context, gymId: string) =>
  sql`EXISTS (SELECT FROM employments e JOIN gyms g ON g.franchise_id = ${ctx.franchiseId} AND g.id = e.gym_id
    WHERE e.franchise_id = ${ctx.franchiseId} AND e.person_id = absences.person_id AND e.gym_id = ${gymId}
    AND e.from_day <= (absences.ends_at AT TIME ZONE g.zone)::date
    AND (e.until_day IS NULL OR e.until_day > (absences.starts_at AT TIME ZONE g.zone)::date))`;

export async function setAbsenceWithdrawn(ctx: Context, _lock: CoverLock, absenceId: string) {
  const [row] = await ctx.tx
    .update(absences)
    .set({ withdrawnAt: ctx.now })
    .where(and(ours(ctx, absences), eq(absences.id, absenceId), isNull(absences.withdrawnAt)))
    .returning();
  if (!row) throw refuse('conflict', 'That absence has been withdrawn already.');
  return row;
}

export async function listAbsences(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(absences)
    .where(and(ours(ctx, absences), employedAt(ctx, gymId), after ? gt(absences.id, after) : undefined))
    .orderBy(asc(absences.id))
    .limit(limit + 1);
  return pageOf(rows, limit, absenceOnWire, (row) => [row.id]);
}
