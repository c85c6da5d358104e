import { and, asc, eq, gt, gte, inArray, isNull, lt, sql } from 'drizzle-orm';
import type { Duty, Span, Unit } from '../../cover/index.ts';
import type { CoverLock, GymDay } from '../../enforcement/lock.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { assignments, blocks, employments, gyms, sessions } from '../../tables/index.ts';
import type { Assignment } from './schema.ts';

type AssignmentRow = typeof assignments.$inferSelect;

export interface Days {
  from?: string | undefined;
  until?: string | undefined;
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
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.id, blockId), isNull(blocks.supersededAt)));
  const { block, cancelledAt } = found(row, 'block');
  if (cancelledAt !== null) throw refuse('conflict', 'Its session has been cancelled.');
  return { block, at: unitAt({ per: 'block', id: block.id }, block) };
}

export async function getSessionUnit(ctx: Context, gymId: string, sessionId: string) {
  const [row] = await ctx.tx
    .select()
    .from(sessions)
    .where(and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.id, sessionId)));
  const session = found(row, 'session');
  if (session.cancelledAt !== null) throw refuse('conflict', 'That session has been cancelled.');
  return { session, at: unitAt({ per: 'session', id: session.id }, session) };
}

const unitAt = (unit: Unit, row: { gymId: string; day: string; startsAt: Date; endsAt: Date }): UnitAt => ({
  unit,
  gymId: row.gymId,
  day: row.day,
  span: { from: row.startsAt.getTime(), to: row.endsAt.getTime() },
});

export async function blocksOfSession(ctx: Context, gymId: string, sessionId: string) {
  return ctx.tx
    .select()
    .from(blocks)
    .where(
      and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.sessionId, sessionId), isNull(blocks.supersededAt)),
    )
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

/** Refuses, with the pointer, whoever was never on the staff of that gym. */
export async function refuseStrangers(
  ctx: Context,
  gymId: string,
  people: readonly { personId: string; at: string }[],
) {
  for (const { personId, at } of people) {
    if (await isOnStaffOf(ctx, gymId, personId)) continue;
    throw invalid(at, 'There is no such member of staff at this gym.');
  }
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
  replacesId: string | null = null,
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
        createdAt: ctx.now,
        createdBy: ctx.accountId,
        replacesId,
      })
      .returning();
    if (!row) throw new Error('an assignment was not inserted');
    return row;
  } catch (error) {
    if (violates(error, 'exclusion')) throw refuse('conflict', 'That person has another place in that span.');
    if (violates(error, 'unique', 'assignments_replaced_once')) {
      throw refuse('conflict', 'Somebody stands in for that place already.');
    }
    throw error;
  }
}

export async function findAssignment(ctx: Context, gymId: string, assignmentId: string): Promise<AssignmentRow | null> {
  const [row] = await ctx.tx
    .select()
    .from(assignments)
    .where(and(ours(ctx, assignments), eq(assignments.gymId, gymId), eq(assignments.id, assignmentId)));
  return row ?? null;
}

export const getAssignment = async (ctx: Context, gymId: string, assignmentId: string): Promise<AssignmentRow> =>
  found(await findAssignment(ctx, gymId, assignmentId), 'assignment');

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
  const mayReadWhy = ['staffing.assign', 'staffing.replace'] as const;
  const readsWhy = mayReadWhy.some((permission) => scopesAt(ctx, permission, gymId).size > 0);
  const shown = (row: AssignmentRow) => ({ ...assignmentOnWire(row), ...(readsWhy ? {} : { releasedWhy: null }) });
  return pageOf(rows, limit, shown, (row) => [row.id]);
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
