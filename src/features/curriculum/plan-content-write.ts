import { and, eq, inArray, sql } from 'drizzle-orm';
import type { PgTable } from 'drizzle-orm/pg-core';
import type { Spotting } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import {
  planBlockApparatus,
  planBlocks,
  planFocuses,
  planFocusSkills,
  planPieces,
  planStations,
  planStepDrills,
  planSteps,
} from '../../tables/plans.ts';
import type { DraftContent } from './plan-content-schema.ts';

type DraftStation = DraftContent['blocks'][number]['stations'][number];

/** With an id and its place in the list, counted from 1. */
const placed = <T extends object>(all: readonly T[]) =>
  all.map((one, at) => ({ ...one, id: newId(), position: at + 1 }));

/** Writes a draft's content, which has none yet: a statement a table. */
export async function insertContent(ctx: Context, planVersionId: string, content: DraftContent): Promise<void> {
  const { franchiseId } = ctx;
  const focuses = placed(content.focus);
  const blocks = placed(content.blocks);
  const stations = blocks.flatMap(({ id, stations }) =>
    placed(stations).map((station) => ({ ...station, planBlockId: id })),
  );
  const steps = stations.flatMap(({ id, steps }) => placed(steps).map((step) => ({ ...step, stationId: id })));

  await insertAll(
    ctx,
    planFocuses,
    focuses.map(({ skills: _, ...focus }) => ({ ...focus, franchiseId, planVersionId })),
  );
  await insertAll(
    ctx,
    planFocusSkills,
    focuses.flatMap(({ id, skills }) =>
      skills.map((skill, at) => ({ ...skill, franchiseId, focusId: id, position: at + 1 })),
    ),
  );
  await insertAll(
    ctx,
    planBlocks,
    blocks.map(({ stations: _, apparatusIds: __, ...block }) => ({ ...block, franchiseId, planVersionId })),
  );
  await insertAll(
    ctx,
    planBlockApparatus,
    blocks.flatMap(({ id, apparatusIds }) =>
      apparatusIds.map((apparatusId, at) => ({ franchiseId, planBlockId: id, apparatusId, position: at + 1 })),
    ),
  );
  await insertAll(
    ctx,
    planStations,
    stations.map(({ steps: _, setUp: { words, staysUp, diagram }, ...station }) => ({
      ...station,
      franchiseId,
      setUp: words,
      staysUp,
      diagram,
      spotting: null,
    })),
  );
  await insertAll(
    ctx,
    planPieces,
    stations.flatMap(({ id, setUp }) => setUp.pieces.flatMap((piece, at) => pieceRows(ctx, id, at + 1, piece))),
  );
  await insertAll(
    ctx,
    planSteps,
    steps.map(({ drillIds: _, dose, ...step }) => ({
      ...step,
      franchiseId,
      doseAmount: dose.amount,
      doseUnit: dose.unit,
      doseSets: dose.sets,
      doseEachSide: dose.eachSide,
      doseNote: dose.note,
    })),
  );
  await insertAll(
    ctx,
    planStepDrills,
    steps.flatMap(({ id, drillIds }) =>
      drillIds.map((drillId, at) => ({ franchiseId, stepId: id, drillId, position: at + 1 })),
    ),
  );
}

/** PostgreSQL takes 65,535 parameters in one statement; a table here has fewer than 20 columns. */
const ROWS_AT_ONCE = 3000;

async function insertAll<T extends PgTable>(ctx: Context, table: T, rows: T['$inferInsert'][]): Promise<void> {
  for (let at = 0; at < rows.length; at += ROWS_AT_ONCE) {
    await ctx.tx.insert(table).values(rows.slice(at, at + ROWS_AT_ONCE));
  }
}

