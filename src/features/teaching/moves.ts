import { and, asc, eq, sql } from 'drizzle-orm';
import { type Context, scopesAt } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { levels } from '../../tables/curriculum.ts';
import { levelCriteria, levelCriterionSkills, levelMoves } from '../../tables/teaching.ts';
import { getSettings } from '../curriculum/checks/settings.ts';
import { getAthleteOf } from '../people/athlete-repo.ts';
import { holds, todayAt } from '../people/persons.ts';
import { type Criteria, type CriteriaBody, MOST_DAYS, type Move, type NewMove, type Ready } from './moves-schema.ts';

/** On how many days a skill is to be shown where a level says no number of its own: the fewest of the franchise's setting. */
async function usualDays(ctx: Context): Promise<number> {
  const { moveUpDays } = await getSettings(ctx);
  return Math.min(Math.max(moveUpDays.from, 1), MOST_DAYS);
}

async function getLevel(ctx: Context, levelId: string): Promise<void> {
  const [row] = await ctx.tx
    .select({ id: levels.id })
    .from(levels)
    .where(and(ours(ctx, levels), eq(levels.id, levelId)));
  found(row, 'level');
}

/** What it takes to move up from a level; revision 1 is that nothing was said yet. */
export async function readCriteria(ctx: Context, levelId: string): Promise<Criteria> {
  await getLevel(ctx, levelId);
  const [row] = await ctx.tx
    .select()
    .from(levelCriteria)
    .where(and(ours(ctx, levelCriteria), eq(levelCriteria.levelId, levelId)));
  const rows = await ctx.tx
    .select({ skillId: levelCriterionSkills.skillId })
    .from(levelCriterionSkills)
    .where(and(ours(ctx, levelCriterionSkills), eq(levelCriterionSkills.levelId, levelId)))
    .orderBy(asc(levelCriterionSkills.skillId));
  return {
    levelId,
    skillIds: rows.map(({ skillId }) => skillId),
    onDays: row?.onDays ?? (await usualDays(ctx)),
    signedBy: row?.signedBy ?? 'gym',
    revision: row?.revision ?? 1,
  };
}

/**
 * Says what it takes to move up from a level, in place of what was said; without `onDays`, as many as the franchise's
 * setting asks for now. Refuses when somebody else wrote since `ifMatch`.
 */
export async function setCriteria(
  ctx: Context,
  levelId: string,
  ifMatch: number,
  { skillIds, signedBy, ...said }: CriteriaBody,
): Promise<Criteria> {
  const wanted = [...new Set(skillIds)];
  await getLevel(ctx, levelId);
  const { franchiseId } = ctx;
  const onDays = said.onDays ?? (await usualDays(ctx));
  const rows = await ctx.tx
    .insert(levelCriteria)
    .values({ franchiseId, levelId, onDays, signedBy, revision: 2 })
    .onConflictDoUpdate({
      target: [levelCriteria.franchiseId, levelCriteria.levelId],
      set: { onDays, signedBy, revision: sql`${levelCriteria.revision} + 1` },
    })
    .returning({ revision: levelCriteria.revision });
  if (rows[0]?.revision !== ifMatch + 1) {
    throw refuse('changed-meanwhile', 'What it takes to move up from that level has another revision by now.');
  }
  await ctx.tx
    .delete(levelCriterionSkills)
    .where(and(ours(ctx, levelCriterionSkills), eq(levelCriterionSkills.levelId, levelId)));
  try {
    if (wanted.length > 0) {
      await ctx.tx.insert(levelCriterionSkills).values(wanted.map((skillId) => ({ franchiseId, levelId, skillId })));
    }
  } catch (error) {
    if (violates(error, 'reference')) throw invalid('/skillIds', 'One of these is no skill here; see `listSkills`.');
    throw error;
  }
  await ctx.record('teaching.criteria-set', { subjectId: levelId }, { levelId, skillIds: wanted });
  return readCriteria(ctx, levelId);
}

