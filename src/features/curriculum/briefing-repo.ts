import { and, asc, desc, eq, gt, inArray, isNotNull, isNull, lt, ne, type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found } from '../../platform/problem.ts';
import { briefingQuestions, briefingReaders } from '../../tables/briefings.ts';
import { members, memberships } from '../../tables/identity.ts';
import { personNames } from '../../tables/people.ts';
import { lessonPlanProgrammes, lessonPlans, planVersions } from '../../tables/plans.ts';
import type { Question, Reader, ReaderQuery } from './briefing-schema.ts';

const before = {
  versionId: planVersions.id,
  planId: planVersions.planId,
  number: planVersions.number,
  title: lessonPlans.title,
  weekOf: lessonPlans.weekOf,
};
const selectBefore = (ctx: Context) =>
  ctx.tx
    .select(before)
    .from(planVersions)
    .innerJoin(lessonPlans, and(ours(ctx, lessonPlans), eq(lessonPlans.id, planVersions.planId)));

/** The version of the same plan that was published before this one; null for its first. */
export async function findVersionBefore(ctx: Context, planId: string, number: number) {
  const [row] = await selectBefore(ctx)
    .where(
      and(
        ours(ctx, planVersions),
        eq(planVersions.planId, planId),
        lt(planVersions.number, number),
        ne(planVersions.state, 'draft'),
      ),
    )
    .orderBy(desc(planVersions.number))
    .limit(1);
  return row ?? null;
}

/** The newest published version of the latest earlier week's plan that has a programme in common; null when there is none. */
export async function findWeekBefore(ctx: Context, planId: string, weekOf: string) {
  const programmeIds = ctx.tx
    .select({ id: lessonPlanProgrammes.programmeId })
    .from(lessonPlanProgrammes)
    .where(and(ours(ctx, lessonPlanProgrammes), eq(lessonPlanProgrammes.planId, planId)));
  const theirs = ctx.tx
    .select({ id: lessonPlanProgrammes.planId })
    .from(lessonPlanProgrammes)
    .where(and(ours(ctx, lessonPlanProgrammes), inArray(lessonPlanProgrammes.programmeId, programmeIds)));
  const [row] = await selectBefore(ctx)
    .where(
      and(
        ours(ctx, planVersions),
        eq(planVersions.state, 'published'),
        inArray(planVersions.planId, theirs),
        lt(lessonPlans.weekOf, weekOf),
      ),
    )
    .orderBy(desc(lessonPlans.weekOf), desc(lessonPlans.id), desc(planVersions.number))
    .limit(1);
  return row ?? null;
}

/** When this account first saw that version; null is not yet. */
export async function seenAt(ctx: Context, planVersionId: string, accountId: string): Promise<Date | null> {
  const [row] = await ctx.tx
    .select({ seenAt: briefingReaders.seenAt })
    .from(briefingReaders)
    .where(
      and(
        ours(ctx, briefingReaders),
        eq(briefingReaders.planVersionId, planVersionId),
        eq(briefingReaders.accountId, accountId),
      ),
    );
  return row?.seenAt ?? null;
}

/** Gives whether this was the first time; the first time stays. */
export async function insertSeen(ctx: Context, planVersionId: string, accountId: string): Promise<boolean> {
  const { rowCount } = await ctx.tx
    .insert(briefingReaders)
    .values({ franchiseId: ctx.franchiseId, planVersionId, accountId, seenAt: ctx.now })
    .onConflictDoNothing();
  return rowCount === 1;
}

const nameOf = (given: string | null, family: string | null) =>
  given === null || family === null ? null : { given, family };

