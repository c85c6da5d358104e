import type { Test } from '../../cover/types.ts';
import type { Context } from '../../platform/context.ts';
import type { Services } from '../../platform/http/route.ts';
import { newId } from '../../platform/ids.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { franchises } from '../../tables/identity.ts';
import { dutyRules } from '../../tables/people.ts';
import { coverHeads } from '../../tables/staffing.ts';
import { inviteUser } from './invite-user.ts';
import type { Franchise, OneTimeLink } from './schema.ts';

export interface NewFranchise {
  name: string;
  ownerEmail: string;
  leapDay?: Franchise['leapDay'];
  travelMinutes?: number;
}

export interface CreatedFranchise {
  franchiseId: string;
  ownerAccountId: string;
  /** By which the owner joins; good for seven days. */
  link: OneTimeLink;
}

const ofAge = (atLeastYears: number): Test => ({ test: 'age', atLeastYears });
const anyone: Test = { test: 'all', of: [] };

/** Who may do a duty until the franchise says otherwise. Common practice, no source. */
const FIRST_DUTY_RULES = [
  { duty: 'lead', who: ofAge(18) },
  { duty: 'oversee', who: ofAge(18) },
  { duty: 'assist', who: ofAge(16) },
  { duty: 'shadow', who: anyone },
] as const;

/** Makes a franchise with all that it cannot do without, and invites its first owner. */
export function createFranchise(
  { pool, now }: Pick<Services, 'pool' | 'now'>,
  { name, ownerEmail, leapDay, travelMinutes }: NewFranchise,
): Promise<CreatedFranchise> {
  const franchiseId = newId();
  return inFranchise({ pool, now, franchiseId, requestId: newId() }, async (ctx: Context) => {
    await ctx.tx.insert(franchises).values({ franchiseId, name, leapDay, travelMinutes, createdAt: ctx.now });
    await ctx.tx.insert(coverHeads).values({ franchiseId });
    await ctx.tx.insert(dutyRules).values(FIRST_DUTY_RULES.map((rule) => ({ franchiseId, ...rule })));
    await ctx.record('franchise.created', { subjectId: franchiseId, revision: 1 }, {});
    for (const { duty, who } of FIRST_DUTY_RULES) {
      await ctx.record('people.duty-rule-set', { subjectId: franchiseId }, { duty, who, revision: 1 });
    }
    const { user, link } = await inviteUser(ctx, { email: ownerEmail.toLowerCase(), role: 'owner', gymId: null });
    if (!link) throw new Error('nobody can have joined a franchise that is new');
    return { franchiseId, ownerAccountId: user.accountId, link };
  });
}
