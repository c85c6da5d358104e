import { and, asc, desc, eq, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found } from '../../platform/problem.ts';
import { lessonPlanProgrammes, planBlocks, planVersions } from '../../tables/curriculum.ts';
import { areas } from '../../tables/gyms.ts';

/** A published version: the one named, or the newest of a plan. Null when there is none. */
export async function findPublished(ctx: Context, which: { planVersionId: string } | { planId: string }) {
  const named =
    'planVersionId' in which ? eq(planVersions.id, which.planVersionId) : eq(planVersions.planId, which.planId);
  const [row] = await ctx.tx
    .select({ id: planVersions.id, planId: planVersions.planId, number: planVersions.number })
    .from(planVersions)
    .where(and(ours(ctx, planVersions), named, eq(planVersions.state, 'published')))
    .orderBy(desc(planVersions.number))
    .limit(1);
  return row ?? null;
}

/** A version by its id, in whatever state. */
export async function getVersion(ctx: Context, planVersionId: string): Promise<{ planId: string; number: number }> {
  const [row] = await ctx.tx
    .select({ planId: planVersions.planId, number: planVersions.number })
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
