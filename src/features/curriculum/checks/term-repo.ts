import { and, asc, eq, inArray, sql } from 'drizzle-orm';
import { grouped, some } from '../../../enforcement/rows.ts';
import type { Context } from '../../../platform/context.ts';
import { ours } from '../../../platform/db/tenant.ts';
import { drillSkills } from '../../../tables/curriculum.ts';
import { skills } from '../../../tables/people.ts';
import { planBlocks, planStations, planStepDrills, planSteps, planVersions } from '../../../tables/plans.ts';
import { termWeeks } from '../../../tables/terms.ts';

/** The terms that a plan hangs from. */
export async function termsOf(ctx: Context, planId: string): Promise<string[]> {
  const rows = await ctx.tx
    .selectDistinct({ termId: termWeeks.termId })
    .from(termWeeks)
    .where(and(ours(ctx, termWeeks), eq(termWeeks.planId, planId)))
    .orderBy(asc(termWeeks.termId));
  return rows.map(({ termId }) => termId);
}

/** The skills that the drills of each plan teach, of its newest version that is not withdrawn. */
export async function taughtByPlans(ctx: Context, planIds: readonly string[]): Promise<Map<string, Set<string>>> {
  const newest = await ctx.tx
    .select({
      planId: planVersions.planId,
      id: sql<string>`(array_agg(${planVersions.id}::text ORDER BY ${planVersions.number} DESC))[1]`,
    })
    .from(planVersions)
    .where(
      and(
        ours(ctx, planVersions),
        inArray(planVersions.planId, some(planIds)),
        sql`${planVersions.state} <> 'withdrawn'`,
      ),
    )
    .groupBy(planVersions.planId);
  const rows = await ctx.tx
    .selectDistinct({ versionId: planBlocks.planVersionId, skillId: drillSkills.skillId })
    .from(planBlocks)
    .innerJoin(planStations, and(ours(ctx, planStations), eq(planStations.planBlockId, planBlocks.id)))
    .innerJoin(planSteps, and(ours(ctx, planSteps), eq(planSteps.stationId, planStations.id)))
    .innerJoin(planStepDrills, and(ours(ctx, planStepDrills), eq(planStepDrills.stepId, planSteps.id)))
    .innerJoin(drillSkills, and(ours(ctx, drillSkills), eq(drillSkills.drillId, planStepDrills.drillId)))
    .where(and(ours(ctx, planBlocks), inArray(planBlocks.planVersionId, some(newest.map(({ id }) => id)))));
  const of = grouped(rows, ({ versionId }) => versionId);
  return new Map(newest.map(({ planId, id }) => [planId, new Set(of(id).map(({ skillId }) => skillId))]));
}

/** What these skills are called. */
export async function skillNames(ctx: Context, ids: readonly string[]): Promise<(id: string) => string> {
  const rows = await ctx.tx
    .select({ id: skills.id, name: skills.name })
    .from(skills)
    .where(and(ours(ctx, skills), inArray(skills.id, some(ids))));
  const names = new Map(rows.map(({ id, name }) => [id, name]));
  return (id) => names.get(id) ?? id;
}
