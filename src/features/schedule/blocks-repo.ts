import { and, asc, eq, gt, inArray, isNull, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { refuse } from '../../platform/problem.ts';
import { DAY_MS } from '../../platform/time.ts';
import { drills } from '../../tables/curriculum.ts';
import { planBlocks } from '../../tables/plans.ts';
import { blockAreas, blockStepDowns, blocks, groups } from '../../tables/schedule.ts';
import { assignments, overrides } from '../../tables/staffing.ts';
import type { Meeting } from './zone-time.ts';

/** A session's blocks, without those that another layout took the place of. */
const inPlan = (ctx: Context, sessionId: string) =>
  and(ours(ctx, blocks), eq(blocks.sessionId, sessionId), isNull(blocks.supersededAt));

/** A session's blocks by group, in the order in which they are taught. */
export const blocksOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({
      id: blocks.id,
      groupId: blocks.groupId,
      planVersionId: blocks.planVersionId,
      planBlockId: blocks.planBlockId,
      position: planBlocks.position,
      title: planBlocks.title,
      activity: planBlocks.activity,
      startsAt: blocks.startsAt,
      endsAt: blocks.endsAt,
      areaIds: sql<string[]>`ARRAY(SELECT a.area_id::text FROM block_areas a
        WHERE a.franchise_id = ${ctx.franchiseId} AND a.block_id = blocks.id ORDER BY 1)`,
      confirmedAt: blocks.confirmedAt,
      heldWhy: blocks.heldWhy,
      revision: blocks.revision,
    })
    .from(blocks)
    .innerJoin(groups, and(ours(ctx, groups), eq(groups.id, blocks.groupId)))
    .innerJoin(planBlocks, and(ours(ctx, planBlocks), eq(planBlocks.id, blocks.planBlockId)))
    .where(inPlan(ctx, sessionId))
    .orderBy(asc(groups.position), asc(blocks.startsAt));

/** The stations of a session's blocks at which another drill is done than the plan says. */
export const stepDownsOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({
      id: blockStepDowns.id,
      blockId: blockStepDowns.blockId,
      stationId: blockStepDowns.stationId,
      drillId: blockStepDowns.drillId,
      drill: drills.name,
      adaptationId: blockStepDowns.adaptationId,
      reason: blockStepDowns.reason,
    })
    .from(blockStepDowns)
    .innerJoin(blocks, and(inPlan(ctx, sessionId), eq(blocks.id, blockStepDowns.blockId)))
    .innerJoin(drills, and(ours(ctx, drills), eq(drills.id, blockStepDowns.drillId)))
    .where(and(ours(ctx, blockStepDowns), isNull(blockStepDowns.undoneAt)))
    .orderBy(asc(blockStepDowns.id));

export interface NewBlock extends Meeting {
  id: string;
  gymId: string;
  sessionId: string;
  groupId: string;
  planVersionId: string;
  planBlockId: string;
  day: string;
  areaIds: string[];
}

/** Puts these in place of a session's blocks, which stay on record: whatever was said of them is about them alone. */
export async function replaceBlocks(
  ctx: Context,
  _lock: CoverLock,
  sessionId: string,
  wanted: Omit<NewBlock, 'id'>[],
): Promise<string[]> {
  const { franchiseId } = ctx;
  const rows: NewBlock[] = wanted.map((block) => ({ id: newId(), ...block }));
  await ctx.tx
    .update(blocks)
    .set({ supersededAt: ctx.now, revision: sql`${blocks.revision} + 1` })
    .where(inPlan(ctx, sessionId));
  await ctx.tx.insert(blocks).values(rows.map(({ areaIds: _, ...block }) => ({ franchiseId, ...block })));
  await ctx.tx
    .insert(blockAreas)
    .values(rows.flatMap(({ id, areaIds }) => areaIds.map((areaId) => ({ franchiseId, blockId: id, areaId }))));
  return rows.map(({ id }) => id);
}

/** Takes back what was accepted for a session or its blocks; gives the ids. */
export async function withdrawOverrides(ctx: Context, _lock: CoverLock, sessionId: string): Promise<string[]> {
  const rows = await ctx.tx
    .update(overrides)
    .set({ withdrawnAt: ctx.now, withdrawnBy: ctx.accountId })
    .where(
      and(
        ours(ctx, overrides),
        isNull(overrides.withdrawnAt),
        sql`(${overrides.per} = 'session' AND ${overrides.unitId} = ${sessionId}
          OR ${overrides.per} = 'block' AND ${overrides.unitId} IN (
            SELECT b.id FROM blocks b WHERE b.franchise_id = ${ctx.franchiseId} AND b.session_id = ${sessionId}))`,
      ),
    )
    .returning({ id: overrides.id });
  return rows.map(({ id }) => id);
}

/** Pins blocks to other plan blocks. */
export async function repinBlocks(
  ctx: Context,
  _lock: CoverLock,
  planVersionId: string,
  pins: { blockId: string; planBlockId: string }[],
): Promise<void> {
  const ids = pins.map(({ blockId }) => blockId);
  const planBlockIds = pins.map(({ planBlockId }) => planBlockId);
  await ctx.tx.execute(sql`
    UPDATE blocks b SET plan_version_id = ${planVersionId}, plan_block_id = p.plan_block_id, revision = b.revision + 1
    FROM unnest(${sql.param(ids)}::uuid[], ${sql.param(planBlockIds)}::uuid[]) AS p (block_id, plan_block_id)
    WHERE b.franchise_id = ${ctx.franchiseId} AND b.id = p.block_id`);
}

const shifted = (ms: number) => {
  const by = sql`make_interval(secs => ${ms / 1000}::double precision)`;
  return { startsAt: sql`${blocks.startsAt} + ${by}`, endsAt: sql`${blocks.endsAt} + ${by}` };
};
const FAR_FUTURE_MS = 1000 * 365 * DAY_MS;

/**
 * Moves a session's blocks by so many milliseconds, to a day. By way of a far future: the constraint that a group does
 * one thing at a time looks at each row as it is written, and a neighbour may not have moved yet.
 */
export async function shiftBlocks(
  ctx: Context,
  _lock: CoverLock,
  sessionId: string,
  byMs: number,
  day: string,
): Promise<void> {
  await ctx.tx.update(blocks).set(shifted(FAR_FUTURE_MS)).where(inPlan(ctx, sessionId));
  await ctx.tx
    .update(blocks)
    .set({ ...shifted(byMs - FAR_FUTURE_MS), day, revision: sql`${blocks.revision} + 1` })
    .where(inPlan(ctx, sessionId));
}

/** Takes the confirmation from a session's blocks that have not ended; gives those that had it. */
export const unconfirmBlocks = (ctx: Context, _lock: CoverLock, sessionId: string) =>
  ctx.tx
    .update(blocks)
    .set({ confirmedAt: null, confirmedBy: null, revision: sql`${blocks.revision} + 1` })
    .where(and(inPlan(ctx, sessionId), sql`${blocks.confirmedAt} IS NOT NULL`, gt(blocks.endsAt, ctx.now)))
    .returning({ id: blocks.id, revision: blocks.revision });

/** The staff placed on a session or its blocks whose time there has not ended. */
export const staffOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        isNull(assignments.releasedAt),
        gt(assignments.endsAt, ctx.now),
        sql`(${assignments.sessionId} = ${sessionId} OR ${assignments.blockId} IN (
          SELECT b.id FROM blocks b WHERE b.franchise_id = ${ctx.franchiseId} AND b.session_id = ${sessionId}))`,
      ),
    )
    .orderBy(asc(assignments.id));

export async function releaseStaff(ctx: Context, _lock: CoverLock, ids: string[], why: string): Promise<void> {
  if (ids.length === 0) return;
  await ctx.tx
    .update(assignments)
    .set({ releasedAt: ctx.now, releasedBy: ctx.accountId, releasedWhy: why })
    .where(and(ours(ctx, assignments), inArray(assignments.id, ids), isNull(assignments.releasedAt)));
}

/** Places staff again after a move; refuses when one of them is somewhere else then. */
export async function insertStaff(
  ctx: Context,
  _lock: CoverLock,
  rows: (typeof assignments.$inferInsert)[],
): Promise<void> {
  if (rows.length === 0) return;
  try {
    await ctx.tx.insert(assignments).values(rows);
  } catch (error) {
    if (!violates(error, 'exclusion', 'assignments_one_place')) throw error;
    throw refuse(
      'conflict',
      'Somebody placed on this session is placed elsewhere at that time: release one of the two.',
    );
  }
}
