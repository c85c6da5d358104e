import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { invalid } from '../../platform/problem.ts';
import { programmes } from '../../tables/curriculum.ts';
import type { LessonPlan, NewLessonPlan } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

/** A plan for one week, with an empty draft as its version 1. */
export async function draftPlan(ctx: Context, body: NewLessonPlan): Promise<LessonPlan> {
  const unknown = await unknownIds(ctx, programmes, body.programmeIds);
  for (const [at, id] of body.programmeIds.entries()) {
    if (unknown.has(id)) throw invalid(`/programmeIds/${at}`, 'This is no programme of the franchise.');
    if (body.programmeIds.indexOf(id) < at) throw invalid(`/programmeIds/${at}`, 'Name each programme once.');
  }
  const planId = await plans.insertPlan(ctx, body);
  await plans.insertVersion(ctx, planId, 1);
  await ctx.record('curriculum.plan-drafted', { subjectId: planId, revision: 1 }, { planId, number: 1 });
  return plans.getPlan(ctx, planId, 'drafts-too');
}
