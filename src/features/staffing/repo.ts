import { and, asc, eq, gt, gte, inArray, isNull, lt, sql } from 'drizzle-orm';
import type { Duty, Span, Unit } from '../../cover/index.ts';
import type { CoverLock, GymDay } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { absences, assignments, blocks, employments, gyms, overrides, sessions } from '../../tables/index.ts';
import type { Absence, Assignment, NewOverride, Override } from './schema.ts';

type AssignmentRow = typeof assignments.$inferSelect;

export interface Paging {
  limit: number;
  cursor?: string | undefined;
}

/** A unit of cover with its day and span: where somebody can be placed. */
export interface UnitAt extends GymDay {
  unit: Unit;
  span: Span;
}

export async function getBlockUnit(ctx: Context, gymId: string, blockId: string) {
  const [row] = await ctx.tx
    .select({ block: blocks, cancelledAt: sessions.cancelledAt })
    .from(blocks)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId)))
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.id, blockId)));
  const { block, cancelledAt } = found(row, 'block');
  return { block, cancelledAt, at: unitAt({ per: 'block', id: block.id }, block) };
}

export async function getSessionUnit(ctx: Context, gymId: string, sessionId: string) {
  const [row] = await ctx.tx
    .select()
    .from(sessions)
    .where(and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.id, sessionId)));
  const session = found(row, 'session');
  return { session, at: unitAt({ per: 'session', id: session.id }, session) };
}

const unitAt = (unit: Unit, row: { gymId: string; day: string; startsAt: Date; endsAt: Date }): UnitAt => ({
  unit,
  gymId: row.gymId,
  day: row.day,
  span: { from: row.startsAt.getTime(), to: row.endsAt.getTime() },
});

export async function getZone(ctx: Context, gymId: string): Promise<string> {
  const [row] = await ctx.tx
    .select({ zone: gyms.zone })
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  return found(row, 'gym').zone;
}

export async function blocksOfSession(ctx: Context, gymId: string, sessionId: string) {
  return ctx.tx
    .select()
    .from(blocks)
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.sessionId, sessionId)))
    .orderBy(asc(blocks.startsAt), asc(blocks.id));
}

/** Is this somebody on the staff of that gym, now, before or ahead? */
export async function isOnStaffOf(ctx: Context, gymId: string, personId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: employments.id })
    .from(employments)
    .where(and(ours(ctx, employments), eq(employments.gymId, gymId), eq(employments.personId, personId)))
    .limit(1);
  return rows.length > 0;
}

/** The gyms that employ somebody at some time, with their zones. */
export async function gymsEmploying(ctx: Context, personId: string) {
  return ctx.tx
    .selectDistinct({ gymId: gyms.id, zone: gyms.zone })
    .from(employments)
    .innerJoin(gyms, and(ours(ctx, gyms), eq(gyms.id, employments.gymId)))
    .where(and(ours(ctx, employments), eq(employments.personId, personId)));
}

export const assignmentOnWire = (row: AssignmentRow): Assignment => ({
  id: row.id,
  personId: row.personId,
  unit: { per: row.per, id: row.blockId ?? row.sessionId ?? row.gymId },
  duty: row.duty,
  day: row.day,
  startsAt: instantOf(row.startsAt),
  endsAt: instantOf(row.endsAt),
  releasedAt: maybeInstant(row.releasedAt),
  releasedWhy: row.releasedWhy,
});

export async function insertAssignment(
  ctx: Context,
  _lock: CoverLock,
  personId: string,
  duty: Duty,
  { unit, gymId, day, span }: UnitAt,
): Promise<AssignmentRow> {
  try {
    const [row] = await ctx.tx
      .insert(assignments)
      .values({
        franchiseId: ctx.franchiseId,
        id: newId(),
        gymId,
        personId,
        per: unit.per,
        blockId: unit.per === 'block' ? unit.id : null,
        sessionId: unit.per === 'session' ? unit.id : null,
        duty,
        day,
        startsAt: new Date(span.from),
        endsAt: new Date(span.to),
        createdBy: ctx.accountId,
      })
      .returning();
    if (!row) throw new Error('an assignment was not inserted');
    return row;
  } catch (error) {
    if (violates(error, 'exclusion')) throw refuse('conflict', 'That person has another place in that span.');
    throw error;
  }
}

