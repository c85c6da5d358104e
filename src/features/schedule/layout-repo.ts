import { and, asc, desc, eq, exists, gt, inArray, isNull, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { lessonPlanProgrammes, planBlocks, planVersions } from '../../tables/curriculum.ts';
import { areas } from '../../tables/gyms.ts';
import { blockAreas, blocks, groupMembers, groups } from '../../tables/schedule.ts';
import { assignments } from '../../tables/staffing.ts';
import type { Meeting } from './zone-time.ts';

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

/** The groups that have blocks, in their order, with how many athletes are in each. */
export const groupsOf = (ctx: Context, sessionIds: string[]) =>
  ctx.tx
    .select({
      id: groups.id,
      sessionId: groups.sessionId,
      position: groups.position,
      name: groups.name,
      athletes: sql<number>`(SELECT count(*)::int FROM group_members m
        WHERE m.franchise_id = ${ctx.franchiseId} AND m.group_id = groups.id AND m.released_at IS NULL)`,
    })
    .from(groups)
    .where(
      and(
        ours(ctx, groups),
        inArray(groups.sessionId, sessionIds),
        exists(
          ctx.tx
            .select({ id: blocks.id })
            .from(blocks)
            .where(and(ours(ctx, blocks), eq(blocks.groupId, groups.id))),
        ),
      ),
    )
    .orderBy(asc(groups.sessionId), asc(groups.position));

/** The session's places that are held now. */
export const membersOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({ id: groupMembers.id, groupId: groupMembers.groupId, athleteId: groupMembers.athleteId })
    .from(groupMembers)
    .where(and(ours(ctx, groupMembers), eq(groupMembers.sessionId, sessionId), isNull(groupMembers.releasedAt)))
    .orderBy(asc(groupMembers.id));

export interface NewPlace extends Meeting {
  sessionId: string;
  groupId: string;
  athleteId: string;
}

/** Gives athletes places in groups; refuses when one is in another session at that time. */
export async function insertPlaces(ctx: Context, _lock: CoverLock, places: NewPlace[]): Promise<void> {
  if (places.length === 0) return;
  await refuseTwoPlaces(ctx, places);
  try {
    await ctx.tx
      .insert(groupMembers)
      .values(places.map((place) => ({ franchiseId: ctx.franchiseId, id: newId(), ...place })));
  } catch (error) {
    if (violates(error, 'exclusion', 'group_members_one_place')) {
      throw refuse('conflict', 'An athlete has a place in another session at the same time.');
    }
    throw error;
  }
}

async function refuseTwoPlaces(ctx: Context, places: NewPlace[]): Promise<void> {
  const athleteIds = places.map(({ athleteId }) => athleteId);
  const starts = places.map(({ startsAt }) => startsAt.toISOString());
  const ends = places.map(({ endsAt }) => endsAt.toISOString());
  const { rows } = await ctx.tx.execute<{ athlete_id: string; name: string; day: string }>(sql`
    SELECT m.athlete_id, c.name, s.day::text AS day
    FROM unnest(${sql.param(athleteIds)}::uuid[], ${sql.param(starts)}::timestamptz[], ${sql.param(ends)}::timestamptz[])
      AS wanted (athlete_id, starts_at, ends_at)
    JOIN group_members m ON m.franchise_id = ${ctx.franchiseId} AND m.athlete_id = wanted.athlete_id
      AND m.starts_at < wanted.ends_at AND m.ends_at > wanted.starts_at AND m.released_at IS NULL
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.id = m.session_id
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    ORDER BY m.starts_at, m.athlete_id LIMIT 1`);
  const [clash] = rows;
  if (!clash) return;
  const where = `Athlete ${clash.athlete_id} has a place in “${clash.name}” at that time on ${clash.day}`;
  throw refuse('conflict', `${where}: end one of the two enrolments, or move one of the sessions.`);
}

/** Gives up places by their ids. */
export async function releasePlaces(ctx: Context, _lock: CoverLock, ids: string[]): Promise<void> {
  if (ids.length === 0) return;
  await ctx.tx
    .update(groupMembers)
    .set({ releasedAt: ctx.now })
    .where(and(ours(ctx, groupMembers), inArray(groupMembers.id, ids), isNull(groupMembers.releasedAt)));
}

/** An athlete's places in these sessions. */
export const placesOf = (ctx: Context, athleteId: string, sessionIds: string[]) =>
  ctx.tx
    .select({ id: groupMembers.id, sessionId: groupMembers.sessionId })
    .from(groupMembers)
    .where(
      and(
        ours(ctx, groupMembers),
        eq(groupMembers.athleteId, athleteId),
        inArray(groupMembers.sessionId, sessionIds),
        isNull(groupMembers.releasedAt),
      ),
    );

/** A session's blocks by group, in the order in which they are taught. */
export const blocksOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({
      id: blocks.id,
      groupId: blocks.groupId,
      planVersionId: blocks.planVersionId,
      planBlockId: blocks.planBlockId,
      position: planBlocks.position,
      title: planBlocks.title,
      activity: planBlocks.activity,
      startsAt: blocks.startsAt,
      endsAt: blocks.endsAt,
      areaIds: sql<string[]>`ARRAY(SELECT a.area_id::text FROM block_areas a
        WHERE a.franchise_id = ${ctx.franchiseId} AND a.block_id = blocks.id ORDER BY 1)`,
      confirmedAt: blocks.confirmedAt,
      heldWhy: blocks.heldWhy,
      revision: blocks.revision,
    })
    .from(blocks)
    .innerJoin(groups, and(ours(ctx, groups), eq(groups.id, blocks.groupId)))
    .innerJoin(planBlocks, and(ours(ctx, planBlocks), eq(planBlocks.id, blocks.planBlockId)))
    .where(and(ours(ctx, blocks), eq(blocks.sessionId, sessionId)))
    .orderBy(asc(groups.position), asc(blocks.startsAt));

/** Names the session's groups: the rows that are there are used again, so that who was in them stays on record. */
export async function putGroups(ctx: Context, _lock: CoverLock, sessionId: string, names: string[]): Promise<string[]> {
  const rows = await ctx.tx
    .insert(groups)
    .values(
      names.map((name, index) => ({ franchiseId: ctx.franchiseId, id: newId(), sessionId, position: index + 1, name })),
    )
    .onConflictDoUpdate({
      target: [groups.franchiseId, groups.sessionId, groups.position],
      set: { name: sql`excluded.name` },
    })
    .returning({ id: groups.id, position: groups.position });
  return rows.sort((a, b) => a.position - b.position).map(({ id }) => id);
}

export interface NewBlock extends Meeting {
  id: string;
  gymId: string;
  sessionId: string;
  groupId: string;
  planVersionId: string;
  planBlockId: string;
  day: string;
  areaIds: string[];
}

export async function insertBlocks(ctx: Context, _lock: CoverLock, rows: NewBlock[]): Promise<void> {
  const { franchiseId } = ctx;
  await ctx.tx.insert(blocks).values(rows.map(({ areaIds: _, ...block }) => ({ franchiseId, ...block })));
  await ctx.tx
    .insert(blockAreas)
    .values(rows.flatMap(({ id, areaIds }) => areaIds.map((areaId) => ({ franchiseId, blockId: id, areaId }))));
}

/** Takes a session's blocks away; refuses when somebody on the staff was ever placed on one, for that stays on record. */
export async function deleteBlocks(ctx: Context, _lock: CoverLock, blockIds: string[]): Promise<void> {
  if (blockIds.length === 0) return;
  await ctx.tx.delete(blockAreas).where(and(ours(ctx, blockAreas), inArray(blockAreas.blockId, blockIds)));
  try {
    await ctx.tx.delete(blocks).where(and(ours(ctx, blocks), inArray(blocks.id, blockIds)));
  } catch (error) {
    if (!violates(error, 'reference')) throw error;
    throw refuse(
      'conflict',
      'Somebody on the staff has been placed on a block of this session; that stays on record, so the blocks do too.',
    );
  }
}

/** Pins blocks to other plan blocks. */
export async function repinBlocks(
  ctx: Context,
  _lock: CoverLock,
  planVersionId: string,
  pins: { blockId: string; planBlockId: string }[],
): Promise<void> {
  const ids = pins.map(({ blockId }) => blockId);
  const planBlockIds = pins.map(({ planBlockId }) => planBlockId);
  await ctx.tx.execute(sql`
    UPDATE blocks b SET plan_version_id = ${planVersionId}, plan_block_id = p.plan_block_id, revision = b.revision + 1
    FROM unnest(${sql.param(ids)}::uuid[], ${sql.param(planBlockIds)}::uuid[]) AS p (block_id, plan_block_id)
    WHERE b.franchise_id = ${ctx.franchiseId} AND b.id = p.block_id`);
}

/**
 * Moves a session's blocks by so many milliseconds, to a day. In two steps, by way of a far future: the constraint that
 * a group does one thing at a time looks at each row as it is written, and a neighbour may not have moved yet.
 */
export async function shiftBlocks(
  ctx: Context,
  _lock: CoverLock,
  sessionId: string,
  byMs: number,
  day: string,
): Promise<void> {
  const shift = (ms: number) => sql`make_interval(secs => ${ms / 1000}::double precision)`;
  const away = 1000 * 365 * 86_400_000;
  const theirs = and(ours(ctx, blocks), eq(blocks.sessionId, sessionId));
  const moved = (ms: number) => ({
    startsAt: sql`${blocks.startsAt} + ${shift(ms)}`,
    endsAt: sql`${blocks.endsAt} + ${shift(ms)}`,
  });
  await ctx.tx.update(blocks).set(moved(away)).where(theirs);
  await ctx.tx
    .update(blocks)
    .set({ ...moved(byMs - away), day, revision: sql`${blocks.revision} + 1` })
    .where(theirs);
}

/** Takes the confirmation from a session's blocks that have not ended; gives those that had it. */
export const unconfirmBlocks = (ctx: Context, _lock: CoverLock, sessionId: string) =>
  ctx.tx
    .update(blocks)
    .set({ confirmedAt: null, confirmedBy: null, revision: sql`${blocks.revision} + 1` })
    .where(
      and(
        ours(ctx, blocks),
        eq(blocks.sessionId, sessionId),
        sql`${blocks.confirmedAt} IS NOT NULL`,
        gt(blocks.endsAt, ctx.now),
      ),
    )
    .returning({ id: blocks.id, revision: blocks.revision });

/** The staff placed on a session or its blocks whose time there has not ended. */
export const staffOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select()
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        isNull(assignments.releasedAt),
        gt(assignments.endsAt, ctx.now),
        sql`(${assignments.sessionId} = ${sessionId} OR ${assignments.blockId} IN (
          SELECT b.id FROM blocks b WHERE b.franchise_id = ${ctx.franchiseId} AND b.session_id = ${sessionId}))`,
      ),
    )
    .orderBy(asc(assignments.id));

export async function releaseStaff(ctx: Context, _lock: CoverLock, ids: string[], why: string): Promise<void> {
  if (ids.length === 0) return;
  await ctx.tx
    .update(assignments)
    .set({ releasedAt: ctx.now, releasedBy: ctx.accountId, releasedWhy: why })
    .where(and(ours(ctx, assignments), inArray(assignments.id, ids), isNull(assignments.releasedAt)));
}

/** Places staff again after a move; refuses when one of them is somewhere else then. */
export async function insertStaff(
  ctx: Context,
  _lock: CoverLock,
  rows: (typeof assignments.$inferInsert)[],
): Promise<void> {
  if (rows.length === 0) return;
  try {
    await ctx.tx.insert(assignments).values(rows);
  } catch (error) {
    if (!violates(error, 'exclusion', 'assignments_one_place')) throw error;
    throw refuse(
      'conflict',
      'Somebody placed on this session is placed elsewhere at that time: release one of the two.',
    );
  }
}
