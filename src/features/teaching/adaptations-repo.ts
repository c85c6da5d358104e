import { and, asc, eq, gt, isNull, type SQL, sql } from 'drizzle-orm';
import { grouped, isOneOf } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
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

/** The classes that a unit is of: whoever lays out blocks that it is for holds theirs. */
export async function classesIn(ctx: Context, gymId: string, { per, unitId }: Unit): Promise<string[]> {
  const session = sql`SELECT s.class_id FROM sessions s WHERE s.franchise_id = ${ctx.franchiseId} AND s.id = ${unitId}`;
  const block = sql`SELECT s.class_id FROM sessions s
    JOIN blocks b ON b.franchise_id = ${ctx.franchiseId} AND b.session_id = s.id AND b.id = ${unitId}
    WHERE s.franchise_id = ${ctx.franchiseId}`;
  const which = { gym: undefined, class: sql`${classes.id} = ${unitId}`, session: inSql(session), block: inSql(block) };
  const rows = await ctx.tx
    .select({ id: classes.id })
    .from(classes)
    .where(and(ours(ctx, classes), eq(classes.gymId, gymId), which[per]));
  return rows.map(({ id }) => id);
}

const inSql = (ids: SQL) => sql`${classes.id} IN (${ids})`;

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

/** Writes one down; refuses a second of a kind for the same unit, station, and step or piece. */
export async function insertAdaptation(
  ctx: Context,
  gymId: string,
  { per, unitId, stationId, change, reason }: NewAdaptation,
  judged: Pick<Row, 'direction' | 'spotting'> | null,
): Promise<string> {
  const id = newId();
  const { kind, ...what } = change;
  const row = { id, gymId, per, unitId, stationId, kind, ...judged, ...what, reason };
  const by = { franchiseId: ctx.franchiseId, createdAt: ctx.now, createdBy: ctx.accountId };
  try {
    await ctx.tx.insert(adaptations).values({ ...by, ...row });
  } catch (error) {
    if (!violates(error, 'unique', 'adaptations_one')) throw error;
    throw refuse('already-exists', `That ${NAMES[kind]} otherwise for that ${per} already: take it back first.`);
  }
  return id;
}

const NAMES = { drill: 'station is taught', 'drop-step': 'step is done', 'set-up': 'piece is set up' } as const;

/** Marks one as taken back; false where it was already. */
export async function undoAdaptation(ctx: Context, adaptationId: string): Promise<boolean> {
  return (await takeBack(ctx, eq(adaptations.id, adaptationId))).length > 0;
}

/** Marks the drill that stands for a unit at a station as taken back, where one does; gives its id. */
export const undoOtherDrill = async (
  ctx: Context,
  { per, unitId }: Unit,
  stationId: string,
): Promise<string | null> => {
  const isIt = and(
    eq(adaptations.kind, 'drill'),
    eq(adaptations.per, per),
    eq(adaptations.unitId, unitId),
    eq(adaptations.stationId, stationId),
  );
  const [row] = await takeBack(ctx, isIt);
  return row?.id ?? null;
};

const takeBack = (ctx: Context, which: SQL | undefined) =>
  ctx.tx
    .update(adaptations)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId })
    .where(and(ours(ctx, adaptations), which, isNull(adaptations.undoneAt)))
    .returning({ id: adaptations.id });

const changeOf = ({ kind, drillId, step, piece, choice }: Row): Adaptation['change'] => {
  if (kind === 'drill') return { kind, drillId: found(drillId, 'drill') };
  if (kind === 'drop-step') return { kind, step: found(step, 'step') };
  return { kind, piece: found(piece, 'piece'), choice: found(choice, 'choice') };
};

async function onWire(ctx: Context, rows: readonly Row[]): Promise<Adaptation[]> {
  const done = await ctx.tx
    .select({ blockId: blockStepDowns.blockId, adaptationId: blockStepDowns.adaptationId })
    .from(blockStepDowns)
    .innerJoin(blocks, and(ours(ctx, blocks), eq(blocks.id, blockStepDowns.blockId), gt(blocks.endsAt, ctx.now)))
    .where(
      and(
        ours(ctx, blockStepDowns),
        isOneOf(
          blockStepDowns.adaptationId,
          rows.map(({ id }) => id),
        ),
        isNull(blocks.supersededAt),
        isNull(blockStepDowns.undoneAt),
      ),
    )
    .orderBy(asc(blocks.startsAt), asc(blocks.id));
  const doneFor = grouped(done, ({ adaptationId }) => adaptationId ?? '');
  return rows.map((row) => ({
    id: row.id,
    per: row.per,
    unitId: row.unitId,
    stationId: row.stationId,
    change: changeOf(row),
    reason: row.reason,
    direction: row.direction,
    blockIds: doneFor(row.id)
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
