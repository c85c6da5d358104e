import { belongsToGym, gymsFor } from '../../platform/auth/permissions.ts';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { found, notFound, refuse } from '../../platform/problem.ts';
import { getGym } from '../gyms/repo.ts';
import * as repo from './briefing-repo.ts';
import type { Briefing, PlanDifferences, Question, ReaderQuery, Seen } from './briefing-schema.ts';
import { contentOf } from './plan-content-repo.ts';
import { differencesBetween } from './plan-differences.ts';
import { namesIn } from './plan-names-repo.ts';
import type { PlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

const MOST_DIFFERENCES = 500;

async function allDifferences(ctx: Context, oldVersionId: string, versionId: string) {
  const [old, now] = [await contentOf(ctx, oldVersionId), await contentOf(ctx, versionId)];
  return differencesBetween(old, now, await namesIn(ctx, old, now));
}

/** Where a published version asks something else of a spotter than the version before it; nothing of a plan's first. */
export async function spottingChanges(
  ctx: Context,
  { id, planId, number }: Pick<PlanVersion, 'id' | 'planId' | 'number'>,
) {
  const before = await repo.findVersionBefore(ctx, planId, number);
  if (before === null) return [];
  return (await allDifferences(ctx, before.versionId, id)).filter(({ field }) => field === 'spotting');
}

async function differences(ctx: Context, oldVersionId: string, versionId: string) {
  const all = await allDifferences(ctx, oldVersionId, versionId);
  return { differences: all.slice(0, MOST_DIFFERENCES), more: Math.max(0, all.length - MOST_DIFFERENCES) };
}

/**
 * What is not in version `number` as it was in version `from`; left out, in the one before it, and nothing of the first.
 * Refuses versions that are not there, or not for that sight.
 */
export async function differencesSince(
  ctx: Context,
  planId: string,
  number: number,
  from: number | undefined,
  sight: plans.Sight,
): Promise<PlanDifferences> {
  const version = await plans.getVersion(ctx, planId, number, sight);
  if (from === undefined && number === 1) return { planId, from: null, to: 1, differences: [], more: 0 };
  const old = await plans.getVersion(ctx, planId, from ?? number - 1, sight);
  return { planId, from: old.number, to: number, ...(await differences(ctx, old.id, version.id)) };
}

/** A version that has been published, whatever became of it; refuses others as not found. */
const getPublished = (ctx: Context, planId: string, number: number) =>
  plans.getVersion(ctx, planId, number, 'published');

/**
 * What coaches should know about a published version: the lead's words, and what is not as it was in the version before
 * or, for a plan's first version, in the plan of the latest earlier week that shares a programme.
 */
export async function brief(ctx: Context, planId: string, number: number): Promise<Briefing> {
  const version = await getPublished(ctx, planId, number);
  const { title, weekOf } = await plans.getPlan(ctx, planId, 'published');
  const sameplan = await repo.findVersionBefore(ctx, planId, number);
  const before = sameplan ?? (await repo.findWeekBefore(ctx, planId, weekOf));
  const since = before && {
    what: sameplan ? ('version' as const) : ('week' as const),
    planId: before.planId,
    number: before.number,
    title: before.title,
    weekOf: before.weekOf,
  };
  return {
    planId,
    number,
    title,
    weekOf,
    effectiveWeek: version.effectiveWeek,
    publishedAt: found(version.publishedAt, 'publication'),
    withdrawn: version.state === 'withdrawn',
    note: version.note,
    since,
    ...(before ? await differences(ctx, before.versionId, version.id) : { differences: [], more: 0 }),
    seenAt: maybeInstant(ctx.accountId === null ? null : await repo.seenAt(ctx, version.id, ctx.accountId)),
  };
}

/** Whoever asks has an account: the sweep and the seed ask nothing. */
const asker = (ctx: Context): string => found(ctx.accountId, 'account');

/** Marks a briefing as seen by the caller; the first time is what counts. */
export async function markSeen(ctx: Context, planId: string, number: number): Promise<Seen> {
  const version = await getPublished(ctx, planId, number);
  if (await repo.insertSeen(ctx, version.id, asker(ctx))) {
    await ctx.record('curriculum.briefing-seen', { subjectId: version.id }, { planId, number });
  }
  const seenAt = await repo.seenAt(ctx, version.id, asker(ctx));
  return { planId, number, seenAt: instantOf(found(seenAt, 'mark')) };
}

/** Who coaches at the gyms that the caller follows, or at the one named, and who of them has seen it. */
export async function listReaders(ctx: Context, planId: string, number: number, query: ReaderQuery) {
  const version = await getPublished(ctx, planId, number);
  if (query.gymId === undefined) {
    return repo.listReaders(ctx, version.id, gymsFor(ctx.roles, 'briefings.follow'), query);
  }
  if (!belongsToGym(ctx.roles, query.gymId)) throw notFound('gym');
  mayOrRefuse(ctx, 'briefings.follow', query.gymId);
  const { id } = await getGym(ctx, query.gymId);
  return repo.listReaders(ctx, version.id, [id], query);
}

/** Asks the lead about a published version. */
export async function ask(ctx: Context, planId: string, number: number, question: string): Promise<Question> {
  const version = await getPublished(ctx, planId, number);
  const questionId = await repo.insertQuestion(ctx, version.id, asker(ctx), question);
  await ctx.record('curriculum.briefing-asked', { subjectId: questionId }, { planId, number, questionId });
  return repo.getQuestion(ctx, questionId);
}

export async function listQuestions(
  ctx: Context,
  planId: string,
  number: number,
  query: Parameters<typeof repo.listQuestions>[2],
) {
  const version = await getPublished(ctx, planId, number);
  return repo.listQuestions(ctx, version.id, query);
}

/** Answers a question, once: what coaches have read stays. */
export async function answer(ctx: Context, questionId: string, text: string): Promise<Question> {
  const { planId, number } = await repo.getQuestion(ctx, questionId);
  if (!(await repo.setAnswer(ctx, questionId, text))) {
    throw refuse('conflict', 'That question has an answer already.');
  }
  await ctx.record('curriculum.briefing-answered', { subjectId: questionId }, { planId, number, questionId });
  return repo.getQuestion(ctx, questionId);
}
