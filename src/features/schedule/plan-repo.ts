import { and, asc, desc, eq, isNull, lte, or, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found } from '../../platform/problem.ts';
import { areas } from '../../tables/gyms.ts';
import { lessonPlanProgrammes, planBlocks, planVersions } from '../../tables/plans.ts';

/**
 * A published version: the one named, whenever it takes effect, or the newest of a plan that is in effect on a day. Null
 * when there is none.
 */
export async function findPublished(ctx: Context, which: { planVersionId: string } | { planId: string; day: string }) {
  const named =
    'planVersionId' in which
      ? eq(planVersions.id, which.planVersionId)
      : and(
          eq(planVersions.planId, which.planId),
          or(isNull(planVersions.effectiveWeek), lte(planVersions.effectiveWeek, which.day)),
        );
  const [row] = await ctx.tx
    .select({ id: planVersions.id, planId: planVersions.planId, number: planVersions.number })
    .from(planVersions)
    .where(and(ours(ctx, planVersions), named, eq(planVersions.state, 'published')))
    .orderBy(desc(planVersions.number))
    .limit(1);
  return row ?? null;
}

type Version = Pick<typeof planVersions.$inferSelect, 'planId' | 'number' | 'state'>;

/** A version by its id, in whatever state. */
export async function getVersion(ctx: Context, planVersionId: string): Promise<Version> {
  const [row] = await ctx.tx
    .select({ planId: planVersions.planId, number: planVersions.number, state: planVersions.state })
    .from(planVersions)
    .where(and(ours(ctx, planVersions), eq(planVersions.id, planVersionId)));
  return found(row, 'plan version');
}

/** Does that plan teach that programme? */
export async function planIsFor(ctx: Context, planId: string, programmeId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ planId: lessonPlanProgrammes.planId })
    .from(lessonPlanProgrammes)
    .where(
      and(
        ours(ctx, lessonPlanProgrammes),
        eq(lessonPlanProgrammes.planId, planId),
        eq(lessonPlanProgrammes.programmeId, programmeId),
      ),
    );
  return rows.length === 1;
}

export interface PlanBlockRow {
  id: string;
  position: number;
  title: string;
  activity: (typeof planBlocks.$inferSelect)['activity'];
  minutes: number;
  /** What its stations stand on. */
  apparatusIds: string[];
}

/** A version's blocks in teaching order. */
export const planBlocksOf = (ctx: Context, planVersionId: string): Promise<PlanBlockRow[]> =>
  ctx.tx
    .select({
      id: planBlocks.id,
      position: planBlocks.position,
      title: planBlocks.title,
      activity: planBlocks.activity,
      minutes: planBlocks.minutes,
      apparatusIds: sql<string[]>`ARRAY(SELECT DISTINCT s.apparatus_id::text FROM plan_stations s
        WHERE s.franchise_id = ${ctx.franchiseId} AND s.plan_block_id = plan_blocks.id ORDER BY 1)`,
    })
    .from(planBlocks)
    .where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, planVersionId)))
    .orderBy(asc(planBlocks.position));

/** A gym's areas in the order in which they were made, each with the apparatus that stands there. */
export const areasOf = (ctx: Context, gymId: string): Promise<{ id: string; apparatusIds: string[] }[]> =>
  ctx.tx
    .select({
      id: areas.id,
      apparatusIds: sql<string[]>`ARRAY(SELECT a.apparatus_id::text FROM area_apparatus a
        WHERE a.franchise_id = ${ctx.franchiseId} AND a.area_id = areas.id)`,
    })
    .from(areas)
    .where(and(ours(ctx, areas), eq(areas.gymId, gymId)))
    .orderBy(asc(areas.id));