/** Those who are enrolled at that level today and have shown all that it takes, on enough days; the signed ones left out. */
export async function listReady(
  ctx: Context,
  gymId: string,
  { limit, cursor, levelId, athleteId }: Paging & { levelId?: string | undefined; athleteId?: string | undefined },
) {
  const us = ctx.franchiseId;
  const after = readCursor(cursor, 2);
  const today = todayAt(ctx, gymId);
  const { rows } = await ctx.tx.execute<Ready & Record<string, unknown>>(sql`
    SELECT DISTINCT e.athlete_id AS "athleteId", concat_ws(' ', n.given, n.family) AS name, l.id AS "levelId",
      l.name AS level, c.signed_by AS "signedBy", l.id::text AS key, e.athlete_id::text AS who
    FROM level_criteria c
    JOIN levels l ON l.franchise_id = ${us} AND l.id = c.level_id
    JOIN class_levels cl ON cl.franchise_id = ${us} AND cl.level_id = c.level_id
    JOIN enrolments e ON e.franchise_id = ${us} AND e.class_id = cl.class_id AND e.gym_id = ${gymId}
      AND e.from_day <= ${today} AND (e.until_day IS NULL OR e.until_day > ${today})
    LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = e.athlete_id
    WHERE c.franchise_id = ${us}
      AND (${levelId ?? null}::uuid IS NULL OR c.level_id = ${levelId ?? null}::uuid)
      AND (${athleteId ?? null}::uuid IS NULL OR e.athlete_id = ${athleteId ?? null}::uuid)
      AND EXISTS (SELECT FROM level_criterion_skills k WHERE k.franchise_id = ${us} AND k.level_id = c.level_id)
      AND NOT EXISTS (SELECT FROM level_criterion_skills k
        WHERE k.franchise_id = ${us} AND k.level_id = c.level_id
          AND (SELECT count(DISTINCT x.day) FROM skills_shown x
            WHERE x.franchise_id = ${us} AND x.athlete_id = e.athlete_id AND x.skill_id = k.skill_id
              AND x.how IN ('alone', 'steady')) < c.on_days)
      AND NOT EXISTS (SELECT FROM level_moves m
        WHERE m.franchise_id = ${us} AND m.athlete_id = e.athlete_id AND m.level_id = c.level_id)
      AND ${after === null ? sql`true` : sql`(l.id::text, e.athlete_id::text) > (${after[0]}, ${after[1]})`}
    ORDER BY key, who LIMIT ${limit + 1}`);
  const mayName = holds(ctx, 'athletes.read', gymId);
  return pageOf(
    rows,
    limit,
    ({ athleteId: id, name, levelId: from, level, signedBy }): Ready => ({
      athleteId: id,
      name: mayName ? name : null,
      levelId: from,
      level,
      signedBy,
    }),
    (row) => [row.levelId, row.athleteId],
  );
}

/** Signs that somebody may move up: whoever the level's criteria say, and only of somebody who is ready. */
export async function signMove(ctx: Context, gymId: string, { athleteId, levelId }: NewMove): Promise<Move> {
  await getAthleteOf(ctx, gymId, athleteId);
  const { signedBy } = await readCriteria(ctx, levelId);
  if (signedBy === 'franchise' && !scopesAt(ctx, 'moves.sign', gymId).has('franchise')) {
    throw refuse('not-allowed', 'Moving up from that level is signed above the gyms.', { permission: 'moves.sign' });
  }
  const { items } = await listReady(ctx, gymId, { limit: 1, levelId, athleteId });
  if (items.length === 0)
    throw refuse('conflict', 'They have not shown all that it takes there, or it is signed already.');
  try {
    await ctx.tx
      .insert(levelMoves)
      .values({ franchiseId: ctx.franchiseId, athleteId, levelId, gymId, signedAt: ctx.now, signedBy: ctx.accountId });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('conflict', 'It is signed already.');
    throw error;
  }
  await ctx.record('teaching.moved-up', { subjectId: athleteId, gymId }, { athleteId, levelId });
  return { athleteId, levelId, signedAt: instantOf(ctx.now) };
}
