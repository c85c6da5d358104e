import { and, asc, eq, inArray, type SQL, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found } from '../../platform/problem.ts';
import { planBlocks, planFocuses, planStations, planSteps } from '../../tables/plans.ts';
import type { Diagram } from './diagram-schema.ts';
import type { PlanBlock, PlanContent, PlanStation, PlanStep } from './plan-content-schema.ts';

const spottingOnWire = (spotting: Spotting | null): PlanStation['spotting'] => {
  if (spotting === null || spotting.mode === 'none') return spotting;
  const { mode, kind, grade, skills } = spotting;
  return { mode, kindId: kind, grade, skills: skills.map(({ skill, level }) => ({ skillId: skill, level })) };
};

/** A version's focus, and its blocks with their stations and steps, each in its order: four statements, whatever its size. */
export async function contentOf(ctx: Context, versionId: string): Promise<PlanContent> {
  return { focus: await focusOf(ctx, versionId), blocks: await blocksOf(ctx, versionId) };
}

const focusOf = (ctx: Context, versionId: string): Promise<PlanContent['focus']> =>
  ctx.tx
    .select({
      apparatusId: planFocuses.apparatusId,
      skills: sql<PlanContent['focus'][number]['skills']>`coalesce((
        SELECT json_agg(json_build_object('skillId', s.skill_id, 'standing', s.standing) ORDER BY s.position)
        FROM plan_focus_skills s WHERE s.franchise_id = ${ctx.franchiseId} AND s.focus_id = plan_focuses.id), '[]')`,
      nextWeek: planFocuses.nextWeek,
    })
    .from(planFocuses)
    .where(and(ours(ctx, planFocuses), eq(planFocuses.planVersionId, versionId)))
    .orderBy(asc(planFocuses.position));

async function blocksOf(ctx: Context, versionId: string): Promise<PlanBlock[]> {
  const blocks = await selectBlocks(ctx, versionId);
  const stations = await selectStations(ctx, inArray(planStations.planBlockId, idsOf(blocks)));
  const steps = await selectSteps(ctx, inArray(planSteps.stationId, idsOf(stations)));
  const stepsOf = grouped(steps, ({ stationId }) => stationId);
  const stationsOf = grouped(stations, ({ planBlockId }) => planBlockId);
  return blocks.map((block) => ({
    ...block,
    stations: (stationsOf.get(block.id) ?? []).map((row) => {
      const { planBlockId: _, words, pieces, staysUp, diagram, spotting, ...station } = row;
      return {
        ...station,
        setUp: { words, pieces, staysUp, diagram },
        spotting: spottingOnWire(spotting),
        steps: (stepsOf.get(row.id) ?? []).map(stepOf),
      };
    }),
  }));
}

const selectBlocks = (ctx: Context, versionId: string) =>
  ctx.tx
    .select({
      id: planBlocks.id,
      title: planBlocks.title,
      activity: planBlocks.activity,
      minutes: planBlocks.minutes,
      apparatusIds: sql<string[]>`ARRAY(SELECT a.apparatus_id::text FROM plan_block_apparatus a
        WHERE a.franchise_id = ${ctx.franchiseId} AND a.plan_block_id = plan_blocks.id ORDER BY a.position)`,
      formation: planBlocks.formation,
      importance: planBlocks.importance,
      classRule: planBlocks.classRule,
      waterFirst: planBlocks.waterFirst,
      stationsRun: planBlocks.stationsRun,
    })
    .from(planBlocks)
    .where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId)))
    .orderBy(asc(planBlocks.position));