/** The piece that is meant, and after it what will do instead. */
const pieceRows = (
  { franchiseId }: Context,
  stationId: string,
  position: number,
  { orInstead, apparatusId, amount, job, forMixedSizes }: DraftStation['setUp']['pieces'][number],
) =>
  [{ apparatusId, amount }, ...orInstead].map((one, choice) => ({
    franchiseId,
    stationId,
    position,
    choice,
    ...one,
    job,
    forMixedSizes,
  }));

/** Takes a draft's whole content away. Only of a draft that is held. */
export async function deleteContent(ctx: Context, versionId: string): Promise<void> {
  const { tx } = ctx;
  const focusIds = tx
    .select({ id: planFocuses.id })
    .from(planFocuses)
    .where(and(ours(ctx, planFocuses), eq(planFocuses.planVersionId, versionId)));
  const blockIds = tx
    .select({ id: planBlocks.id })
    .from(planBlocks)
    .where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId)));
  const stationIds = tx
    .select({ id: planStations.id })
    .from(planStations)
    .where(and(ours(ctx, planStations), inArray(planStations.planBlockId, blockIds)));
  const stepIds = tx
    .select({ id: planSteps.id })
    .from(planSteps)
    .where(and(ours(ctx, planSteps), inArray(planSteps.stationId, stationIds)));
  await tx.delete(planStepDrills).where(and(ours(ctx, planStepDrills), inArray(planStepDrills.stepId, stepIds)));
  await tx.delete(planSteps).where(and(ours(ctx, planSteps), inArray(planSteps.stationId, stationIds)));
  await tx.delete(planPieces).where(and(ours(ctx, planPieces), inArray(planPieces.stationId, stationIds)));
  await tx.delete(planStations).where(and(ours(ctx, planStations), inArray(planStations.planBlockId, blockIds)));
  await tx
    .delete(planBlockApparatus)
    .where(and(ours(ctx, planBlockApparatus), inArray(planBlockApparatus.planBlockId, blockIds)));
  await tx.delete(planBlocks).where(and(ours(ctx, planBlocks), eq(planBlocks.planVersionId, versionId)));
  await tx.delete(planFocusSkills).where(and(ours(ctx, planFocusSkills), inArray(planFocusSkills.focusId, focusIds)));
  await tx.delete(planFocuses).where(and(ours(ctx, planFocuses), eq(planFocuses.planVersionId, versionId)));
}

/** Nobody changes a drill that this version names until this transaction ends. */
export async function holdDrills(ctx: Context, versionId: string): Promise<void> {
  const us = ctx.franchiseId;
  await ctx.tx.execute(sql`
    SELECT FROM drills d WHERE d.franchise_id = ${us} AND d.id IN (
      SELECT sd.drill_id FROM plan_step_drills sd
      JOIN plan_steps s ON s.franchise_id = ${us} AND s.id = sd.step_id
      JOIN plan_stations st ON st.franchise_id = ${us} AND st.id = s.station_id
      JOIN plan_blocks b ON b.franchise_id = ${us} AND b.id = st.plan_block_id
      WHERE sd.franchise_id = ${us} AND b.plan_version_id = ${versionId})
    ORDER BY d.id FOR SHARE`);
}

/** Fixes what each drill of a version asks of a spotter, in one statement. */
export async function setDrillSpotting(
  ctx: Context,
  versionId: string,
  needs: readonly { drill: string; spotting: Spotting }[],
): Promise<void> {
  const us = ctx.franchiseId;
  await ctx.tx.execute(sql`
    UPDATE plan_step_drills sd SET spotting = n.spotting
    FROM jsonb_to_recordset(${JSON.stringify(needs)}::jsonb) AS n (drill uuid, spotting jsonb), plan_steps s,
      plan_stations st, plan_blocks b
    WHERE sd.franchise_id = ${us} AND sd.drill_id = n.drill AND s.franchise_id = ${us} AND s.id = sd.step_id
      AND st.franchise_id = ${us} AND st.id = s.station_id
      AND b.franchise_id = ${us} AND b.id = st.plan_block_id AND b.plan_version_id = ${versionId}`);
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
