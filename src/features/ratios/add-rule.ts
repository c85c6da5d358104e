import { ruleOf } from '../../enforcement/rule-codec.ts';
import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { found } from '../../platform/problem.ts';
import { refuseEmptyDays, refuseFaultyRule, refuseLooser, refusePast } from './refusals.ts';
import * as repo from './repo.ts';
import type { NewRatioRule } from './schema.ts';
import { storedFrom } from './written.ts';

/**
 * A rule of the franchise (no gym), or one that a gym adds to them, in force from a day that is not past. Refuses a rule
 * that makes no sense or names what is not there; and a gym's that asks for less than one of the franchise's.
 */
export async function addRule(ctx: Context, gymId: string | null, { name, rule, from, until }: NewRatioRule) {
  const body = storedFrom(rule);
  refuseEmptyDays({ from, until });
  await refusePast(ctx, gymId, from);
  await refuseFaultyRule(ctx, body, gymId);
  const id = newId();
  return undatedFact(ctx, async (lock) => {
    if (gymId !== null) {
      const days = { from, to: until };
      await refuseLooser(ctx, name, { ...ruleOf(body), id, version: 1, owner: 'gym', inForce: days });
    }
    const rows = await repo.insertVersions(ctx, lock, [
      { id, version: 1, gymId, name, body, from, until, retired: false },
    ]);
    await ctx.record(
      'ratios.rule-added',
      { subjectId: id, gymId, revision: 1 },
      { ruleId: id, version: 1, standard: null },
    );
    return repo.ruleShown(found(rows[0], 'ratio rule'), rows);
  });
}
