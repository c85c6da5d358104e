import { and, desc, eq, inArray, lt, sql } from 'drizzle-orm';
import { grouped, some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { blockRollEntries, blockRolls } from '../../tables/attendance.ts';
import { getSession, ownBlockOrRefuse } from './repo.ts';
import type { Roll, Totals } from './roll-schema.ts';
import { getBlock } from './rolls.ts';

/** A block's rolls and headcounts, the last one first. */
export async function listRolls(
  ctx: Context,
  gymId: string,
  blockId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
  await getBlock(ctx, gymId, blockId);
  await ownBlockOrRefuse(ctx, 'attendance.read', gymId, blockId);
  const before = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(blockRolls)
    .where(
      and(
        ours(ctx, blockRolls),
        eq(blockRolls.blockId, blockId),
        before === null
          ? undefined
          : lt(
              sql`(${blockRolls.at}, ${blockRolls.id})`,
              sql`(SELECT l.at, l.id FROM block_rolls l WHERE l.franchise_id = ${ctx.franchiseId} AND l.id = ${before})`,
            ),
      ),
    )
    .orderBy(desc(blockRolls.at), desc(blockRolls.id))
    .limit(limit + 1);
  const entries = await ctx.tx
    .select()
    .from(blockRollEntries)
    .where(and(ours(ctx, blockRollEntries), inArray(blockRollEntries.rollId, some(rows.map(({ id }) => id)))))
    .orderBy(blockRollEntries.athleteId);
  const entriesOf = grouped(entries, ({ rollId }) => rollId);
  const named = (rollId: string, here: boolean) =>
    entriesOf(rollId)
      .filter((entry) => entry.here === here)
      .map(({ athleteId }) => athleteId);
  return pageOf(
    rows,
    limit,
    (row): Roll => ({
      rollId: row.id,
      blockId,
      at: instantOf(row.at),
      recordedAt: instantOf(row.recordedAt),
      counted: row.counted,
      here: named(row.id, true),
      missing: named(row.id, false),
    }),
    ({ id }) => [id],
  );
}

/** A session's heads by their state: numbers, no persons. */
export async function countSession(ctx: Context, gymId: string, sessionId: string): Promise<Totals> {
  await getSession(ctx, gymId, sessionId);
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<Record<keyof Omit<Totals, 'sessionId'>, number>>(sql`
    WITH listed AS (
      SELECT e.athlete_id FROM sessions s JOIN enrolments e ON e.franchise_id = ${us} AND e.class_id = s.class_id
        AND e.from_day <= s.day AND (e.until_day IS NULL OR e.until_day > s.day)
      WHERE s.franchise_id = ${us} AND s.id = ${sessionId}
      UNION SELECT athlete_id FROM group_members
        WHERE franchise_id = ${us} AND session_id = ${sessionId} AND released_at IS NULL
      UNION SELECT athlete_id FROM attendance WHERE franchise_id = ${us} AND session_id = ${sessionId}
    ), states AS (
      SELECT coalesce(a.state, 'expected') AS state, EXISTS (SELECT FROM outings o WHERE o.franchise_id = ${us}
          AND o.session_id = ${sessionId} AND o.athlete_id = l.athlete_id AND o.undone_at IS NULL
          AND o.back_at IS NULL) AS out
      FROM listed l
      LEFT JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = ${sessionId} AND a.athlete_id = l.athlete_id
    )
    SELECT (count(*) FILTER (WHERE state = 'expected'))::int AS expected,
      (count(*) FILTER (WHERE state = 'present'))::int AS present,
      (count(*) FILTER (WHERE state = 'absent'))::int AS absent,
      (count(*) FILTER (WHERE state = 'on-hold'))::int AS "onHold",
      (count(*) FILTER (WHERE state = 'left'))::int AS "left",
      (count(*) FILTER (WHERE state = 'present' AND out))::int AS "outOfHall"
    FROM states`);
  const [totals] = rows;
  if (!totals) throw new Error('a count gives one row');
  return { sessionId, ...totals };
}
