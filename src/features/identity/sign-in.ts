import { ACCESS_SECONDS, newSecret } from '../../platform/auth/tokens.ts';
import type { Context } from '../../platform/context.ts';
import type { Door, Services } from '../../platform/http/route.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { refuse } from '../../platform/problem.ts';
import { DAY_MS } from '../../platform/time.ts';
import { refreshTokens, signIns } from '../../tables/identity.ts';
import { lockPassword } from './accounts.ts';
import { type Account, lookUpAccount } from './look-up.ts';
import { getWho, isActiveHere } from './repo.ts';
import type { SignedIn, SignIn, TokenPair } from './schema.ts';

/** How long a refresh token waits to be used, and how long a sign-in lasts however often it is refreshed. */
const REFRESH_DAYS = 30;
const SIGN_IN_DAYS = 90;

const refused = () => refuse('sign-in-refused', 'There is no such sign-in.');

/**
 * Signs an account in to a franchise. An unknown address, a wrong password and a deactivated user are answered alike;
 * which franchises there are to choose from is said only once the password fits.
 */
export async function signIn(door: Door, { email, password, franchiseId }: SignIn): Promise<SignedIn> {
  const account = await lookUpAccount(door.pool, email);
  const fits = await door.passwords.fits(password, account?.passwordHash ?? null);
  if (!account || !fits) throw refused();

  const open = await openTo(door, account);
  const [chosen, ...others] = franchiseId === undefined ? open : open.filter(({ id }) => id === franchiseId);
  if (!chosen) throw refused();
  if (others.length > 0) {
    throw refuse('choose-franchise', 'Say which one to sign in to.', { franchises: open.slice(0, 100) });
  }

  return inFranchise({ ...door, franchiseId: chosen.id, accountId: account.id }, async (ctx) => {
    // Both may have changed since they were read.
    const unchanged = (await lockPassword(ctx, account.id, 'share')) === account.passwordHash;
    if (!unchanged || !(await isActiveHere(ctx, account.id))) throw refused();
    const signInId = newId();
    await ctx.tx
      .insert(signIns)
      .values({ id: signInId, accountId: account.id, franchiseId: chosen.id, createdAt: ctx.now });
    const pair = await issuePair(ctx, door, { id: signInId, accountId: account.id, createdAt: ctx.now });
    return { ...pair, who: await getWho(ctx, account.id) };
  });
}

/** The franchises that the account has joined and is not deactivated in. */
async function openTo(services: Door, account: Account): Promise<{ id: string; name: string }[]> {
  const open = [];
  for (const franchiseId of account.franchiseIds) {
    const { now, pool, requestId } = services;
    const name = await inFranchise({ now, pool, requestId, franchiseId }, async (ctx) =>
      (await isActiveHere(ctx, account.id)) ? (await getWho(ctx, account.id)).franchise.name : null,
    );
    if (name !== null) open.push({ id: franchiseId, name });
  }
  return open;
}

/** The moment at which a sign-in is over, refreshed or not. */
export const endOf = (signIn: { createdAt: Date }) => new Date(signIn.createdAt.getTime() + SIGN_IN_DAYS * DAY_MS);

/** An access token, and the one refresh token that is good for the pair after it. */
export async function issuePair(
  ctx: Context,
  { tokens }: Services,
  signIn: { id: string; accountId: string; createdAt: Date },
): Promise<TokenPair> {
  const { secret, hash } = newSecret();
  const expiresAt = Math.min(ctx.now.getTime() + REFRESH_DAYS * DAY_MS, endOf(signIn).getTime());
  await ctx.tx.insert(refreshTokens).values({ tokenHash: hash, signInId: signIn.id, expiresAt: new Date(expiresAt) });
  const { franchiseId } = ctx;
  return {
    accessToken: tokens.issue({ accountId: signIn.accountId, franchiseId, signInId: signIn.id }),
    refreshToken: secret,
    expiresAt: instantOf(new Date(ctx.now.getTime() + ACCESS_SECONDS * 1000)),
  };
}
