import { and, eq, isNull } from 'drizzle-orm';
import { hashOf } from '../../platform/auth/tokens.ts';
import type { Context } from '../../platform/context.ts';
import type { Services } from '../../platform/http/route.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { refuse } from '../../platform/problem.ts';
import { oneTimeLinks } from '../../tables/identity.ts';
import { isElsewhere, join, lockPassword, setPassword } from './accounts.ts';
import { type FoundLink, lookUpLink } from './look-up.ts';
import { isActiveHere } from './repo.ts';
import type { Redeemed, Redemption } from './schema.ts';

type Redeeming = Pick<Services, 'pool' | 'now' | 'passwords'> & { requestId: string };

const notValid = () => refuse('link-not-valid', 'Nothing was changed.');

/**
 * Takes a one-time link at its word. An invitation joins the account to the franchise and gives it its first
 * password; where it has one already, that one has to be sent, so that no franchise can take over the account of
 * another. A reset gives it a new password and ends its sign-ins.
 */
export async function redeemLink(services: Redeeming, { token, password }: Redemption): Promise<Redeemed> {
  const tokenHash = hashOf(token);
  const link = await lookUpLink(services.pool, tokenHash);
  if (!link || link.expiresAt <= services.now()) throw notValid();

  const joins = link.purpose === 'invitation';
  const isKnown = joins && link.passwordHash !== null;
  if (isKnown && !(await services.passwords.fits(password, link.passwordHash))) {
    throw refuse('sign-in-refused', 'There is an account with that address already; send the password that it has.');
  }
  const newHash = isKnown ? null : await services.passwords.hash(password);

  const { franchiseId, accountId, email } = link;
  await inFranchise({ ...services, franchiseId, accountId }, async (ctx) => {
    await useUp(ctx, link, tokenHash);
    if (newHash !== null) await setPassword(ctx, accountId, newHash);
    if (joins) await join(ctx, accountId);
    await ctx.record(joins ? 'users.joined' : 'users.password-changed', { subjectId: accountId }, { accountId });
  });
  return { email, franchiseId };
}

/** Everything that was true before the hashing has to be true still. */
async function useUp(ctx: Context, link: FoundLink, tokenHash: Buffer): Promise<void> {
  const passwordHash = await lockPassword(ctx, link.accountId, 'no key update');
  const used = await ctx.tx
    .update(oneTimeLinks)
    .set({ usedAt: ctx.now })
    .where(and(eq(oneTimeLinks.tokenHash, tokenHash), isNull(oneTimeLinks.usedAt), isNull(oneTimeLinks.revokedAt)))
    .returning({ accountId: oneTimeLinks.accountId });
  if (used.length === 0) throw notValid();
  if (link.purpose === 'operator-reset') return;
  if (!(await isActiveHere(ctx, link.accountId))) throw notValid();
  if (link.purpose === 'password-reset' && (await isElsewhere(ctx, link.accountId))) throw notValid();
  if (link.purpose === 'invitation' && passwordHash !== link.passwordHash) {
    throw refuse('conflict', 'The account got a password at the same time; try again with that one.');
  }
}
