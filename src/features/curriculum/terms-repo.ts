import { and, asc, eq, inArray, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { lessonPlanProgrammes, lessonPlans } from '../../tables/plans.ts';
import { termSkills, terms, termWeeks } from '../../tables/terms.ts';
import type { NewTerm, Term, TermBrief, TermContent, Week } from './term-schema.ts';

/** Gives its id. */
export async function insertTerm(ctx: Context, { weeks, ...term }: NewTerm): Promise<string> {
  const id = newId();
  await ctx.tx.insert(terms).values({ franchiseId: ctx.franchiseId, id, ...term });
  await insertWeeks(ctx, id, weeks);
  return id;
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updateTerm(
  ctx: Context,
  termId: string,
  ifMatch: number,
  { weeks, ...columns }: TermContent,
): Promise<void> {
  const { rowCount } = await ctx.tx
    .update(terms)
    .set({ ...columns, revision: sql`${terms.revision} + 1` })
    .where(and(ours(ctx, terms), eq(terms.id, termId), eq(terms.revision, ifMatch)));
  if (rowCount !== 1) throw refuse('changed-meanwhile', 'The term has another revision by now.');
  await ctx.tx.delete(termSkills).where(and(ours(ctx, termSkills), eq(termSkills.termId, termId)));
  await ctx.tx.delete(termWeeks).where(and(ours(ctx, termWeeks), eq(termWeeks.termId, termId)));
  await insertWeeks(ctx, termId, weeks);
}

async function insertWeeks(ctx: Context, termId: string, weeks: readonly Week[]): Promise<void> {
  const { franchiseId } = ctx;
  await ctx.tx
    .insert(termWeeks)
    .values(weeks.map(({ planId, note }, at) => ({ franchiseId, termId, number: at + 1, planId, note: note ?? '' })));
  const skills = weeks.flatMap((week, at) =>
    week.skills.map((skill) => ({ franchiseId, termId, number: at + 1, ...skill })),
  );
  if (skills.length > 0) await ctx.tx.insert(termSkills).values(skills);
}

/** Refuses as not found where there is no such term. */
export async function getTerm(ctx: Context, termId: string): Promise<Term> {
  const [row] = await ctx.tx
    .select({
      id: terms.id,
      programmeId: terms.programmeId,
      title: terms.title,
      startsOn: terms.startsOn,
      weeks: sql<Week[]>`(
        SELECT json_agg(json_build_object('planId', w.plan_id, 'note', nullif(w.note, ''), 'skills', coalesce((
            SELECT json_agg(json_build_object('skillId', s.skill_id, 'standing', s.standing) ORDER BY s.skill_id)
            FROM term_skills s WHERE s.franchise_id = ${ctx.franchiseId} AND s.term_id = w.term_id
              AND s.number = w.number), '[]')) ORDER BY w.number)
        FROM term_weeks w WHERE w.franchise_id = ${ctx.franchiseId} AND w.term_id = terms.id)`,
      revision: terms.revision,
    })
    .from(terms)
    .where(and(ours(ctx, terms), eq(terms.id, termId)));
  return found(row, 'term');
}

/** By their first day. */
export async function listTerms(
  ctx: Context,
  { limit, cursor, programmeId }: Paging & { programmeId?: string | undefined },
) {
  const after = readCursor(cursor, 2);
  const rows = await ctx.tx
    .select({
      id: terms.id,
      programmeId: terms.programmeId,
      title: terms.title,
      startsOn: terms.startsOn,
      weekCount: sql<number>`(SELECT count(*)::int FROM term_weeks w
        WHERE w.franchise_id = ${ctx.franchiseId} AND w.term_id = terms.id)`,
      revision: terms.revision,
    })
    .from(terms)
    .where(
      and(
        ours(ctx, terms),
        programmeId === undefined ? undefined : eq(terms.programmeId, programmeId),
        after ? sql`(${terms.startsOn}::text, ${terms.id}::text) > (${after[0]}, ${after[1]})` : undefined,
      ),
    )
    .orderBy(asc(sql`${terms.startsOn}::text`), asc(sql`${terms.id}::text`))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): TermBrief => row,
    (row) => [row.startsOn, row.id],
  );
}

