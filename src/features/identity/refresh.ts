import { eq } from 'drizzle-orm';
import { hashOf } from '../../platform/auth/tokens.ts';
import type { Context } from '../../platform/context.ts';
import type { Door, Services } from '../../platform/http/route.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { refuse } from '../../platform/problem.ts';
import { refreshTokens, signIns } from '../../tables/identity.ts';
import { lookUpRefreshToken } from './look-up.ts';
import { isActiveHere } from './repo.ts';
import type { TokenPair } from './schema.ts';
import { endOf, issuePair } from './sign-in.ts';

/**
 * Gives a new pair for a refresh token, which is then used up. A token that comes a second time was copied: nobody can
 * say which of the two is the thief, so the whole sign-in ends, and that is kept although the answer is a refusal. Two
 * who come at once with the same token are no exception: one is answered, and the sign-in ends.
 */
export async function refresh(door: Door, refreshToken: string): Promise<TokenPair> {
  const tokenHash = hashOf(refreshToken);
  const family = await lookUpRefreshToken(door.pool, tokenHash);
  if (!family) throw refuse('not-signed-in', 'That is no refresh token of this service; sign in again.');
  const { franchiseId, accountId, signInId } = family;
  const outcome = await inFranchise({ ...door, franchiseId, accountId }, (ctx) =>
    rotate(ctx, door, signInId, tokenHash),
  );
  if (typeof outcome === 'string') throw refuse('not-signed-in', outcome);
  return outcome;
}

/** The new pair, or why not: a refusal that has to be committed is no exception. */
async function rotate(
  ctx: Context,
  services: Services,
  signInId: string,
  tokenHash: Buffer,
): Promise<TokenPair | string> {
  const [signIn] = await ctx.tx.select().from(signIns).where(eq(signIns.id, signInId)).for('no key update');
  // Read after the lock: a twin may just have used it.
  const [token] = await ctx.tx.select().from(refreshTokens).where(eq(refreshTokens.tokenHash, tokenHash));
  if (!signIn || !token || signIn.endedAt !== null) return 'That sign-in has ended; sign in again.';
  if (token.usedAt !== null) {
    await ctx.tx.update(signIns).set({ endedAt: ctx.now, endedWhy: 'token-reused' }).where(eq(signIns.id, signInId));
    await ctx.record('users.token-reused', { subjectId: signIn.accountId }, { accountId: signIn.accountId, signInId });
    return 'That refresh token was used before, so the sign-in has been ended; sign in again.';
  }
  if (token.expiresAt <= ctx.now || endOf(signIn) <= ctx.now) return 'That refresh token is too old; sign in again.';
  if (!(await isActiveHere(ctx, signIn.accountId))) return 'That sign-in has ended; sign in again.';
  await ctx.tx.update(refreshTokens).set({ usedAt: ctx.now }).where(eq(refreshTokens.tokenHash, tokenHash));
  return issuePair(ctx, services, signIn);
}
