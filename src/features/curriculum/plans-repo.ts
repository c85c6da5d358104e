import { and, asc, desc, eq, lt, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { lessonPlanProgrammes, lessonPlans, planVersions } from '../../tables/plans.ts';
import type { LessonPlan, LessonPlanChanges, NewLessonPlan, PlanVersion, Publication } from './plan-schema.ts';

export async function insertPlan(ctx: Context, { title, weekOf, programmeIds }: NewLessonPlan): Promise<string> {
  const id = newId();
  await ctx.tx.insert(lessonPlans).values({ franchiseId: ctx.franchiseId, id, title, weekOf });
  await insertPlanProgrammes(ctx, id, programmeIds);
  return id;
}

async function insertPlanProgrammes(ctx: Context, planId: string, programmeIds: readonly string[]): Promise<void> {
  await ctx.tx
    .insert(lessonPlanProgrammes)
    .values(programmeIds.map((programmeId) => ({ franchiseId: ctx.franchiseId, planId, programmeId })));
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export async function updatePlan(
  ctx: Context,
  planId: string,
  ifMatch: number,
  { programmeIds, ...columns }: LessonPlanChanges,
): Promise<void> {
  const rows = await ctx.tx
    .update(lessonPlans)
    .set({ ...columns, revision: sql`${lessonPlans.revision} + 1` })
    .where(and(ours(ctx, lessonPlans), eq(lessonPlans.id, planId), eq(lessonPlans.revision, ifMatch)))
    .returning({ id: lessonPlans.id });
  if (rows.length === 0) throw refuse('changed-meanwhile', 'The plan has another revision by now.');
  if (!programmeIds) return;
  const old = and(ours(ctx, lessonPlanProgrammes), eq(lessonPlanProgrammes.planId, planId));
  await ctx.tx.delete(lessonPlanProgrammes).where(old);
  await insertPlanProgrammes(ctx, planId, programmeIds);
}

/**
 * Has a version of the plan ever been published? Nobody publishes one until this transaction ends. Refuses as not found
 * where there is no such plan.
 */
export async function holdAndSeeIfPublished(ctx: Context, planId: string): Promise<boolean> {
  const versions = await ctx.tx
    .select({ state: planVersions.state })
    .from(planVersions)
    .where(and(ours(ctx, planVersions), eq(planVersions.planId, planId)))
    .orderBy(asc(planVersions.number))
    .for('no key update');
  found(versions[0], 'lesson plan');
  return versions.some(({ state }) => state !== 'draft');
}

/** What of a plan is shown: everything, or what has been published. */
export type Sight = 'drafts-too' | 'published';

const newest = (ctx: Context, state: 'draft' | 'published') => sql<LessonPlan['draft']>`(
  SELECT json_build_object('id', v.id, 'number', v.number, 'revision', v.revision)
  FROM plan_versions v WHERE v.franchise_id = ${ctx.franchiseId} AND v.plan_id = lesson_plans.id AND v.state = ${state}
  ORDER BY v.number DESC LIMIT 1)`;

const selectPlans = (ctx: Context, sight: Sight) =>
  ctx.tx
    .select({
      id: lessonPlans.id,
      title: lessonPlans.title,
      weekOf: lessonPlans.weekOf,
      programmeIds: sql<string[]>`(
        SELECT json_agg(p.programme_id ORDER BY p.programme_id)
        FROM lesson_plan_programmes p WHERE p.franchise_id = ${ctx.franchiseId} AND p.plan_id = lesson_plans.id)`,
      draft: sight === 'published' ? sql<LessonPlan['draft']>`null` : newest(ctx, 'draft'),
      published: newest(ctx, 'published'),
      revision: lessonPlans.revision,
    })
    .from(lessonPlans);

const seen = (ctx: Context, sight: Sight) =>
  sight === 'drafts-too'
    ? undefined
    : sql`EXISTS (SELECT FROM plan_versions v WHERE v.franchise_id = ${ctx.franchiseId}
        AND v.plan_id = lesson_plans.id AND v.state <> 'draft')`;

/** Refuses as not found where there is no such plan, or none of it is for that sight. */
export async function getPlan(ctx: Context, planId: string, sight: Sight): Promise<LessonPlan> {
  const [row] = await selectPlans(ctx, sight).where(
    and(ours(ctx, lessonPlans), eq(lessonPlans.id, planId), seen(ctx, sight)),
  );
  return found(row, 'lesson plan');
}

/** By week, then in the order in which they were made. */
export async function listPlans(
  ctx: Context,
  { limit, cursor }: Paging,
  { weekOf, programmeId }: { weekOf?: string | undefined; programmeId?: string | undefined },
  sight: Sight,
) {
  const after = readCursor(cursor, 2);
  const rows = await selectPlans(ctx, sight)
    .where(
      and(
        ours(ctx, lessonPlans),
        seen(ctx, sight),
        weekOf ? eq(lessonPlans.weekOf, weekOf) : undefined,
        programmeId
          ? sql`EXISTS (SELECT FROM lesson_plan_programmes p WHERE p.franchise_id = ${ctx.franchiseId}
              AND p.plan_id = lesson_plans.id AND p.programme_id = ${programmeId})`
          : undefined,
        after ? sql`(${lessonPlans.weekOf}::text, ${lessonPlans.id}::text) > (${after[0]}, ${after[1]})` : undefined,
      ),
    )
    .orderBy(asc(sql`${lessonPlans.weekOf}::text`), asc(sql`${lessonPlans.id}::text`))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): LessonPlan => row,
    (row) => [row.weekOf, row.id],
  );
}

