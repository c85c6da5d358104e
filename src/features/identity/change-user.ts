import type { Context } from '../../platform/context.ts';
import { refusePersonBeyond } from './invite-user.ts';
import { reachOf, refuseUnlessWhollyWithin } from './reach.ts';
import { findMember, getMember, lockUsers, updateMemberPerson, userOf } from './repo.ts';
import type { User } from './schema.ts';

/** Says which person of the franchise a user is, which decides what their own blocks are. */
export async function changeUser(
  ctx: Context,
  accountId: string,
  ifMatch: number,
  { personId }: { personId: string | null },
): Promise<User> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  refuseUnlessWhollyWithin(reach, member.roles);
  if (personId !== null) await refusePersonBeyond(ctx, reach, personId);
  await updateMemberPerson(ctx, accountId, ifMatch, personId);
  await ctx.record('users.person-set', { subjectId: accountId, revision: ifMatch + 1 }, { accountId, personId });
  return userOf(reach, (await findMember(ctx, accountId))!);
}
