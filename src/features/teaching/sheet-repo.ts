import { and, asc, eq, inArray, isNull, sql } from 'drizzle-orm';
import type { Spotting } from '../../cover/types.ts';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found } from '../../platform/problem.ts';
import { programmes } from '../../tables/curriculum.ts';
import { gyms } from '../../tables/gyms.ts';
import { lessonPlans, planVersions } from '../../tables/plans.ts';
import { blocks, classes, groups, sessions } from '../../tables/schedule.ts';
import { goingWith } from '../people/who-is-here.ts';
import { isForBlock, narrowestFirst } from '../schedule/other-drills-repo.ts';

/** A session that takes place, with its class and gym; refuses any other as not found. */
export async function getSheetSession(ctx: Context, gymId: string, sessionId: string) {
  const [row] = await ctx.tx
    .select({
      gym: gyms.name,
      zone: gyms.zone,
      className: classes.name,
      programme: programmes.name,
      levels: sql<string[]>`ARRAY(SELECT l.name FROM class_levels c
        JOIN levels l ON l.franchise_id = ${ctx.franchiseId} AND l.id = c.level_id
        WHERE c.franchise_id = ${ctx.franchiseId} AND c.class_id = ${sessions.classId} ORDER BY l.position, l.name)`,
      day: sessions.day,
      startsAt: sessions.startsAt,
      endsAt: sessions.endsAt,
      planVersionId: sessions.planVersionId,
    })
    .from(sessions)
    .innerJoin(gyms, and(ours(ctx, gyms), eq(gyms.id, sessions.gymId)))
    .innerJoin(classes, and(ours(ctx, classes), eq(classes.id, sessions.classId)))
    .innerJoin(programmes, and(ours(ctx, programmes), eq(programmes.id, classes.programmeId)))
    .where(
      and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.id, sessionId), isNull(sessions.cancelledAt)),
    );
  return found(row, 'session');
}

/** A session's blocks, in the order of time, with what each is taught from. */
export const selectSheetBlocks = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({
      blockId: blocks.id,
      groupId: blocks.groupId,
      group: groups.name,
      planBlockId: blocks.planBlockId,
      versionId: blocks.planVersionId,
      startsAt: blocks.startsAt,
      endsAt: blocks.endsAt,
    })
    .from(blocks)
    .innerJoin(groups, and(ours(ctx, groups), eq(groups.id, blocks.groupId)))
    .where(and(ours(ctx, blocks), eq(blocks.sessionId, sessionId), isNull(blocks.supersededAt)))
    .orderBy(asc(blocks.startsAt), asc(groups.position), asc(blocks.id));
export type SheetBlock = Awaited<ReturnType<typeof selectSheetBlocks>>[number];

/** The versions that blocks are taught from. */
export const selectVersions = (ctx: Context, versionIds: readonly string[]) =>
  ctx.tx
    .select({
      versionId: planVersions.id,
      planId: planVersions.planId,
      number: planVersions.number,
      title: lessonPlans.title,
      weekOf: lessonPlans.weekOf,
      state: planVersions.state,
    })
    .from(planVersions)
    .innerJoin(lessonPlans, and(ours(ctx, lessonPlans), eq(lessonPlans.id, planVersions.planId)))
    .where(and(ours(ctx, planVersions), inArray(planVersions.id, some(versionIds))));

const all = async <T>(ctx: Context, statement: ReturnType<typeof sql>) =>
  (await ctx.tx.execute<T & Record<string, unknown>>(statement)).rows;
const list = (ids: readonly string[]) => sql`ANY(${sql.param(ids)}::uuid[])`;

export interface AdaptedRow {
  blockId: string;
  stationId: string;
  kind: 'drill' | 'drop-step' | 'set-up';
  drillId: string | null;
  /** How close somebody stands to spot there with that drill, as cover judges it. */
  spots: Spotting['mode'] | null;
  step: number | null;
  piece: number | null;
  choice: number | null;
  reason: string;
  by: string | null;
}

/**
 * How the stations of blocks are not as their plan says: what stands by now, and for a block that has ended, what stood when
 * it did. Of a step and of a piece, what the narrowest unit says.
 */
