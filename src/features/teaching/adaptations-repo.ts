import { and, asc, eq, gt, inArray, isNull, type SQL, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found } from '../../platform/problem.ts';
import { planBlocks, planStations, planVersions } from '../../tables/plans.ts';
import { blockStepDowns, blocks, classes, sessions } from '../../tables/schedule.ts';
import { adaptations } from '../../tables/teaching.ts';
import type { Adaptation, NewAdaptation } from './adaptation-schema.ts';

type Row = typeof adaptations.$inferSelect;
export type Unit = Pick<NewAdaptation, 'per' | 'unitId'>;

/** A station of a version that has been published, with where it stands; refuses any other as not found. */
export async function getStation(ctx: Context, stationId: string) {
  const [row] = await ctx.tx
    .select({
      id: planStations.id,
      planBlockId: planStations.planBlockId,
      apparatusId: planStations.apparatusId,
      spotting: planStations.spotting,
      versionId: planVersions.id,
      planId: planVersions.planId,
    })
    .from(planStations)
    .innerJoin(planBlocks, and(ours(ctx, planBlocks), eq(planBlocks.id, planStations.planBlockId)))
    .innerJoin(planVersions, and(ours(ctx, planVersions), eq(planVersions.id, planBlocks.planVersionId)))
    .where(and(ours(ctx, planStations), eq(planStations.id, stationId), sql`${planVersions.state} <> 'draft'`));
  return found(row, 'station');
}

const within = ({ per, unitId }: Unit): SQL | undefined => {
  if (per === 'gym') return undefined;
  return eq({ class: sessions.classId, session: sessions.id, block: blocks.id }[per], unitId);
};

/** The blocks ahead of a gym, within that unit, that are taught from a plan block. */
export const blocksAhead = (ctx: Context, gymId: string, unit: Unit, planBlockId: string) =>
  ctx.tx
    .select({ id: blocks.id, day: blocks.day, classId: sessions.classId })
    .from(blocks)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId), isNull(sessions.cancelledAt)))
    .where(
      and(
        ours(ctx, blocks),
        eq(blocks.gymId, gymId),
        eq(blocks.planBlockId, planBlockId),
        isNull(blocks.supersededAt),
        gt(blocks.endsAt, ctx.now),
        within(unit),
      ),
    )
    .orderBy(asc(blocks.startsAt), asc(blocks.id));
export type BlockAhead = Awaited<ReturnType<typeof blocksAhead>>[number];

/** Is there such a unit at that gym? */
export async function isAtGym(ctx: Context, gymId: string, { per, unitId }: Unit): Promise<boolean> {
  if (per === 'gym') return unitId === gymId;
  const table = { class: classes, session: sessions, block: blocks }[per];
  const rows = await ctx.tx
    .select({ id: table.id })
    .from(table)
    .where(and(ours(ctx, table), eq(table.gymId, gymId), eq(table.id, unitId)));
  return rows.length > 0;
}

export async function insertAdaptation(
  ctx: Context,
  gymId: string,
  { per, unitId, stationId, change, reason }: NewAdaptation,
  direction: Row['direction'] = null,
): Promise<string> {
  const id = newId();
  const { kind, ...what } = change;
  await ctx.tx.insert(adaptations).values({
    franchiseId: ctx.franchiseId,
    id,
    gymId,
    per,
    unitId,
    stationId,
    kind,
    direction,
    ...what,
    reason,
    createdAt: ctx.now,
    createdBy: ctx.accountId,
  });
  return id;
}

/** Marks one as taken back. */
export async function undoAdaptation(ctx: Context, adaptationId: string): Promise<void> {
  await ctx.tx
    .update(adaptations)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId })
    .where(and(ours(ctx, adaptations), eq(adaptations.id, adaptationId), isNull(adaptations.undoneAt)));
}

/** Has another drill done at a station of blocks, in place of whatever was done there before. */
export async function insertOtherDrill(
  ctx: Context,
  lock: CoverLock,
  gymId: string,
  stationId: string,
  blockIds: readonly string[],
  { drillId, spotting, reason }: { drillId: string; spotting: Spotting; reason: string },
): Promise<void> {
  await takeBackDrill(ctx, lock, stationId, blockIds);
  await ctx.tx.insert(blockStepDowns).values(
    blockIds.map((blockId) => ({
      franchiseId: ctx.franchiseId,
      id: newId(),
      gymId,
      blockId,
      stationId,
      drillId,
      spotting,
      reason,
      createdAt: ctx.now,
      createdBy: ctx.accountId,
    })),
  );
}

