import { and, asc, eq, gt, isNotNull, isNull, type SQL, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { planBlocks, planStations, planVersions } from '../../tables/plans.ts';
import { blocks, classes, sessions } from '../../tables/schedule.ts';
import { adaptations } from '../../tables/teaching.ts';
import { holds } from '../people/persons.ts';
import { isTakenUp } from '../schedule/other-drills.ts';
import { type Adaptation, MOST_BLOCKS, type NewAdaptation } from './adaptation-schema.ts';
import { blocksTaught } from './own-blocks.ts';

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

/** Is it done in what is laid out later? What is not done by cover is read wherever its unit is taught. */
function isLaterToo({ per, kind, undoneAt, direction, spotting }: Row, planned: Spotting | null): boolean {
  if (per === 'block' || undoneAt !== null) return false;
  if (kind !== 'drill') return true;
  const isPlanSpotted = planned !== null && planned.mode !== 'none';
  return direction !== null && spotting !== null && isTakenUp({ direction, spotting, isPlanSpotted });
}

/** The blocks ahead of a gym in which another drill is done for each of these, the first by time, and how many there are. */
async function blocksDoneIn(
  ctx: Context,
  gymId: string,
  adaptationIds: readonly string[],
): Promise<Map<string, { blockIds: string[]; blocks: number }>> {
  if (adaptationIds.length === 0) return new Map();
  const us = ctx.franchiseId;
  const now = sql`${ctx.now.toISOString()}::timestamptz`;
  // The day is for the index: nowhere is it two days earlier than in UTC.
  const { rows } = await ctx.tx.execute<{ adaptationId: string; blockIds: string[]; blocks: number }>(sql`
    SELECT d.adaptation_id AS "adaptationId", count(*)::int AS blocks,
      (array_agg(b.id::text ORDER BY b.starts_at, b.id))[1:${MOST_BLOCKS}::int] AS "blockIds"
    FROM blocks b
    JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id AND s.cancelled_at IS NULL
    JOIN block_step_downs d ON d.franchise_id = ${us} AND d.block_id = b.id AND d.undone_at IS NULL
      AND d.adaptation_id = ANY(${sql.param(adaptationIds)}::uuid[])
    WHERE b.franchise_id = ${us} AND b.gym_id = ${gymId} AND b.superseded_at IS NULL AND b.ends_at > ${now}
      AND b.day >= (${now} AT TIME ZONE 'UTC')::date - 1
    GROUP BY d.adaptation_id`);
  return new Map(rows.map((row) => [row.adaptationId, row]));
}

const select = (ctx: Context, gymId: string, which: SQL | undefined) =>
  ctx.tx
    .select({ row: adaptations, planned: planStations.spotting })
    .from(adaptations)
    .innerJoin(planStations, and(ours(ctx, planStations), eq(planStations.id, adaptations.stationId)))
    .where(and(ours(ctx, adaptations), eq(adaptations.gymId, gymId), which))
    .orderBy(asc(adaptations.id));

async function onWire(ctx: Context, gymId: string, rows: Awaited<ReturnType<typeof select>>): Promise<Adaptation[]> {
  const drills = rows.filter(({ row }) => row.kind === 'drill').map(({ row }) => row.id);
  const done = await blocksDoneIn(ctx, gymId, drills);
  return rows.map(({ row, planned }) => {
    const { blockIds = [], blocks: all = 0 } = done.get(row.id) ?? {};
    return {
      id: row.id,
      per: row.per,
      unitId: row.unitId,
      stationId: row.stationId,
      change: changeOf(row),
      reason: row.reason,
      direction: row.direction,
      blockIds,
      moreBlocks: all - blockIds.length,
      laterToo: isLaterToo(row, planned),
      createdAt: instantOf(row.createdAt),
      createdBy: row.createdBy,
      undoneAt: maybeInstant(row.undoneAt),
    };
  });
}

/** One of that gym; refuses any other as not found. */
export async function getAdaptation(ctx: Context, gymId: string, adaptationId: string): Promise<Adaptation> {
  const [one] = await onWire(ctx, gymId, await select(ctx, gymId, eq(adaptations.id, adaptationId)));
  return found(one, 'adaptation');
}

/** A gym's, the oldest first; for a coach, what they said themselves, and what was said for a block that they teach. */
export async function listAdaptations(
  ctx: Context,
  gymId: string,
  { limit, cursor, stationId, standing }: Paging & { stationId?: string | undefined; standing?: boolean | undefined },
) {
  const after = readIdCursor(cursor);
  const which = and(
    holds(ctx, 'plans.adapt', gymId) ? undefined : isOwn(ctx),
    stationId ? eq(adaptations.stationId, stationId) : undefined,
    standing === undefined ? undefined : (standing ? isNull : isNotNull)(adaptations.undoneAt),
    after ? gt(adaptations.id, after) : undefined,
  );
  const shown = await onWire(ctx, gymId, await select(ctx, gymId, which).limit(limit + 1));
  return pageOf(
    shown,
    limit,
    (one) => one,
    ({ id }) => [id],
  );
}

const isOwn = (ctx: Context): SQL => sql`(${adaptations.createdBy} = ${ctx.accountId}::uuid
  OR (${adaptations.per} = 'block' AND ${adaptations.unitId} IN (${blocksTaught(ctx)})))`;