const versionColumns = {
  id: planVersions.id,
  planId: planVersions.planId,
  number: planVersions.number,
  state: planVersions.state,
  publishedAt: planVersions.publishedAt,
  effectiveWeek: planVersions.effectiveWeek,
  note: planVersions.note,
  withdrawnAt: planVersions.withdrawnAt,
  withdrawnWhy: planVersions.withdrawnWhy,
  revision: planVersions.revision,
};
type VersionRow = Omit<PlanVersion, 'publishedAt' | 'withdrawnAt'> & {
  publishedAt: Date | null;
  withdrawnAt: Date | null;
};
const versionOf = (row: VersionRow): PlanVersion => ({
  ...row,
  publishedAt: maybeInstant(row.publishedAt),
  withdrawnAt: maybeInstant(row.withdrawnAt),
});

/** As a draft, without content. Refuses while the plan has another draft. */
export async function insertVersion(ctx: Context, planId: string, number: number): Promise<PlanVersion> {
  try {
    const [row] = await ctx.tx
      .insert(planVersions)
      .values({ franchiseId: ctx.franchiseId, id: newId(), planId, number, state: 'draft' })
      .returning(versionColumns);
    return versionOf(found(row, 'version'));
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('conflict', 'This plan has a draft already; change that one.');
    throw error;
  }
}

/** Null where the plan has none, or there is no such plan. */
export async function findDraft(ctx: Context, planId: string): Promise<PlanVersion | null> {
  const [row] = await ctx.tx
    .select(versionColumns)
    .from(planVersions)
    .where(and(ours(ctx, planVersions), eq(planVersions.planId, planId), eq(planVersions.state, 'draft')));
  return row ? versionOf(row) : null;
}

/** The version with the highest number, whatever its state. */
export async function newestVersion(ctx: Context, planId: string): Promise<PlanVersion> {
  const [row] = await ctx.tx
    .select(versionColumns)
    .from(planVersions)
    .where(and(ours(ctx, planVersions), eq(planVersions.planId, planId)))
    .orderBy(desc(planVersions.number))
    .limit(1);
  return versionOf(found(row, 'lesson plan'));
}

/** Refuses as not found where there is no such version, or it is a draft and drafts are not for that sight. */
export async function getVersion(ctx: Context, planId: string, number: number, sight: Sight): Promise<PlanVersion> {
  const [row] = await ctx.tx
    .select(versionColumns)
    .from(planVersions)
    .where(and(ours(ctx, planVersions), eq(planVersions.planId, planId), eq(planVersions.number, number)));
  const version = found(row, 'version of that plan');
  return versionOf(found(sight === 'published' && version.state === 'draft' ? null : version, 'version of that plan'));
}

const MOST = 2_147_483_647;

/** Newest first. */
export async function listVersions(ctx: Context, planId: string, { limit, cursor }: Paging, sight: Sight) {
  const before = Number(readCursor(cursor, 1)?.[0] ?? MOST);
  const rows = await ctx.tx
    .select(versionColumns)
    .from(planVersions)
    .where(
      and(
        ours(ctx, planVersions),
        eq(planVersions.planId, planId),
        sight === 'published' ? sql`${planVersions.state} <> 'draft'` : undefined,
        lt(planVersions.number, before >= 1 && before <= MOST ? Math.floor(before) : 1),
      ),
    )
    .orderBy(desc(planVersions.number))
    .limit(limit + 1);
  return pageOf(rows, limit, versionOf, (row) => [String(row.number)]);
}

/** Holds the draft alone and counts the write; null where `ifMatch` is no longer its revision, or it is no draft now. */
export async function takeDraft(ctx: Context, planId: string, ifMatch: number): Promise<PlanVersion | null> {
  const [row] = await ctx.tx
    .update(planVersions)
    .set({ revision: sql`${planVersions.revision} + 1` })
    .where(
      and(
        ours(ctx, planVersions),
        eq(planVersions.planId, planId),
        eq(planVersions.state, 'draft'),
        eq(planVersions.revision, ifMatch),
      ),
    )
    .returning(versionColumns);
  return row ? versionOf(row) : null;
}

/** Of a draft that is held. */
export async function setPublished(
  ctx: Context,
  version: PlanVersion,
  { effectiveWeek = null, note = '' }: Publication,
): Promise<PlanVersion> {
  const said = { effectiveWeek, note };
  const at = { state: 'published', publishedAt: ctx.now, publishedBy: ctx.accountId, ...said } as const;
  await ctx.tx
    .update(planVersions)
    .set(at)
    .where(and(ours(ctx, planVersions), eq(planVersions.id, version.id)));
  return { ...version, ...said, state: 'published', publishedAt: instantOf(ctx.now) };
}

/** Refuses a version that is not published now. */
export async function setWithdrawn(
  ctx: Context,
  _lock: CoverLock,
  version: PlanVersion,
  why: string,
): Promise<PlanVersion> {
  const [row] = await ctx.tx
    .update(planVersions)
    .set({
      state: 'withdrawn',
      withdrawnAt: ctx.now,
      withdrawnWhy: why,
      revision: sql`${planVersions.revision} + 1`,
    })
    .where(and(ours(ctx, planVersions), eq(planVersions.id, version.id), eq(planVersions.state, 'published')))
    .returning(versionColumns);
  if (!row) throw refuse('conflict', `Version ${version.number} is not published now: it is ${version.state}.`);
  return versionOf(row);
}
