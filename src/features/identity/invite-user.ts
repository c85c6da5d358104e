import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { ensureAccount, makeLink } from './accounts.ts';
import { giveRoleTo, refuseRoleBeyond } from './give-role.ts';
import { type Reach, reachOf, refuseUnlessWhollyWithin } from './reach.ts';
import { findMember, insertMember, isPerson, lockUsers, userOf } from './repo.ts';
import type { Invited, NewUser } from './schema.ts';

/**
 * Gives somebody a role by their e-mail address. Who has not joined this franchise yet is invited: the caller is handed
 * a one-time link (earlier ones are void), and nothing tells whether the address has an account elsewhere. Who has
 * joined just has one role more.
 */
export async function inviteUser(ctx: Context, { email, role, gymId, personId }: NewUser): Promise<Invited> {
  const reach = reachOf(ctx);
  await lockUsers(ctx);
  await refuseRoleBeyond(ctx, reach, { role, gymId });
  const accountId = await ensureAccount(ctx, email);
  const member = await findMember(ctx, accountId);

  if (!member) {
    if (personId) await refusePersonBeyond(ctx, reach, personId);
    await insertMember(ctx, accountId, personId ?? null);
  } else {
    if (personId && personId !== member.personId) {
      throw invalid(
        '/personId',
        'They are a user here already; say who they are with `changeUser`, and leave this out.',
      );
    }
    if (member.deactivatedAt) throw refuse('conflict', 'They are a user who was deactivated; reactivate them instead.');
    // Whoever holds the link becomes the user, with all the roles that were given before.
    if (!member.joined) refuseUnlessWhollyWithin(reach, member.roles);
  }
  const held = member?.roles.some((one) => one.role === role && one.gymId === gymId) ?? false;
  if (held && member?.joined) throw refuse('already-exists', 'They hold that role already.');
  if (!held) await giveRoleTo(ctx, accountId, member?.roles ?? [], { role, gymId });

  const link = member?.joined ? null : await makeLink(ctx, accountId, 'invitation');
  if (link) await ctx.record('users.invited', { subjectId: accountId, gymId }, { accountId, role });
  return { user: userOf(reach, (await findMember(ctx, accountId))!), link };
}

/** The person a user is said to be: for a manager, somebody who is on the staff of their gyms. */
export async function refusePersonBeyond(ctx: Context, reach: Reach, personId: string): Promise<void> {
  if (await isPerson(ctx, personId, reach === 'franchise' ? null : reach.gyms)) return;
  throw invalid('/personId', 'There is no such person on the staff of a gym whose users you manage.');
}