export async function getAssignment(ctx: Context, gymId: string, assignmentId: string): Promise<AssignmentRow> {
  const [row] = await ctx.tx
    .select()
    .from(assignments)
    .where(and(ours(ctx, assignments), eq(assignments.gymId, gymId), eq(assignments.id, assignmentId)));
  return found(row, 'assignment');
}

/** What somebody holds at a gym that overlaps a span, oldest first. */
export async function heldDuring(ctx: Context, gymId: string, personId: string, span: Span): Promise<AssignmentRow[]> {
  return ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        eq(assignments.gymId, gymId),
        eq(assignments.personId, personId),
        isNull(assignments.releasedAt),
        lt(assignments.startsAt, new Date(span.to)),
        gt(assignments.endsAt, new Date(span.from)),
      ),
    )
    .orderBy(asc(assignments.startsAt));
}

export async function releaseAssignment(
  ctx: Context,
  _lock: CoverLock,
  assignmentId: string,
  why: string,
): Promise<AssignmentRow> {
  const [row] = await ctx.tx
    .update(assignments)
    .set({ releasedAt: ctx.now, releasedBy: ctx.accountId, releasedWhy: why })
    .where(and(ours(ctx, assignments), eq(assignments.id, assignmentId), isNull(assignments.releasedAt)))
    .returning();
  if (!row) throw refuse('conflict', 'That place has been given up already.');
  return row;
}

export async function listAssignments(
  ctx: Context,
  gymId: string,
  {
    limit,
    cursor,
    ...only
  }: Paging & { day?: string | undefined; blockId?: string | undefined; personId?: string | undefined },
) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        eq(assignments.gymId, gymId),
        only.day ? eq(assignments.day, only.day) : undefined,
        only.blockId ? eq(assignments.blockId, only.blockId) : undefined,
        only.personId ? eq(assignments.personId, only.personId) : undefined,
        after ? gt(assignments.id, after) : undefined,
      ),
    )
    .orderBy(asc(assignments.id))
    .limit(limit + 1);
  return pageOf(rows, limit, assignmentOnWire, (row) => [row.id]);
}

/** Gives blocks their confirmation: by hand, or (no account) by the sweep. */
export async function setConfirmed(ctx: Context, _lock: CoverLock, blockIds: readonly string[]) {
  return ctx.tx
    .update(blocks)
    .set({ confirmedAt: ctx.now, confirmedBy: ctx.accountId, heldWhy: null, revision: sql`${blocks.revision} + 1` })
    .where(and(ours(ctx, blocks), inArray(blocks.id, [...blockIds]), isNull(blocks.confirmedAt)))
    .returning();
}

/** Takes a block's confirmation by hand; the sweep then keeps away. */
export async function setUnconfirmed(ctx: Context, _lock: CoverLock, blockId: string, why: string) {
  const [row] = await ctx.tx
    .update(blocks)
    .set({ confirmedAt: null, confirmedBy: null, heldWhy: why, revision: sql`${blocks.revision} + 1` })
    .where(and(ours(ctx, blocks), eq(blocks.id, blockId)))
    .returning();
  return found(row, 'block');
}

export const overrideOnWire = (row: typeof overrides.$inferSelect): Override => ({
  id: row.id,
  unit: { per: row.per, id: row.unitId },
  startsAt: instantOf(row.startsAt),
  endsAt: instantOf(row.endsAt),
  code: row.code,
  ruleId: row.ruleId,
  subjects: row.subjects,
  short: row.short,
  reason: row.reason,
  createdAt: instantOf(row.createdAt),
  createdBy: row.createdBy,
  withdrawnAt: maybeInstant(row.withdrawnAt),
});

