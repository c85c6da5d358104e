import type { Pool } from 'pg';
import { join, lockPassword, revokeLinks, setPassword } from '../features/identity/accounts.ts';
import { inviteUser } from '../features/identity/invite-user.ts';
import { lookUpAccount } from '../features/identity/look-up.ts';
import { CannotStart } from '../platform/cannot-start.ts';
import type { Context } from '../platform/context.ts';
import { named } from './acting.ts';
import type { StaffKey } from './data/staff.ts';
import type { Place } from './seed-place.ts';
import { type DemoSignIn, SIGN_INS, type SignInKey } from './sign-ins.ts';

const taken = (email: string) =>
  new CannotStart(
    `There is an account for ${email} in this database already, so the demo franchise is loaded, or somebody else has that address; take an empty database for another demo.`,
  );

/** Refuses where the demo was loaded before: its addresses are the same each time. */
export async function refuseSecondDemo(pool: Pool): Promise<void> {
  for (const { email } of Object.values<DemoSignIn>(SIGN_INS)) {
    const account = await lookUpAccount(pool, email);
    if (account && (account.passwordHash !== null || account.franchiseIds.length > 0)) throw taken(email);
  }
}

/** Gives everybody but the owner, who is there already, their account and role. */
export async function inviteEverybody(
  ctx: Context,
  ownerAccountId: string,
  place: Place,
  staff: (key: StaffKey) => string,
): Promise<(key: SignInKey) => string> {
  const accounts: [SignInKey, string][] = [['owner', ownerAccountId]];
  for (const [key, signIn] of Object.entries<DemoSignIn>(SIGN_INS)) {
    const { email, role, gym, staff: person } = signIn;
    if (role === 'owner') continue;
    const { user } = await inviteUser(ctx, {
      email,
      role,
      gymId: gym === null ? null : place.gym(gym),
      ...(person === null ? {} : { personId: staff(person) }),
    });
    accounts.push([key as SignInKey, user.accountId]);
  }
  return named(accounts);
}

/**
 * Lets the demo accounts in, all at once and as the last thing of all: until then nobody has joined, and a seed that
 * died half-way is simply begun again. A password that somebody has already is never replaced.
 */
export async function joinEverybody(
  ctx: Context,
  account: (key: SignInKey) => string,
  passwordHash: string,
): Promise<void> {
  for (const [key, { email }] of Object.entries<DemoSignIn>(SIGN_INS)) {
    const accountId = account(key as SignInKey);
    if ((await lockPassword(ctx, accountId, 'no key update')) !== null) throw taken(email);
    await setPassword(ctx, accountId, passwordHash);
    await revokeLinks(ctx, accountId, ['invitation']);
    await join(ctx, accountId);
    await ctx.record('users.joined', { subjectId: accountId }, { accountId });
  }
}