export const selectAdapted = (ctx: Context, blockIds: readonly string[]) => {
  const us = ctx.franchiseId;
  const by = (
    account: ReturnType<typeof sql>,
  ) => sql`(SELECT nullif(concat_ws(' ', n.given, n.family), '') FROM members m
    JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = m.person_id
    WHERE m.franchise_id = ${us} AND m.account_id = ${account})`;
  // Nothing has been taken back after a block that has not ended does.
  const stood = (row: ReturnType<typeof sql>) =>
    sql`${row}.created_at < b.ends_at AND (${row}.undone_at IS NULL OR ${row}.undone_at >= b.ends_at)`;
  return all<AdaptedRow>(
    ctx,
    sql`SELECT d.block_id AS "blockId", d.station_id AS "stationId", 'drill' AS kind, d.drill_id AS "drillId",
      d.spotting->>'mode' AS spots, NULL::int AS step, NULL::int AS piece, NULL::int AS choice, d.reason,
      ${by(sql`d.created_by`)} AS by, d.id
    FROM block_step_downs d
    JOIN blocks b ON b.franchise_id = ${us} AND b.id = d.block_id
    WHERE d.franchise_id = ${us} AND d.block_id = ${list(blockIds)} AND ${stood(sql`d`)}
    UNION ALL
    SELECT * FROM (SELECT DISTINCT ON (b.id, a.station_id, a.kind, a.step, a.piece) b.id AS "blockId", a.station_id, a.kind,
        NULL::uuid, NULL, a.step, a.piece, a.choice, a.reason, ${by(sql`a.created_by`)}, a.id
      FROM blocks b
      JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id
      JOIN plan_stations p ON p.franchise_id = ${us} AND p.plan_block_id = b.plan_block_id
      JOIN adaptations a ON a.franchise_id = ${us} AND a.station_id = p.id AND a.gym_id = b.gym_id AND a.kind <> 'drill'
        AND ${isForBlock} AND ${stood(sql`a`)}
      WHERE b.franchise_id = ${us} AND b.id = ${list(blockIds)}
      ORDER BY b.id, a.station_id, a.kind, a.step, a.piece, ${narrowestFirst}) AS narrowest
    ORDER BY id`,
  );
};

interface MemberRow {
  groupId: string;
  athleteId: string;
  name: string | null;
  alerts: string | null;
}

/** Who is in these groups, with their medical alerts. */
export const selectMembers = (ctx: Context, groupIds: readonly string[]) =>
  all<MemberRow>(
    ctx,
    sql`SELECT m.group_id AS "groupId", m.athlete_id AS "athleteId",
      nullif(concat_ws(' ', n.given, n.family), '') AS name, h.alerts
    FROM group_members m
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = m.athlete_id
    LEFT JOIN person_health h ON h.franchise_id = ${ctx.franchiseId} AND h.person_id = m.athlete_id
    WHERE m.franchise_id = ${ctx.franchiseId} AND m.group_id = ${list(groupIds)} AND m.released_at IS NULL
    ORDER BY lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), m.athlete_id`,
  );

/** Who came to a session and goes with one of these groups without a place in it, with their medical alerts. */
export const selectGoingWith = (ctx: Context, sessionId: string, groupIds: readonly string[]) =>
  all<MemberRow>(
    ctx,
    sql`SELECT w.group_id AS "groupId", w.athlete_id AS "athleteId",
      nullif(concat_ws(' ', n.given, n.family), '') AS name, h.alerts
    FROM (${goingWith(ctx, sql`v.session_id = ${sessionId} AND v.group_id = ${list(groupIds)}`)}) w
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = w.athlete_id
    LEFT JOIN person_health h ON h.franchise_id = ${ctx.franchiseId} AND h.person_id = w.athlete_id
    ORDER BY lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), w.athlete_id`,
  );

/** The skills that lead to these drills: taught by what comes right before them in the progressions, and not by them. */
export const selectPrerequisites = (ctx: Context, drillIds: readonly string[]) =>
  all<{ drillId: string; skillId: string; skill: string }>(
    ctx,
    sql`SELECT DISTINCT p.harder_id AS "drillId", s.id AS "skillId", s.name AS skill FROM progressions p
    JOIN drill_skills d ON d.franchise_id = ${ctx.franchiseId} AND d.drill_id = p.easier_id
    JOIN skills s ON s.franchise_id = ${ctx.franchiseId} AND s.id = d.skill_id
    WHERE p.franchise_id = ${ctx.franchiseId} AND p.harder_id = ${list(drillIds)}
      AND NOT EXISTS (SELECT FROM drill_skills own
        WHERE own.franchise_id = ${ctx.franchiseId} AND own.drill_id = p.harder_id AND own.skill_id = d.skill_id)
    ORDER BY s.name, s.id`,
  );

/** Which of these skills which of these athletes have shown alone, or steadily, on some day. */
export async function selectShownAlone(ctx: Context, athleteIds: readonly string[], skillIds: readonly string[]) {
  const rows = await all<{ athleteId: string; skillId: string }>(
    ctx,
    sql`SELECT DISTINCT athlete_id AS "athleteId", skill_id AS "skillId" FROM skills_shown
    WHERE franchise_id = ${ctx.franchiseId} AND athlete_id = ${list(athleteIds)} AND skill_id = ${list(skillIds)}
      AND how IN ('alone', 'steady')`,
  );
  return new Set(rows.map(({ athleteId, skillId }) => `${athleteId} ${skillId}`));
}