export async function insertOverride(
  ctx: Context & { accountId: string },
  _lock: CoverLock,
  { gymId, day }: GymDay,
  override: NewOverride,
) {
  const [row] = await ctx.tx
    .insert(overrides)
    .values({
      franchiseId: ctx.franchiseId,
      id: newId(),
      gymId,
      day,
      per: override.unit.per,
      unitId: override.unit.id,
      startsAt: new Date(override.startsAt),
      endsAt: new Date(override.endsAt),
      code: override.code,
      ruleId: override.ruleId,
      subjects: override.subjects,
      short: override.short,
      reason: override.reason,
      createdBy: ctx.accountId,
    })
    .returning();
  if (!row) throw new Error('an override was not inserted');
  return row;
}

export async function getOverride(ctx: Context, gymId: string, overrideId: string) {
  const [row] = await ctx.tx
    .select()
    .from(overrides)
    .where(and(ours(ctx, overrides), eq(overrides.gymId, gymId), eq(overrides.id, overrideId)));
  return found(row, 'override');
}

export async function setOverrideWithdrawn(ctx: Context, _lock: CoverLock, overrideId: string) {
  const [row] = await ctx.tx
    .update(overrides)
    .set({ withdrawnAt: ctx.now, withdrawnBy: ctx.accountId })
    .where(and(ours(ctx, overrides), eq(overrides.id, overrideId), isNull(overrides.withdrawnAt)))
    .returning();
  if (!row) throw refuse('conflict', 'That override has been withdrawn already.');
  return row;
}

interface Days {
  from?: string | undefined;
  until?: string | undefined;
}

export async function listOverrides(ctx: Context, gymId: string, { limit, cursor, from, until }: Paging & Days) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(overrides)
    .where(
      and(
        ours(ctx, overrides),
        eq(overrides.gymId, gymId),
        from ? gte(overrides.day, from) : undefined,
        until ? lt(overrides.day, until) : undefined,
        after ? gt(overrides.id, after) : undefined,
      ),
    )
    .orderBy(asc(overrides.id))
    .limit(limit + 1);
  return pageOf(rows, limit, overrideOnWire, (row) => [row.id]);
}

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
    .values({ franchiseId: ctx.franchiseId, id: newId(), personId, startsAt, endsAt, createdBy: ctx.accountId })
    .returning();
  if (!row) throw new Error('an absence was not inserted');
  return row;
}

/** An absence of somebody employed at this gym at some time. */
export async function getAbsence(ctx: Context, gymId: string, absenceId: string) {
  const [row] = await ctx.tx
    .select()
    .from(absences)
    .where(and(ours(ctx, absences), eq(absences.id, absenceId), employedAt(ctx, gymId)));
  return found(row, 'absence');
}

/** Written out: in a select from one table, drizzle gives its columns no table, and the inner one's would be meant. */
const employedAt = (ctx: Context, gymId: string) =>
  sql`EXISTS (SELECT FROM employments e WHERE e.franchise_id = ${ctx.franchiseId}
    AND e.person_id = absences.person_id AND e.gym_id = ${gymId})`;

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

/** The caller's own places ahead, or within days. */
export async function listOwnAssignments(
  ctx: Context,
  personId: string,
  { limit, cursor, from, until }: Paging & Days,
) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        eq(assignments.personId, personId),
        isNull(assignments.releasedAt),
        from ? gte(assignments.day, from) : gt(assignments.endsAt, ctx.now),
        until ? lt(assignments.day, until) : undefined,
        after ? gt(assignments.id, after) : undefined,
      ),
    )
    .orderBy(asc(assignments.id))
    .limit(limit + 1);
  return pageOf(rows, limit, assignmentOnWire, (row) => [row.id]);
}
