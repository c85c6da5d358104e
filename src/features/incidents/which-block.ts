import { type SQL, sql } from 'drizzle-orm';
import { stoodAt } from '../../enforcement/as-of.ts';
import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';

// Which block a note is about, and which blocks are the caller's.

interface BlockHere extends Record<string, unknown> {
  id: string;
  sessionId: string;
}

const listed = (ids: readonly string[]) => sql`ANY(${sql.param([...ids])}::uuid[])`;

/** Those of the athletes who go with the group of a block `b`: by their place, or else by the group that they came with. */
const inItsGroup = ({ franchiseId }: Context, athletes: readonly string[], then: Date | null): SQL => sql`(
  SELECT m.athlete_id FROM group_members m WHERE m.franchise_id = ${franchiseId} AND m.group_id = b.group_id
    AND m.athlete_id = ${listed(athletes)} AND ${stoodAt('m', then)}
  UNION SELECT t.athlete_id FROM attendance t WHERE t.franchise_id = ${franchiseId} AND t.session_id = b.session_id
    AND t.group_id = b.group_id AND t.athlete_id = ${listed(athletes)} AND NOT EXISTS (SELECT FROM group_members m
      WHERE m.franchise_id = ${franchiseId} AND m.session_id = t.session_id AND m.athlete_id = t.athlete_id
        AND ${stoodAt('m', then)}))`;

/**
 * The block that a note is about: the one named (refused where it is not the gym's, that day), none where null was said,
 * or else the one in which somebody named, or the writer, was at that moment. For whoever oversees a session that is the
 * only block of it that ran: which of several is for them to say.
 */
export async function blockOf(
  ctx: Context,
  gymId: string,
  {
    at,
    day,
    blockId,
    people,
  }: { at: Date; day: string; blockId: string | null | undefined; people: readonly string[] },
): Promise<BlockHere | null> {
  if (blockId === null) return null;
  const { franchiseId } = ctx;
  const then = at < ctx.now ? at : null;
  const which =
    blockId === undefined
      ? sql`b.starts_at <= ${at.toISOString()} AND b.ends_at > ${at.toISOString()}`
      : sql`b.id = ${blockId}`;
  const mine = sql`SELECT FROM assignments a WHERE a.franchise_id = ${franchiseId} AND ${stoodAt('a', then)}
    AND a.person_id = ${ctx.personId}::uuid`;
  const { rows } = await ctx.tx.execute<BlockHere & { hasPerson: boolean; isMine: boolean; isOverseen: boolean }>(sql`
    SELECT b.id::text, b.session_id::text AS "sessionId",
      EXISTS ${inItsGroup(ctx, people, then)} AS "hasPerson",
      EXISTS (${mine} AND a.block_id = b.id) AS "isMine",
      EXISTS (${mine} AND a.session_id = b.session_id) AS "isOverseen"
    FROM blocks b JOIN sessions s ON s.franchise_id = ${franchiseId} AND s.id = b.session_id
    WHERE b.franchise_id = ${franchiseId} AND b.gym_id = ${gymId} AND b.day = ${day}
      AND ${stoodAt('b', then, 'superseded_at')} AND ${stoodAt('s', then, 'cancelled_at')} AND ${which}
    ORDER BY b.starts_at, b.id`);
  if (blockId !== undefined && rows.length === 0) {
    throw invalid('/blockId', 'This is no block of the gym on the day on which it happened.');
  }
  const overseen = rows.filter(({ isOverseen }) => isOverseen);
  const found =
    blockId === undefined
      ? (rows.find((row) => row.hasPerson) ??
        rows.find((row) => row.isMine) ??
        (overseen.length === 1 ? overseen[0] : undefined))
      : rows[0];
  return found ? { id: found.id, sessionId: found.sessionId } : null;
}

/** The caller's place, held still or at that moment. */
const ownPlace = (ctx: Context, at: Date) => sql`a.franchise_id = ${ctx.franchiseId}
  AND a.person_id = ${ctx.personId}::uuid AND (a.released_at IS NULL OR a.released_at > ${at.toISOString()})`;

/** Has the caller a place at that block, or over its session; where it is about no block, anywhere at the gym that day? */
export async function holdsPlace(
  ctx: Context,
  gymId: string,
  { day, at }: { day: string; at: Date },
  block: { id: string; sessionId: string } | null,
): Promise<boolean> {
  const where = block === null ? sql`true` : sql`(a.block_id = ${block.id} OR a.session_id = ${block.sessionId})`;
  const { rowCount } = await ctx.tx.execute(sql`
    SELECT FROM assignments a WHERE ${ownPlace(ctx, at)} AND a.gym_id = ${gymId} AND a.day = ${day} AND ${where}
    LIMIT 1`);
  return rowCount === 1;
}

/** Those of the athletes who were in the caller's own blocks that day. */
export async function athletesOfOwnBlocks(
  ctx: Context,
  gymId: string,
  { day, at }: { day: string; at: Date },
  athletes: readonly string[],
): Promise<Set<string>> {
  const { rows } = await ctx.tx.execute<{ id: string }>(sql`
    SELECT DISTINCT x.athlete_id::text AS id FROM blocks b
      JOIN assignments a ON (a.block_id = b.id OR a.session_id = b.session_id) AND ${ownPlace(ctx, at)}
      CROSS JOIN LATERAL ${inItsGroup(ctx, athletes, at < ctx.now ? at : null)} x
    WHERE b.franchise_id = ${ctx.franchiseId} AND b.gym_id = ${gymId} AND b.day = ${day}
      AND ${stoodAt('b', at < ctx.now ? at : null, 'superseded_at')}`);
  return new Set(rows.map(({ id }) => id));
}
