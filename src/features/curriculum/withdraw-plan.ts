import { lockAllCover } from '../../enforcement/lock.ts';
import { asFact } from '../../enforcement/settle.ts';
import type { Context } from '../../platform/context.ts';
import * as plans from './plans-repo.ts';

/**
 * Takes a published version back for safety. Its blocks get the finding `plan-withdrawn`, and those that were confirmed
 * lose it: in this transaction, and the answer says which.
 */
export async function withdrawPlan(ctx: Context, planId: string, number: number, reason: string) {
  const lock = await lockAllCover(ctx);
  const version = await plans.getVersion(ctx, planId, number, 'drafts-too');
  const { done, settled } = await asFact(ctx, lock, async () => {
    const withdrawn = await plans.setWithdrawn(ctx, lock, version, reason);
    const about = { subjectId: withdrawn.id, revision: withdrawn.revision };
    await ctx.record('curriculum.plan-withdrawn', about, { planId, number, reason });
    return withdrawn;
  });
  return { version: done, settled };
}