/** Everybody who coaches at one of these gyms (null: at any), with when they saw the version; by account. */
export async function listReaders(
  ctx: Context,
  planVersionId: string,
  gymIds: readonly string[] | null,
  { limit, cursor, seen }: ReaderQuery,
) {
  const after = readIdCursor(cursor);
  const coaches = and(
    ours(ctx, memberships),
    eq(memberships.role, 'coach'),
    gymIds === null ? undefined : sql`(${isNull(memberships.gymId)} OR ${inArray(memberships.gymId, [...gymIds])})`,
  );
  const rows = await ctx.tx
    .select({
      accountId: members.accountId,
      personId: members.personId,
      given: personNames.given,
      family: personNames.family,
      gymIds: sql<string[]>`coalesce(array_agg(DISTINCT ${memberships.gymId}::text ORDER BY ${memberships.gymId}::text)
        FILTER (WHERE ${memberships.gymId} IS NOT NULL), '{}')`,
      everywhere: sql<boolean>`bool_or(${memberships.gymId} IS NULL)`,
      seenAt: briefingReaders.seenAt,
    })
    .from(members)
    .innerJoin(memberships, and(coaches, eq(memberships.accountId, members.accountId)))
    .leftJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, members.personId)))
    .leftJoin(
      briefingReaders,
      and(
        ours(ctx, briefingReaders),
        eq(briefingReaders.planVersionId, planVersionId),
        eq(briefingReaders.accountId, members.accountId),
      ),
    )
    .where(
      and(
        ours(ctx, members),
        isNull(members.deactivatedAt),
        seen === undefined ? undefined : seen ? isNotNull(briefingReaders.seenAt) : isNull(briefingReaders.seenAt),
        after ? gt(members.accountId, after) : undefined,
      ),
    )
    .groupBy(members.accountId, members.personId, personNames.given, personNames.family, briefingReaders.seenAt)
    .orderBy(asc(members.accountId))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    ({ given, family, everywhere, ...row }): Reader => ({
      ...row,
      gymIds: everywhere ? [] : row.gymIds,
      name: nameOf(given, family),
      seenAt: maybeInstant(row.seenAt),
    }),
    (row) => [row.accountId],
  );
}

/** Gives its id. */
export async function insertQuestion(
  ctx: Context,
  planVersionId: string,
  askedBy: string,
  question: string,
): Promise<string> {
  const id = newId();
  await ctx.tx
    .insert(briefingQuestions)
    .values({ franchiseId: ctx.franchiseId, id, planVersionId, askedBy, askedAt: ctx.now, question });
  return id;
}

/** Gives false when it has an answer already. */
export async function setAnswer(ctx: Context, questionId: string, answer: string): Promise<boolean> {
  const { rowCount } = await ctx.tx
    .update(briefingQuestions)
    .set({ answer, answeredAt: ctx.now, answeredBy: ctx.accountId })
    .where(and(ours(ctx, briefingQuestions), eq(briefingQuestions.id, questionId), isNull(briefingQuestions.answer)));
  return rowCount === 1;
}

const selectQuestions = (ctx: Context, where: SQL | undefined) =>
  ctx.tx
    .select({
      id: briefingQuestions.id,
      planId: planVersions.planId,
      number: planVersions.number,
      question: briefingQuestions.question,
      accountId: briefingQuestions.askedBy,
      personId: members.personId,
      given: personNames.given,
      family: personNames.family,
      askedAt: briefingQuestions.askedAt,
      answer: briefingQuestions.answer,
      answeredAt: briefingQuestions.answeredAt,
    })
    .from(briefingQuestions)
    .innerJoin(planVersions, and(ours(ctx, planVersions), eq(planVersions.id, briefingQuestions.planVersionId)))
    .innerJoin(members, and(ours(ctx, members), eq(members.accountId, briefingQuestions.askedBy)))
    .leftJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, members.personId)))
    .where(and(ours(ctx, briefingQuestions), where));
type QuestionRow = Awaited<ReturnType<typeof selectQuestions>>[number];

const questionOf = ({ accountId, personId, given, family, ...row }: QuestionRow): Question => ({
  ...row,
  askedBy: { accountId, personId, name: nameOf(given, family) },
  askedAt: instantOf(row.askedAt),
  answeredAt: maybeInstant(row.answeredAt),
});

/** Refuses as not found where there is no such question. */
export async function getQuestion(ctx: Context, questionId: string): Promise<Question> {
  const [row] = await selectQuestions(ctx, eq(briefingQuestions.id, questionId));
  return questionOf(found(row, 'question'));
}

/** Of one version, or (null) of all; in the order in which they were asked. */
export async function listQuestions(
  ctx: Context,
  planVersionId: string | null,
  { limit, cursor, answered }: Paging & { answered?: boolean | undefined },
) {
  const after = readIdCursor(cursor);
  const { answer, id } = briefingQuestions;
  const rows = await selectQuestions(
    ctx,
    and(
      planVersionId === null ? undefined : eq(briefingQuestions.planVersionId, planVersionId),
      answered === undefined ? undefined : answered ? isNotNull(answer) : isNull(answer),
      after ? gt(id, after) : undefined,
    ),
  )
    .orderBy(asc(id))
    .limit(limit + 1);
  return pageOf(rows, limit, questionOf, (row) => [row.id]);
}
