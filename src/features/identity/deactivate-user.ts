import type { Context } from '../../platform/context.ts';
import { endSignInsHere, revokeLinks } from './accounts.ts';
import { reachOf, refuseUnlessWhollyWithin } from './reach.ts';
import { findMember, getMember, lockUsers, setDeactivated, userOf } from './repo.ts';
import type { User } from './schema.ts';
import { refuseLastOwner } from './take-role.ts';

/** Shuts a user out of this franchise at once, and out of no other. Their roles stay for when they come back. */
export async function deactivateUser(ctx: Context, accountId: string): Promise<User> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  refuseUnlessWhollyWithin(reach, member.roles);
  if (member.deactivatedAt) return userOf(reach, member);
  if (member.roles.some(({ role }) => role === 'owner')) await refuseLastOwner(ctx, accountId);
  await setDeactivated(ctx, accountId, ctx.now);
  await endSignInsHere(ctx, accountId);
  await revokeLinks(ctx, accountId, ['invitation', 'password-reset']);
  await ctx.record('users.deactivated', { subjectId: accountId, revision: member.revision + 1 }, { accountId });
  return userOf(reach, (await findMember(ctx, accountId))!);
}

/** Lets a user in again; they sign in anew. */
export async function reactivateUser(ctx: Context, accountId: string): Promise<User> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  refuseUnlessWhollyWithin(reach, member.roles);
  if (!member.deactivatedAt) return userOf(reach, member);
  await setDeactivated(ctx, accountId, null);
  await ctx.record('users.reactivated', { subjectId: accountId, revision: member.revision + 1 }, { accountId });
  return userOf(reach, (await findMember(ctx, accountId))!);
}
