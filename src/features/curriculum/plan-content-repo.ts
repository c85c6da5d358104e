import { and, asc, eq, inArray, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { planBlocks, planStations, planSteps } from '../../tables/curriculum.ts';
import type { DraftContent, PlanBlock, PlanStation } from './plan-schema.ts';

const spottingOnWire = (spotting: Spotting | null): PlanStation['spotting'] => {
  if (spotting === null || spotting.mode === 'none') return spotting;
  const { mode, kind, grade, skills } = spotting;
  return { mode, kindId: kind, grade, skills: skills.map(({ skill, level }) => ({ skillId: skill, level })) };
};

/** A version's blocks with their stations and steps, each in its order: three statements, whatever its size. */
export async function contentOf(ctx: Context, versionId: string): Promise<PlanBlock[]> {
  const ofVersion = and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId));
  const blocks = await ctx.tx.select().from(planBlocks).where(ofVersion).orderBy(asc(planBlocks.position));
  const stations = await ctx.tx
    .select()
    .from(planStations)
    .where(and(ours(ctx, planStations), inArray(planStations.planBlockId, idsOf(blocks))))
    .orderBy(asc(planStations.position));
  const steps = await ctx.tx
    .select()
    .from(planSteps)
    .where(and(ours(ctx, planSteps), inArray(planSteps.stationId, idsOf(stations))))
    .orderBy(asc(planSteps.position));

  const stepsOf = grouped(steps, ({ stationId }) => stationId);
  const stationsOf = grouped(stations, ({ planBlockId }) => planBlockId);
  return blocks.map(({ id, title, activity, minutes, classRule, stationsRun }) => ({
    id,
    title,
    activity,
    minutes,
    classRule,
    stationsRun,
    stations: (stationsOf.get(id) ?? []).map((station) => ({
      id: station.id,
      name: station.name,
      setUp: station.setUp,
      apparatusId: station.apparatusId,
      items: station.items,
      spotting: spottingOnWire(station.spotting),
      steps: (stepsOf.get(station.id) ?? []).map(({ drillId, fromLevelId, dose, weight }) => ({
        drillId,
        fromLevelId,
        dose,
        weight,
      })),
    })),
  }));
}

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

/** Writes a draft's content, which has none yet. */
export async function insertContent(ctx: Context, planVersionId: string, { blocks }: DraftContent): Promise<void> {
  const { franchiseId } = ctx;
  const blockRows = blocks.map((block, at) => ({ ...block, id: newId(), position: at + 1 }));
  const stationRows = blockRows.flatMap(({ id, stations }) =>
    stations.map((station, at) => ({ ...station, planBlockId: id, id: newId(), position: at + 1 })),
  );
  const stepRows = stationRows.flatMap(({ id, steps }) =>
    steps.map((step, at) => ({ ...step, franchiseId, stationId: id, id: newId(), position: at + 1 })),
  );
  if (blockRows.length > 0) {
    await ctx.tx
      .insert(planBlocks)
      .values(blockRows.map(({ stations: _, ...block }) => ({ ...block, franchiseId, planVersionId })));
  }
  if (stationRows.length > 0) {
    await ctx.tx
      .insert(planStations)
      .values(stationRows.map(({ steps: _, ...station }) => ({ ...station, franchiseId, spotting: null })));
  }
  if (stepRows.length > 0) await ctx.tx.insert(planSteps).values(stepRows);
}

/** Takes a draft's whole content away. Only of a draft that is held. */
export async function deleteContent(ctx: Context, versionId: string): Promise<void> {
  const blocks = ctx.tx
    .select({ id: planBlocks.id })
    .from(planBlocks)
    .where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId)));
  const stations = ctx.tx
    .select({ id: planStations.id })
    .from(planStations)
    .where(and(ours(ctx, planStations), inArray(planStations.planBlockId, blocks)));
  await ctx.tx.delete(planSteps).where(and(ours(ctx, planSteps), inArray(planSteps.stationId, stations)));
  await ctx.tx.delete(planStations).where(and(ours(ctx, planStations), inArray(planStations.planBlockId, blocks)));
  await ctx.tx.delete(planBlocks).where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId)));
}

/** Fixes what each station asks of a spotter, in one statement. */
export async function setSpotting(
  ctx: Context,
  needs: readonly { station: string; spotting: Spotting }[],
): Promise<void> {
  if (needs.length === 0) return;
  await ctx.tx.execute(sql`
    UPDATE plan_stations s SET spotting = n.spotting
    FROM jsonb_to_recordset(${JSON.stringify(needs)}::jsonb) AS n (station uuid, spotting jsonb)
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.id = n.station`);
}
