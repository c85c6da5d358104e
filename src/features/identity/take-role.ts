import type { Context } from '../../platform/context.ts';
import { found, refuse } from '../../platform/problem.ts';
import { isWithin, maySeeRole, notWithin, reachOf } from './reach.ts';
import { deleteRole, findMember, getMember, isOtherActiveOwner, lockUsers, userOf } from './repo.ts';
import type { User } from './schema.ts';

/** Takes a role away; it counts no more from the next request on. */
export async function takeRole(ctx: Context, accountId: string, roleId: string): Promise<User> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  const role = found(
    member.roles.find((one) => one.id === roleId && maySeeRole(reach, one)),
    'role',
  );
  if (!isWithin(reach, role)) {
    throw notWithin('You may take the roles manager, desk and coach, at the gyms whose users you manage.');
  }
  if (role.role === 'owner') await refuseLastOwner(ctx, accountId);
  const revision = await deleteRole(ctx, accountId, roleId);
  const about = { subjectId: accountId, gymId: role.gymId, revision };
  await ctx.record('users.role-taken', about, { accountId, role: role.role });
  return userOf(reach, (await findMember(ctx, accountId))!);
}

/** A franchise without an active owner could never change its rules or its users again. */
export async function refuseLastOwner(ctx: Context, accountId: string): Promise<void> {
  if (await isOtherActiveOwner(ctx, accountId)) return;
  throw refuse('conflict', 'They are the only active owner; give somebody else the role first, and let them join.');
}
