import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import type { PlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';

/**
 * The plan's draft, held alone until this transaction ends: of two who write or publish at once, one wins. Refuses when
 * there is none (what is published is frozen), and when somebody else wrote since revision `ifMatch`.
 */
export async function takeDraft(ctx: Context, planId: string, ifMatch: number): Promise<PlanVersion> {
  const taken = await plans.takeDraft(ctx, planId, ifMatch);
  if (taken) return taken;
  const { number, state } = await plans.newestVersion(ctx, planId);
  if (state !== 'draft') throw refuse('plan-frozen', `The plan has no draft: version ${number} is ${state}.`);
  throw refuse('changed-meanwhile', 'The draft has another revision by now.');
}

/** The plan's draft; refuses when there is none. */
export async function getDraft(ctx: Context, planId: string): Promise<PlanVersion> {
  const draft = await plans.findDraft(ctx, planId);
  if (draft) return draft;
  const { number, state } = await plans.newestVersion(ctx, planId);
  throw refuse('plan-frozen', `The plan has no draft: version ${number} is ${state}.`);
}
