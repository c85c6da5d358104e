import { and, eq, isNotNull, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { notFound } from '../../platform/problem.ts';
import { offlineItems } from '../../tables/attendance.ts';
import type { Conflict } from './offline-schema.ts';

interface Row extends Record<string, unknown>, Omit<Conflict, 'at' | 'recordedAt'> {
  at: string;
  recordedAt: string;
  key: string;
}

/** What does not fit, and what was refused, until it is undone or settled: the latest first. */
export async function listConflicts(
  ctx: Context,
  gymId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
  const before = readCursor(cursor, 2);
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<Row>(sql`
    WITH all_of_it AS (
      SELECT id, 'mark' AS what, kind, at, recorded_at, athlete_id, NULL::uuid AS person_id, session_id,
        conflict AS code, NULL::text AS detail
      FROM attendance_marks WHERE franchise_id = ${us} AND gym_id = ${gymId} AND conflict IS NOT NULL
      UNION ALL SELECT id, 'staff-mark', kind, at, recorded_at, NULL, person_id, NULL, conflict, NULL
      FROM staff_marks WHERE franchise_id = ${us} AND gym_id = ${gymId} AND conflict IS NOT NULL
      UNION ALL SELECT client_id, 'item', kind, at, recorded_at, NULL, NULL, NULL, problem, detail
      FROM offline_items WHERE franchise_id = ${us} AND gym_id = ${gymId} AND problem IS NOT NULL
        AND settled_at IS NULL
    ), keyed AS (
      SELECT *, to_char(recorded_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US') AS key FROM all_of_it
    )
    SELECT id, what, kind, at, recorded_at AS "recordedAt", athlete_id AS "athleteId", person_id AS "personId",
      session_id AS "sessionId", code, detail, key
    FROM keyed WHERE ${before === null ? sql`true` : sql`(key, id::text) < (${before[0]}, ${before[1]})`}
    ORDER BY key DESC, id::text DESC LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    ({ key: _, at, recordedAt, ...row }): Conflict => ({
      ...row,
      at: instantOf(new Date(at)),
      recordedAt: instantOf(new Date(recordedAt)),
    }),
    ({ key, id }) => [key, id],
  );
}

/** Somebody looked at an item that was refused, or came with a warning; it stays on record. */
export async function settleItem(ctx: Context, gymId: string, clientId: string): Promise<void> {
  const itself = and(
    ours(ctx, offlineItems),
    eq(offlineItems.gymId, gymId),
    eq(offlineItems.clientId, clientId),
    isNotNull(offlineItems.problem),
  );
  const [row] = await ctx.tx.select({ settledAt: offlineItems.settledAt }).from(offlineItems).where(itself);
  if (!row) throw notFound('item to settle');
  if (row.settledAt !== null) return;
  await ctx.tx.update(offlineItems).set({ settledAt: ctx.now, settledBy: ctx.accountId }).where(itself);
  await ctx.record('attendance.item-settled', { subjectId: clientId, gymId }, { clientId });
}
