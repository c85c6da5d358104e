import { nothingSettled, undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { renameFranchise, setFranchise } from './repo.ts';
import type { ChangedFranchise, FranchiseChanges } from './schema.ts';

/** Changes the franchise's settings. Birthdays and ways between gyms are inputs of cover; its name is not. */
export async function changeFranchise(
  ctx: Context,
  ifMatch: number,
  changes: FranchiseChanges,
): Promise<ChangedFranchise> {
  const fields = Object.keys(changes);
  const changed =
    changes.leapDay === undefined && changes.travelMinutes === undefined
      ? { ...(await renameFranchise(ctx, ifMatch, changes.name)), settled: nothingSettled() }
      : await undatedFact(ctx, (lock) => setFranchise(ctx, lock, ifMatch, changes));
  await ctx.record('franchise.changed', { subjectId: changed.id, revision: changed.revision }, { fields });
  return changed;
}
