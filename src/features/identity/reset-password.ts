import type { Context } from '../../platform/context.ts';
import type { Services } from '../../platform/http/route.ts';
import { newId } from '../../platform/ids.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { refuse } from '../../platform/problem.ts';
import { isElsewhere, lockPassword, makeLink } from './accounts.ts';
import { lookUpAccount } from './look-up.ts';
import { reachOf, refuseUnlessWhollyWithin } from './reach.ts';
import { getMember, lockUsers } from './repo.ts';
import type { OneTimeLink } from './schema.ts';

/**
 * Hands out a link by which a user of this franchise sets a new password. Refused for an account that has joined
 * another franchise as well: whoever held the link would be that user there too.
 */
export async function makeResetLink(ctx: Context, accountId: string): Promise<OneTimeLink> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  refuseUnlessWhollyWithin(reach, member.roles);
  if (member.deactivatedAt) throw refuse('conflict', 'They were deactivated; reactivate them first.');
  if (!member.joined) throw refuse('conflict', 'They have not joined yet; invite them again instead.');
  await lockPassword(ctx, accountId, 'no key update');
  if (await isElsewhere(ctx, accountId)) {
    throw refuse(
      'conflict',
      'The account is in another franchise as well, so it is not yours alone to reset; they change it themselves, or ask whoever runs this service.',
    );
  }
  const link = await makeLink(ctx, accountId, 'password-reset');
  await ctx.record('users.reset-link-made', { subjectId: accountId }, { accountId });
  return link;
}

/**
 * The same for whoever runs the service, for an account in however many franchises; null where there is none. On record
 * nobody of the franchise made it, least of all the user themselves.
 */
export async function makeOperatorLink(
  services: Pick<Services, 'pool' | 'now'>,
  email: string,
): Promise<OneTimeLink | null> {
  const account = await lookUpAccount(services.pool, email.toLowerCase());
  const franchiseId = account?.franchiseIds[0];
  if (!account || franchiseId === undefined) return null;
  return inFranchise({ ...services, franchiseId, requestId: newId() }, async (ctx) => {
    const link = await makeLink(ctx, account.id, 'operator-reset');
    await ctx.record('users.reset-link-made', { subjectId: account.id }, { accountId: account.id });
    return link;
  });
}
