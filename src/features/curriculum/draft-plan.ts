import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { invalid } from '../../platform/problem.ts';
import { programmes } from '../../tables/curriculum.ts';
import type { LessonPlan, NewLessonPlan } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

/** A plan for one week, with an empty draft as its version 1. Refuses programmes that are not there, or named twice. */
export async function draftPlan(ctx: Context, body: NewLessonPlan): Promise<LessonPlan> {
  await refuseProgrammes(ctx, body.programmeIds);
  const planId = await plans.insertPlan(ctx, body);
  await plans.insertVersion(ctx, planId, 1);
  await ctx.record('curriculum.plan-drafted', { subjectId: planId, revision: 1 }, { planId, number: 1 });
  return plans.getPlan(ctx, planId, 'drafts-too');
}

/** Refuses programmes that are not the franchise's, or named twice. */
export async function refuseProgrammes(ctx: Context, ids: readonly string[]): Promise<void> {
  const unknown = await unknownIds(ctx, programmes, ids);
  for (const [at, id] of ids.entries()) {
    if (unknown.has(id)) throw invalid(`/programmeIds/${at}`, 'This is no programme of the franchise.');
    if (ids.indexOf(id) < at) throw invalid(`/programmeIds/${at}`, 'Name each programme once.');
  }
}
