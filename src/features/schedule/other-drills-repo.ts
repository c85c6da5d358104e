import { and, asc, eq, isNull, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import { isOneOf } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { blockStepDowns } from '../../tables/schedule.ts';

// What is done at stations of blocks in place of what their plan says: the one place where that is written.

export type OtherDrill = typeof blockStepDowns.$inferSelect;
export type NewOtherDrill = Pick<
  OtherDrill,
  'gymId' | 'blockId' | 'stationId' | 'drillId' | 'adaptationId' | 'spotting' | 'reason' | 'createdBy'
>;

/** What is done otherwise at a station of blocks by now. */
export const otherDrillsAt = (ctx: Context, blockIds: readonly string[], stationId: string): Promise<OtherDrill[]> =>
  ctx.tx
    .select()
    .from(blockStepDowns)
    .where(standing(ctx, blockIds, stationId))
    .orderBy(asc(blockStepDowns.blockId), asc(blockStepDowns.stationId));

const standing = (ctx: Context, blockIds: readonly string[], stationId?: string) =>
  and(
    ours(ctx, blockStepDowns),
    isOneOf(blockStepDowns.blockId, blockIds),
    stationId === undefined ? undefined : eq(blockStepDowns.stationId, stationId),
    isNull(blockStepDowns.undoneAt),
  );

/** Does other drills at stations of blocks, where nothing else is done otherwise; gives the rows. */
export async function insertOtherDrills(
  ctx: Context,
  _lock: CoverLock,
  wanted: readonly NewOtherDrill[],
): Promise<OtherDrill[]> {
  const { franchiseId, now: createdAt } = ctx;
  const rows = wanted.map((one) => ({ franchiseId, id: newId(), createdAt, ...one }));
  const written: OtherDrill[] = [];
  // Each value is a parameter, and a statement takes 65,535.
  for (let at = 0; at < rows.length; at += MOST_AT_ONCE) {
    const some = rows.slice(at, at + MOST_AT_ONCE);
    written.push(...(await ctx.tx.insert(blockStepDowns).values(some).returning()));
  }
  return written;
}

const MOST_AT_ONCE = 1000;

/** What is done otherwise at stations of blocks (at one, where it is given) is done as planned again; gives the rows. */
export const takeBackOtherDrills = (
  ctx: Context,
  _lock: CoverLock,
  blockIds: readonly string[],
  stationId?: string,
): Promise<OtherDrill[]> =>
  ctx.tx
    .update(blockStepDowns)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId })
    .where(standing(ctx, blockIds, stationId))
    .returning();

/** Is an adaptation `a` for a block `b` of a session `s`: for the gym, the class, the session, or the block itself? */
export const isForBlock = sql`a.unit_id = CASE a.per
  WHEN 'gym' THEN b.gym_id WHEN 'class' THEN s.class_id WHEN 'session' THEN s.id ELSE b.id END`;
/** The narrowest unit first. */
export const narrowestFirst = sql`array_position(ARRAY['block', 'session', 'class', 'gym'], a.per)`;

/** Does the plan have a station `p` spotted? */
const isPlanSpotted = sql`coalesce(p.spotting->>'mode', 'none') <> 'none'`;

export interface StandingDrill {
  adaptationId: string;
  blockId: string;
  stationId: string;
  gymId: string;
  drillId: string;
  spotting: Spotting;
  direction: 'easier' | 'harder';
  reason: string;
  createdBy: string | null;
  /** Does the plan have the station spotted? */
  isPlanSpotted: boolean;
  day: string;
}

/** The drill adaptations that stand for blocks, at each station the one of the narrowest unit. */
export async function standingDrills(
  ctx: Context,
  blockIds: readonly string[],
  stationId?: string,
): Promise<StandingDrill[]> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<StandingDrill & Record<string, unknown>>(sql`
    SELECT DISTINCT ON (b.id, p.id) a.id AS "adaptationId", b.id AS "blockId", p.id AS "stationId", b.gym_id AS "gymId", b.day::text AS day,
      a.drill_id AS "drillId", a.spotting, a.direction, a.reason, a.created_by AS "createdBy",
      ${isPlanSpotted} AS "isPlanSpotted"
    FROM blocks b
    JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id
    JOIN plan_stations p ON p.franchise_id = ${us} AND p.plan_block_id = b.plan_block_id
    JOIN adaptations a ON a.franchise_id = ${us} AND a.station_id = p.id AND a.kind = 'drill' AND a.undone_at IS NULL
      AND a.spotting IS NOT NULL AND ${isForBlock}
    WHERE b.franchise_id = ${us} AND b.id = ANY(${sql.param(blockIds)}::uuid[])
      AND (${stationId ?? null}::uuid IS NULL OR p.id = ${stationId ?? null}::uuid)
    ORDER BY b.id, p.id, ${narrowestFirst}`);
  return rows;
}
