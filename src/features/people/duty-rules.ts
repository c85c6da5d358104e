import { and, asc, eq, sql } from 'drizzle-orm';
import type { Test } from '../../cover/types.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { refuse } from '../../platform/problem.ts';
import { dutyRules } from '../../tables/people.ts';
import { kindsIn, refuseUnknownKinds } from './kinds.ts';
import type { Duty, DutyRule } from './schema.ts';

const columns = { duty: dutyRules.duty, who: dutyRules.who, revision: dutyRules.revision };

/** The rule of each duty: all on one page. */
export async function listDutyRules(ctx: Context): Promise<{ items: DutyRule[]; next: null }> {
  const items = await ctx.tx.select(columns).from(dutyRules).where(ours(ctx, dutyRules)).orderBy(asc(dutyRules.duty));
  return { items, next: null };
}

/**
 * Says who may do a duty at all: what no cover can excuse. Refuses a kind or grade that there is not, and when somebody
 * else wrote since revision `ifMatch`. The rule stands over the old one; the event keeps each as a whole.
 */
export async function setDutyRule(
  ctx: Context,
  _lock: CoverLock,
  duty: Duty,
  ifMatch: number,
  who: Test,
): Promise<DutyRule> {
  await refuseUnknownKinds(ctx, kindsIn(who, '/who'));
  const [row] = await ctx.tx
    .update(dutyRules)
    .set({ who, revision: sql`${dutyRules.revision} + 1` })
    .where(and(ours(ctx, dutyRules), eq(dutyRules.duty, duty), eq(dutyRules.revision, ifMatch)))
    .returning(columns);
  if (!row) throw refuse('changed-meanwhile', 'The rule has another revision by now.');
  await ctx.record('people.duty-rule-set', { subjectId: ctx.franchiseId }, row);
  return row;
}
