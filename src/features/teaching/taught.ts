import { and, asc, eq, isNull, sql } from 'drizzle-orm';
import type { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { maybeInstant } from '../../platform/http/wire.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { attendance } from '../../tables/attendance.ts';
import { skills } from '../../tables/people.ts';
import { planStations } from '../../tables/plans.ts';
import { blocks, groupMembers } from '../../tables/schedule.ts';
import { SHOWN, skillsShown, taughtStations } from '../../tables/teaching.ts';
import { getAthlete } from '../people/athlete-repo.ts';
import { refuseOtherStations } from './feedback.ts';
import { getBlock, ownBlockOrRefuse } from './own-blocks.ts';
import type { AthleteSkill, NewSkillsShown, NewTicks, SkillsShown, TaughtBlock } from './taught-schema.ts';

interface BlockAt {
  gymId: string;
  blockId: string;
}

/** Ticks what became of stations of one's block: done, skipped or adapted, and why. */
export async function tickStations(ctx: Context, at: BlockAt, { stations }: NewTicks): Promise<TaughtBlock> {
  await ownBlockOrRefuse(ctx, 'teaching.record', at.gymId, at.blockId);
  const block = await getBlock(ctx, at.gymId, at.blockId);
  const stationIds = stations.map(({ stationId }) => stationId);
  await refuseOtherStations(ctx, block, stationIds);
  for (const [index, { outcome, why }] of stations.entries()) {
    if (outcome !== 'done' && why === null) throw invalid(`/stations/${index}/why`, `Say why it was ${outcome}.`);
  }
  const said = { blockId: at.blockId, tickedAt: ctx.now, tickedBy: ctx.accountId };
  await ctx.tx
    .insert(taughtStations)
    .values(stations.map((one) => ({ franchiseId: ctx.franchiseId, ...said, ...one })))
    .onConflictDoUpdate({
      target: [taughtStations.franchiseId, taughtStations.blockId, taughtStations.stationId],
      set: {
        outcome: sql`excluded.outcome`,
        why: sql`excluded.why`,
        tickedAt: ctx.now,
        tickedBy: ctx.accountId,
      },
    });
  await ctx.record('teaching.ticked', { subjectId: at.blockId, gymId: at.gymId }, { blockId: at.blockId, stationIds });
  return readTaught(ctx, at);
}

/** What became of each station of a block. */
export async function readTaught(ctx: Context, { gymId, blockId }: BlockAt): Promise<TaughtBlock> {
  await ownBlockOrRefuse(ctx, 'teaching.record', gymId, blockId);
  const { planBlockId } = await getBlock(ctx, gymId, blockId);
  const rows = await ctx.tx
    .select({
      stationId: planStations.id,
      station: planStations.name,
      outcome: taughtStations.outcome,
      why: taughtStations.why,
      tickedAt: taughtStations.tickedAt,
    })
    .from(planStations)
    .leftJoin(
      taughtStations,
      and(
        ours(ctx, taughtStations),
        eq(taughtStations.blockId, blockId),
        eq(taughtStations.stationId, planStations.id),
      ),
    )
    .where(and(ours(ctx, planStations), eq(planStations.planBlockId, planBlockId)))
    .orderBy(asc(planStations.position));
  return { blockId, stations: rows.map((row) => ({ ...row, tickedAt: maybeInstant(row.tickedAt) })) };
}

/** Writes down how far the athletes of a block's group are with a skill, a whole group at once. */
export async function recordSkill(
  ctx: Context,
  { gymId, blockId }: BlockAt,
  { skillId, everyone, shown }: NewSkillsShown,
): Promise<z.input<typeof SkillsShown>> {
  await ownBlockOrRefuse(ctx, 'teaching.record', gymId, blockId);
  const block = await getBlock(ctx, gymId, blockId);
  if (block.startsAt > ctx.now) throw refuse('conflict', 'That block has not begun.');
  const [skill] = await ctx.tx
    .select({ id: skills.id })
    .from(skills)
    .where(and(ours(ctx, skills), eq(skills.id, skillId)));
  if (!skill) throw invalid('/skillId', 'There is no such skill here; see `listSkills`.');

  const group = await membersOf(ctx, block);
  const absent = await absentFrom(ctx, blockId);
  const named = new Map(shown.map(({ athleteId, how }) => [athleteId, how]));
  if (named.size < shown.length) throw invalid('/shown', 'Name each athlete once.');
  for (const [index, { athleteId }] of shown.entries()) {
    if (!group.includes(athleteId))
      throw invalid(`/shown/${index}/athleteId`, 'They are not in the group of that block.');
  }
  const written = group.flatMap((athleteId) => {
    const how = named.get(athleteId) ?? (absent.has(athleteId) ? undefined : everyone);
    return how === undefined ? [] : [{ athleteId, how }];
  });
  if (written.length === 0) throw invalid('', 'Name somebody in `shown`, or say `everyone`.');
  const said = { gymId, skillId, blockId, day: block.day, seenAt: ctx.now, seenBy: ctx.accountId };
  await ctx.tx
    .insert(skillsShown)
    .values(written.map((one) => ({ franchiseId: ctx.franchiseId, ...said, ...one })))
    .onConflictDoUpdate({
      target: [skillsShown.franchiseId, skillsShown.athleteId, skillsShown.skillId, skillsShown.blockId],
      set: { how: sql`excluded.how`, seenAt: ctx.now, seenBy: ctx.accountId },
    });
  const athleteIds = written.map(({ athleteId }) => athleteId);
  await ctx.record('teaching.skill-shown', { subjectId: blockId, gymId }, { blockId, skillId, athleteIds });
  return { blockId, skillId, day: block.day, shown: written };
}

/** Those marked absent from a block's session: nobody showed what they were not there for. */
async function absentFrom(ctx: Context, blockId: string): Promise<Set<string>> {
  const rows = await ctx.tx
    .select({ athleteId: attendance.athleteId })
    .from(attendance)
    .innerJoin(blocks, and(ours(ctx, blocks), eq(blocks.sessionId, attendance.sessionId)))
    .where(and(ours(ctx, attendance), eq(blocks.id, blockId), eq(attendance.state, 'absent')));
  return new Set(rows.map(({ athleteId }) => athleteId));
}

/** Who was in the group of a block, in the order of their ids. */
async function membersOf(ctx: Context, { groupId }: { groupId: string }): Promise<string[]> {
  const rows = await ctx.tx
    .selectDistinct({ athleteId: groupMembers.athleteId })
    .from(groupMembers)
    .where(and(ours(ctx, groupMembers), eq(groupMembers.groupId, groupId), isNull(groupMembers.releasedAt)))
    .orderBy(asc(groupMembers.athleteId));
  return rows.map(({ athleteId }) => athleteId);
}

/** How far an athlete is with each skill; a coach sees those in the blocks that they have today. */
export async function listAthleteSkills(
  ctx: Context,
  { gymId, athleteId }: { gymId: string; athleteId: string },
  { limit, cursor }: Paging,
) {
  await getAthlete(ctx, gymId, athleteId);
  const after = readIdCursor(cursor);
  const rank = (order: ReturnType<typeof sql>) => sql`(array_agg(k.how ORDER BY ${order}))[1]`;
  const levels = sql`array_position(${sql.param(SHOWN)}::text[], k.how)`;
  const { rows } = await ctx.tx.execute<AthleteSkill & Record<string, unknown>>(sql`
    SELECT s.id AS "skillId", s.name AS skill, ${rank(sql`${levels} DESC`)} AS best,
      ${rank(sql`k.day DESC, k.seen_at DESC`)} AS last, max(k.day)::text AS "lastOn",
      count(DISTINCT k.day) FILTER (WHERE k.how IN ('alone', 'steady'))::int AS "daysAlone"
    FROM skills_shown k
    JOIN skills s ON s.franchise_id = ${ctx.franchiseId} AND s.id = k.skill_id
    WHERE k.franchise_id = ${ctx.franchiseId} AND k.athlete_id = ${athleteId}
      AND (${after}::uuid IS NULL OR s.id > ${after}::uuid)
    GROUP BY s.id, s.name ORDER BY s.id LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    (row): AthleteSkill => row,
    ({ skillId }) => [skillId],
  );
}
