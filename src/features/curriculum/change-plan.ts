import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { refuseProgrammes } from './draft-plan.ts';
import type { LessonPlan, LessonPlanChanges } from './plan-schema.ts';
import * as plans from './plans-repo.ts';
import { programmesHanging } from './terms-repo.ts';

/**
 * Renames a plan, or gives it another week or other programmes. The latter only until its first version is published:
 * refuses with plan-frozen from then on, and when the plan has another revision than `ifMatch` by now.
 */
export async function changePlan(
  ctx: Context,
  planId: string,
  ifMatch: number,
  changes: LessonPlanChanges,
): Promise<LessonPlan> {
  const movesIt = changes.weekOf !== undefined || changes.programmeIds !== undefined;
  if ((await plans.holdAndSeeIfPublished(ctx, planId)) && movesIt) {
    throw refuse('plan-frozen', 'The plan has been published: its week and its programmes stay. Begin another plan.');
  }
  if (changes.programmeIds) await refuseProgrammes(ctx, changes.programmeIds);
  await plans.updatePlan(ctx, planId, ifMatch, changes);
  // Its row is held now: no term can hang it any more on what it taught before.
  if (changes.programmeIds) await refuseLeaving(ctx, planId, changes.programmeIds);
  const plan = await plans.getPlan(ctx, planId, 'drafts-too');
  await ctx.record(
    'curriculum.plan-edited',
    { subjectId: planId, revision: plan.revision },
    { planId, fields: Object.keys(changes).sort() },
  );
  return plan;
}

/** Refuses to take a programme away from a plan that hangs in one of its terms. */
async function refuseLeaving(ctx: Context, planId: string, programmeIds: readonly string[]): Promise<void> {
  for (const programmeId of await programmesHanging(ctx, planId)) {
    if (programmeIds.includes(programmeId)) continue;
    throw invalid(
      '/programmeIds',
      'The plan hangs in a term of a programme that is not named: take it out there first.',
    );
  }
}