/**
 * Another term of that programme which has one of those weeks: its title and first Monday. Holds the programme until this
 * transaction ends, so that of two that would overlap one comes second and sees the other.
 */
export async function overlapping(
  ctx: Context,
  {
    programmeId,
    startsOn,
    weekCount,
    except,
  }: { programmeId: string; startsOn: string; weekCount: number; except?: string | undefined },
): Promise<{ title: string; startsOn: string } | undefined> {
  await ctx.tx.execute(sql`
    SELECT FROM programmes WHERE franchise_id = ${ctx.franchiseId} AND id = ${programmeId} FOR NO KEY UPDATE`);
  const { rows } = await ctx.tx.execute<{ title: string; startsOn: string }>(sql`
    SELECT t.title, t.starts_on::text AS "startsOn" FROM terms t
    WHERE t.franchise_id = ${ctx.franchiseId} AND t.programme_id = ${programmeId}
      AND t.id IS DISTINCT FROM ${except ?? null}::uuid AND t.starts_on < ${startsOn}::date + 7 * ${weekCount}::int
      AND t.starts_on + 7 * (SELECT count(*)::int FROM term_weeks w
        WHERE w.franchise_id = ${ctx.franchiseId} AND w.term_id = t.id) > ${startsOn}::date
    ORDER BY t.starts_on LIMIT 1`);
  return rows[0];
}

/** Which of these plans teach that programme: nobody changes those until this transaction ends. */
export async function plansTeaching(
  ctx: Context,
  programmeId: string,
  planIds: readonly string[],
): Promise<Set<string>> {
  await ctx.tx
    .select({ id: lessonPlans.id })
    .from(lessonPlans)
    .where(and(ours(ctx, lessonPlans), inArray(lessonPlans.id, [...planIds])))
    .orderBy(asc(lessonPlans.id))
    .for('share');
  const { planId } = lessonPlanProgrammes;
  const rows = await ctx.tx
    .select({ planId })
    .from(lessonPlanProgrammes)
    .where(
      and(
        ours(ctx, lessonPlanProgrammes),
        eq(lessonPlanProgrammes.programmeId, programmeId),
        inArray(planId, [...planIds]),
      ),
    );
  return new Set(rows.map(({ planId }) => planId));
}

/**
 * The last week of a term that a class of its programme has reached; 0 is none. By the calendar at the gym that is
 * furthest ahead, by where a class was put by hand, and by what sessions were laid out from.
 */
export async function weekReached(ctx: Context, termId: string): Promise<number> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<{ week: number }>(sql`
    SELECT greatest(0, max(reached.week))::int AS week FROM terms t
    CROSS JOIN LATERAL (
      SELECT least(1 + floor(((${ctx.now.toISOString()}::timestamptz AT TIME ZONE g.zone)::date - t.starts_on) / 7.0),
        (SELECT count(*) FROM term_weeks w WHERE w.franchise_id = ${us} AND w.term_id = t.id)) AS week
      FROM classes c JOIN gyms g ON g.franchise_id = ${us} AND g.id = c.gym_id
      WHERE c.franchise_id = ${us} AND c.programme_id = t.programme_id
      UNION ALL SELECT p.week FROM term_places p WHERE p.franchise_id = ${us} AND p.term_id = t.id
      UNION ALL SELECT s.term_week FROM sessions s
        WHERE s.franchise_id = ${us} AND s.term_id = t.id AND s.cancelled_at IS NULL) reached
    WHERE t.franchise_id = ${us} AND t.id = ${termId}`);
  return rows[0]?.week ?? 0;
}

/** The programmes in whose terms that plan hangs. */
export async function programmesHanging(ctx: Context, planId: string): Promise<Set<string>> {
  const rows = await ctx.tx
    .selectDistinct({ programmeId: terms.programmeId })
    .from(termWeeks)
    .innerJoin(terms, and(ours(ctx, terms), eq(terms.id, termWeeks.termId)))
    .where(and(ours(ctx, termWeeks), eq(termWeeks.planId, planId)));
  return new Set(rows.map(({ programmeId }) => programmeId));
}
