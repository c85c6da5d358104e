import { ruleOf } from '../../enforcement/rule-codec.ts';
import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { found, notFound, refuse } from '../../platform/problem.ts';
import { refuseEmptyDays, refuseFaultyRule, refuseLooser, refusePast } from './refusals.ts';
import * as repo from './repo.ts';
import type { NewRatioRule } from './schema.ts';
import { storedFrom } from './written.ts';

/** Which rule; with a gym, only one that this gym added. */
interface RuleAt {
  ruleId: string;
  gymId?: string;
}

/**
 * A new version, in force from a day that is not past. What was in force before stays on record. Refuses when the rule
 * is retired, or has another version than `ifMatch` by now; and whatever a new rule is refused for.
 */
export async function addVersion(ctx: Context, at: RuleAt, ifMatch: number, { name, rule, from, until }: NewRatioRule) {
  const body = storedFrom(rule);
  refuseEmptyDays({ from, until });
  return undatedFact(ctx, async (lock) => {
    const versions = await currentVersions(ctx, at, ifMatch);
    const { id, gymId, version: before } = versions[0];
    const version = before + 1;
    await refusePast(ctx, gymId, from);
    await refuseFaultyRule(ctx, body, gymId);
    if (gymId !== null) {
      const days = { from, to: until };
      await refuseLooser(ctx, name, { ...ruleOf(body), id, version, owner: 'gym', inForce: days });
    }
    const rows = await repo.insertVersions(ctx, lock, [
      { id, version, gymId, name, body, from, until, retired: false },
    ]);
    await ctx.record('ratios.rule-changed', { subjectId: id, gymId, revision: version }, { ruleId: id, version });
    return repo.ruleShown(found(rows[0], 'ratio rule'), [...rows, ...versions]);
  });
}

/** From that day on, which is not past, there is no such rule. Refuses one that is retired or changed meanwhile. */
export async function retireRule(ctx: Context, at: RuleAt, ifMatch: number, from: string) {
  return undatedFact(ctx, async (lock) => {
    const versions = await currentVersions(ctx, at, ifMatch);
    const { id, gymId, name, body, version: before } = versions[0];
    const version = before + 1;
    await refusePast(ctx, gymId, from);
    const last = { id, version, gymId, name, body, from, until: null, retired: true };
    const rows = await repo.insertVersions(ctx, lock, [last]);
    await ctx.record('ratios.rule-retired', { subjectId: id, gymId, revision: version }, { ruleId: id, version });
    return repo.ruleShown(found(rows[0], 'ratio rule'), [...rows, ...versions]);
  });
}

async function currentVersions(ctx: Context, { ruleId, gymId }: RuleAt, ifMatch: number) {
  const versions = await repo.getVersions(ctx, ruleId);
  const [newest] = versions;
  if (gymId !== undefined && newest.gymId !== gymId) throw notFound('ratio rule');
  if (newest.version !== ifMatch) throw refuse('changed-meanwhile', `The rule has version ${newest.version} by now.`);
  if (newest.retired) {
    throw refuse('conflict', `"${newest.name}" is retired from ${newest.from} on; add a rule of its own instead.`);
  }
  return versions;
}