/** Does at a station of blocks what the plan says again; only where that drill is done, when it is given. */
export async function takeBackDrill(
  ctx: Context,
  _lock: CoverLock,
  stationId: string,
  blockIds: readonly string[],
  drillId?: string,
): Promise<void> {
  await ctx.tx
    .update(blockStepDowns)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId })
    .where(
      and(
        ours(ctx, blockStepDowns),
        eq(blockStepDowns.stationId, stationId),
        inArray(blockStepDowns.blockId, some(blockIds)),
        drillId === undefined ? undefined : eq(blockStepDowns.drillId, drillId),
        isNull(blockStepDowns.undoneAt),
      ),
    );
}

const changeOf = ({ kind, drillId, step, piece, choice }: Row): Adaptation['change'] => {
  if (kind === 'drill') return { kind, drillId: found(drillId, 'drill') };
  if (kind === 'drop-step') return { kind, step: found(step, 'step') };
  return { kind, piece: found(piece, 'piece'), choice: found(choice, 'choice') };
};

async function onWire(ctx: Context, rows: readonly Row[]): Promise<Adaptation[]> {
  const drills = rows.filter(({ kind }) => kind === 'drill');
  const done = await ctx.tx
    .select({
      blockId: blockStepDowns.blockId,
      stationId: blockStepDowns.stationId,
      drillId: blockStepDowns.drillId,
      classId: sessions.classId,
      sessionId: sessions.id,
      gymId: sessions.gymId,
    })
    .from(blockStepDowns)
    .innerJoin(blocks, and(ours(ctx, blocks), eq(blocks.id, blockStepDowns.blockId), gt(blocks.endsAt, ctx.now)))
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId)))
    .where(
      and(
        ours(ctx, blockStepDowns),
        inArray(blockStepDowns.stationId, some(drills.map(({ stationId }) => stationId))),
        isNull(blockStepDowns.undoneAt),
      ),
    )
    .orderBy(asc(blocks.startsAt), asc(blocks.id));
  const unitIn = (row: (typeof done)[number]) => ({
    gym: row.gymId,
    class: row.classId,
    session: row.sessionId,
    block: row.blockId,
  });
  return rows.map((row) => ({
    id: row.id,
    per: row.per,
    unitId: row.unitId,
    stationId: row.stationId,
    change: changeOf(row),
    reason: row.reason,
    direction: row.direction,
    blockIds: done
      .filter(
        (one) =>
          row.undoneAt === null &&
          row.kind === 'drill' &&
          one.stationId === row.stationId &&
          one.drillId === row.drillId &&
          unitIn(one)[row.per] === row.unitId,
      )
      .map(({ blockId }) => blockId)
      .slice(0, 500),
    createdAt: instantOf(row.createdAt),
    createdBy: row.createdBy,
    undoneAt: maybeInstant(row.undoneAt),
  }));
}

/** One of that gym; refuses any other as not found. */
export async function getAdaptation(ctx: Context, gymId: string, adaptationId: string): Promise<Adaptation> {
  const rows = await ctx.tx
    .select()
    .from(adaptations)
    .where(and(ours(ctx, adaptations), eq(adaptations.gymId, gymId), eq(adaptations.id, adaptationId)));
  const [one] = await onWire(ctx, rows);
  return found(one, 'adaptation');
}

/** A gym's, the oldest first. */
export async function listAdaptations(
  ctx: Context,
  gymId: string,
  { limit, cursor, stationId }: Paging & { stationId?: string | undefined },
) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(adaptations)
    .where(
      and(
        ours(ctx, adaptations),
        eq(adaptations.gymId, gymId),
        stationId ? eq(adaptations.stationId, stationId) : undefined,
        after ? gt(adaptations.id, after) : undefined,
      ),
    )
    .orderBy(asc(adaptations.id))
    .limit(limit + 1);
  const shown = await onWire(ctx, rows);
  return pageOf(
    shown,
    limit,
    (one) => one,
    ({ id }) => [id],
  );
}
