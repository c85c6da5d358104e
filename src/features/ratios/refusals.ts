import { localDay, looserThan } from '../../cover/index.ts';
import type { Rule } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Fault, invalid, refuse } from '../../platform/problem.ts';
import { gyms } from '../../tables/gyms.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { getGym } from '../gyms/repo.ts';
import * as repo from './repo.ts';
import { faultsInRule } from './rule-check.ts';
import { faultsInReferences } from './rule-references.ts';

/** Refuses with every fault at once, when there is any. */
export function refuseFaults(faults: readonly Fault[]): void {
  const [first] = faults;
  if (first) throw refuse('invalid-request', `${first.pointer}: ${first.detail}`, { errors: faults.slice(0, 100) });
}

/** Refuses a rule that makes no sense, or that names what is not there. */
export async function refuseFaultyRule(ctx: Context, rule: StoredRule, gymId: string | null): Promise<void> {
  refuseFaults(faultsInRule(rule, '/rule'));
  refuseFaults(await faultsInReferences(ctx, rule, gymId, '/rule'));
}

/** Refuses days that end before they begin. */
export function refuseEmptyDays({ from, until }: { from: string; until: string | null }): void {
  if (until !== null && until <= from) throw invalid('/until', `Expected a day after ${from}, when it begins.`);
}

/** Refuses a day that is past already at a gym that the rule is for: what has been was judged by the rules of then. */
export async function refusePast(ctx: Context, gymId: string | null, from: string): Promise<void> {
  const zones =
    gymId === null
      ? await ctx.tx.selectDistinct({ zone: gyms.zone }).from(gyms).where(ours(ctx, gyms))
      : [await getGym(ctx, gymId)];
  const today = zones
    .map(({ zone }) => localDay(zone, ctx.now.getTime()))
    .sort()
    .at(-1);
  if (today !== undefined && from < today) {
    throw invalid('/from', `Expected ${today} or later: what is past was judged by the rules in force then.`);
  }
}

/**
 * Refuses a gym's rule that asks for less, at some age, than one of the franchise's that holds at the same time and place,
 * where the two can be compared. A gym's rule can only add; one that cannot be compared adds by standing beside.
 */
export async function refuseLooser(ctx: Context, name: string, rule: Rule): Promise<void> {
  for (const theirs of await repo.franchiseRules(ctx)) {
    const ageMonths = looserThan(rule, theirs.rule);
    if (ageMonths === null) continue;
    const age = ageMonths < 24 ? `${ageMonths} months` : `${Math.floor(ageMonths / 12)} years`;
    throw refuse(
      'looser-rule',
      `At the age of ${age}, "${name}" asks for less than the franchise's "${theirs.name}".`,
      {
        ageMonths,
        franchiseRule: theirs.rule.id,
      },
    );
  }
}
