import { and, eq, isNull, type SQL, sql } from 'drizzle-orm';
import type { Permission } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found, refuse } from '../../platform/problem.ts';
import { planStations } from '../../tables/plans.ts';
import { blocks, sessions } from '../../tables/schedule.ts';
import { holds } from '../people/persons.ts';

/** A block of that gym that is part of a plan and not of a cancelled session; refuses any other as not found. */
export async function getBlock(ctx: Context, gymId: string, blockId: string) {
  const [row] = await ctx.tx
    .select({
      id: blocks.id,
      sessionId: blocks.sessionId,
      groupId: blocks.groupId,
      planBlockId: blocks.planBlockId,
      day: blocks.day,
      startsAt: blocks.startsAt,
      endsAt: blocks.endsAt,
    })
    .from(blocks)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId), isNull(sessions.cancelledAt)))
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.id, blockId), isNull(blocks.supersededAt)));
  return found(row, 'block');
}

/** The ids of a block's stations, in their order. */
export async function stationIdsOf(ctx: Context, planBlockId: string): Promise<string[]> {
  const rows = await ctx.tx
    .select({ id: planStations.id })
    .from(planStations)
    .where(and(ours(ctx, planStations), eq(planStations.planBlockId, planBlockId)))
    .orderBy(planStations.position);
  return rows.map(({ id }) => id);
}

/**
 * Selects the blocks `b` that the caller teaches, or whose session they oversee. Whoever only shadows there learns by
 * watching: they read its lesson sheet, and no more.
 */
export const blocksTaught = (ctx: Context): SQL => sql`SELECT b.id FROM blocks b
  JOIN assignments a ON a.franchise_id = ${ctx.franchiseId} AND a.released_at IS NULL
    AND (a.block_id = b.id OR a.session_id = b.session_id)
  WHERE b.franchise_id = ${ctx.franchiseId} AND b.superseded_at IS NULL
    AND a.person_id = ${ctx.personId}::uuid AND a.duty <> 'shadow'`;

/** Does the caller teach some block `b` that is so? */
export async function teachesOn(ctx: Context, which: SQL): Promise<boolean> {
  const { rowCount } = await ctx.tx.execute(sql`${blocksTaught(ctx)} AND ${which} LIMIT 1`);
  return rowCount === 1;
}

/** For a coach: refuses a block that they do not teach, as not found. */
export async function ownBlockOrRefuse(
  ctx: Context,
  permission: Permission,
  gymId: string,
  blockId: string,
): Promise<void> {
  if (holds(ctx, permission, gymId) || (await teachesOn(ctx, sql`b.id = ${blockId}`))) return;
  throw refuse('not-found', 'There is no such block here that you teach.');
}
