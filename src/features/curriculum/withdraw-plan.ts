import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { affectedBy } from './plan-affected-repo.ts';
import * as plans from './plans-repo.ts';

/**
 * Takes a published version back for safety; refuses one that is not published now. Why stays in its own row. Its
 * blocks get the finding `plan-withdrawn`, and those that were confirmed lose it: in this transaction, and the answer
 * says which, and beside it everything at all gyms that was still to be taught from it.
 */
export const withdrawPlan = (ctx: Context, planId: string, number: number, reason: string) =>
  undatedFact(ctx, async (lock) => {
    const published = await plans.getVersion(ctx, planId, number, 'drafts-too');
    const affected = await affectedBy(ctx, published.id);
    const version = await plans.setWithdrawn(ctx, lock, published, reason);
    const about = { subjectId: version.id, revision: version.revision };
    await ctx.record('curriculum.plan-withdrawn', about, { planId, number });
    return { version, affected };
  });
