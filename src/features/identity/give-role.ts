import { belongsToGym, type HeldRole } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { revokeLinks } from './accounts.ts';
import { isWithin, notWithin, type Reach, reachOf } from './reach.ts';
import { findMember, getMember, insertRole, isGym, lockUsers, userOf } from './repo.ts';
import type { NewRole, User } from './schema.ts';

const MOST_ROLES = 200;
const FRANCHISE_WIDE = ['owner', 'programme_lead'];

/** Gives a user one role more. */
export async function giveRole(ctx: Context, accountId: string, role: NewRole): Promise<User> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  const member = await getMember(ctx, reach, accountId);
  await refuseRoleBeyond(ctx, reach, role);
  if (member.roles.some((one) => one.role === role.role && one.gymId === role.gymId)) {
    throw refuse('already-exists', 'They hold that role already.');
  }
  if (!member.joined) {
    throw refuse('conflict', 'They have not joined yet: invite them with that role too, which makes a new link.');
  }
  await giveRoleTo(ctx, accountId, member.roles, role);
  return userOf(reach, (await findMember(ctx, accountId))!);
}

/**
 * Writes and records the role; who may is settled by then. Links that are open become void: whoever was handed one was
 * trusted with the roles held so far, and not with this one.
 */
export async function giveRoleTo(ctx: Context, accountId: string, held: readonly HeldRole[], role: NewRole) {
  if (held.length >= MOST_ROLES) throw refuse('conflict', `One user holds ${MOST_ROLES} roles at the most.`);
  await revokeLinks(ctx, accountId, ['invitation', 'password-reset']);
  const revision = await insertRole(ctx, accountId, role);
  const about = { subjectId: accountId, gymId: role.gymId, revision };
  await ctx.record('users.role-given', about, { accountId, role: role.role });
}

/** Refuses a role that makes no sense, names a gym that the caller can't see, or is more than they may give. */
export async function refuseRoleBeyond(ctx: Context, reach: Reach, { role, gymId }: NewRole): Promise<void> {
  if (gymId !== null) {
    if (FRANCHISE_WIDE.includes(role)) {
      throw invalid('/gymId', `The role ${role} is for the whole franchise; send null.`);
    }
    if (!(belongsToGym(ctx.roles, gymId) && (await isGym(ctx, gymId)))) {
      throw invalid('/gymId', 'There is no such gym here.');
    }
  }
  if (!isWithin(reach, { role, gymId })) {
    throw notWithin('You may give the roles manager, desk and coach, at the gyms whose users you manage.');
  }
}