const selectStations = (ctx: Context, which: SQL) =>
  ctx.tx
    .select({
      id: planStations.id,
      planBlockId: planStations.planBlockId,
      name: planStations.name,
      apparatusId: planStations.apparatusId,
      items: planStations.items,
      words: planStations.setUp,
      pieces: sql<PlanStation['setUp']['pieces']>`coalesce((
        SELECT json_agg(json_build_object('apparatusId', p.apparatus_id, 'amount', p.amount, 'job', p.job,
            'forMixedSizes', p.for_mixed_sizes, 'orInstead', coalesce((
              SELECT json_agg(json_build_object('apparatusId', o.apparatus_id, 'amount', o.amount) ORDER BY o.choice)
              FROM plan_pieces o WHERE o.franchise_id = ${ctx.franchiseId} AND o.station_id = p.station_id
                AND o.position = p.position AND o.choice > 0), '[]')) ORDER BY p.position)
        FROM plan_pieces p WHERE p.franchise_id = ${ctx.franchiseId} AND p.station_id = plan_stations.id
          AND p.choice = 0), '[]')`,
      staysUp: planStations.staysUp,
      diagram: planStations.diagram,
      places: planStations.places,
      spotting: planStations.spotting,
    })
    .from(planStations)
    .where(and(ours(ctx, planStations), which))
    .orderBy(asc(planStations.position));

/** What a station of a version is drawn as; null where it has no drawing. Refuses as not found where it is in another. */
export async function diagramOf(ctx: Context, versionId: string, stationId: string): Promise<Diagram | null> {
  const [row] = await ctx.tx
    .select({ diagram: planStations.diagram })
    .from(planStations)
    .innerJoin(planBlocks, and(ours(ctx, planBlocks), eq(planBlocks.id, planStations.planBlockId)))
    .where(and(ours(ctx, planStations), eq(planStations.id, stationId), eq(planBlocks.planVersionId, versionId)));
  return found(row, 'station').diagram;
}

/**
 * What each drill of a station asked of its spotter when the plan was published. Of a version from before that was kept
 * for each, what the station asks together: never less.
 */
export async function frozenNeeds(ctx: Context, stationId: string): Promise<Map<string, Spotting>> {
  const { rows } = await ctx.tx.execute<{ drillId: string; spotting: Spotting }>(sql`
    SELECT d.drill_id AS "drillId", d.spotting FROM plan_step_drills d
    JOIN plan_steps s ON s.franchise_id = ${ctx.franchiseId} AND s.id = d.step_id AND s.station_id = ${stationId}
    WHERE d.franchise_id = ${ctx.franchiseId} AND d.spotting IS NOT NULL`);
  return new Map(rows.map(({ drillId, spotting }) => [drillId, spotting]));
}

const selectSteps = (ctx: Context, which: SQL) =>
  ctx.tx
    .select({
      stationId: planSteps.stationId,
      drillIds: sql<string[]>`ARRAY(SELECT d.drill_id::text FROM plan_step_drills d
        WHERE d.franchise_id = ${ctx.franchiseId} AND d.step_id = plan_steps.id ORDER BY d.position)`,
      chooseBy: planSteps.chooseBy,
      fromLevelId: planSteps.fromLevelId,
      amount: planSteps.doseAmount,
      unit: planSteps.doseUnit,
      sets: planSteps.doseSets,
      eachSide: planSteps.doseEachSide,
      note: planSteps.doseNote,
      weight: planSteps.weight,
    })
    .from(planSteps)
    .where(and(ours(ctx, planSteps), which))
    .orderBy(asc(planSteps.position));
type StepRow = Awaited<ReturnType<typeof selectSteps>>[number];

const stepOf = (row: StepRow): PlanStep => ({
  drillIds: row.drillIds,
  chooseBy: row.chooseBy,
  fromLevelId: row.fromLevelId,
  dose: { amount: row.amount, unit: row.unit, sets: row.sets, eachSide: row.eachSide, note: row.note },
  weight: row.weight,
});

function grouped<T>(rows: readonly T[], keyOf: (row: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group) group.push(row);
    else groups.set(keyOf(row), [row]);
  }
  return groups;
}

const idsOf = (rows: readonly { id: string }[]) => rows.map(({ id }) => id);
