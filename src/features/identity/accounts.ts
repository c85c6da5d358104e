import { randomUUID } from 'node:crypto';
import { and, eq, inArray, isNull, ne, sql } from 'drizzle-orm';
import { newSecret } from '../../platform/auth/tokens.ts';
import type { Context } from '../../platform/context.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { DAY_MS } from '../../platform/time.ts';
import { accountFranchises, accounts, oneTimeLinks, signIns } from '../../tables/identity.ts';
import type { OneTimeLink } from './schema.ts';

// Statements on the global tables, within a franchise's transaction.

const LASTS_DAYS = { invitation: 7, 'password-reset': 1, 'operator-reset': 1 } as const;
export type Purpose = keyof typeof LASTS_DAYS;

/**
 * The account of an address, made unless it is there. Which of the two happened must not be told: anybody may invite
 * any address. For that reason the id is random: one in order of time would tell when the account was made.
 */
export async function ensureAccount(ctx: Context, email: string): Promise<string> {
  await ctx.tx.insert(accounts).values({ id: randomUUID(), email, createdAt: ctx.now }).onConflictDoNothing();
  const [row] = await ctx.tx
    .select({ id: accounts.id })
    .from(accounts)
    .where(eq(sql`lower(${accounts.email})`, email));
  return row!.id;
}

/** The account's present password hash, kept from changing until the transaction ends. */
export async function lockPassword(ctx: Context, accountId: string, how: 'share' | 'no key update') {
  const [row] = await ctx.tx
    .select({ passwordHash: accounts.passwordHash })
    .from(accounts)
    .where(eq(accounts.id, accountId))
    .for(how);
  return row?.passwordHash ?? null;
}

/** The account's password, once more only for itself: other sign-ins, in every franchise, end; reset links are void. */
export async function setPassword(ctx: Context, accountId: string, passwordHash: string, keep?: string): Promise<void> {
  await ctx.tx.update(accounts).set({ passwordHash }).where(eq(accounts.id, accountId));
  await ctx.tx
    .update(signIns)
    .set({ endedAt: ctx.now, endedWhy: 'password-changed' })
    .where(and(eq(signIns.accountId, accountId), isNull(signIns.endedAt), keep ? ne(signIns.id, keep) : undefined));
  await ctx.tx
    .update(oneTimeLinks)
    .set({ revokedAt: ctx.now })
    .where(
      and(
        eq(oneTimeLinks.accountId, accountId),
        inArray(oneTimeLinks.purpose, ['password-reset', 'operator-reset']),
        isNull(oneTimeLinks.usedAt),
        isNull(oneTimeLinks.revokedAt),
      ),
    );
}

/** Makes a link in place of all earlier ones of the same purpose; its secret is known to the answer alone. */
export async function makeLink(ctx: Context, accountId: string, purpose: Purpose): Promise<OneTimeLink> {
  await revokeLinks(ctx, accountId, [purpose]);
  const { secret, hash } = newSecret();
  const expiresAt = new Date(ctx.now.getTime() + LASTS_DAYS[purpose] * DAY_MS);
  const { franchiseId } = ctx;
  await ctx.tx
    .insert(oneTimeLinks)
    .values({ tokenHash: hash, accountId, franchiseId, purpose, createdAt: ctx.now, expiresAt });
  return { token: secret, expiresAt: instantOf(expiresAt) };
}

/** Voids this franchise's links to the account. */
export async function revokeLinks(ctx: Context, accountId: string, purposes: Purpose[]): Promise<void> {
  await ctx.tx
    .update(oneTimeLinks)
    .set({ revokedAt: ctx.now })
    .where(
      and(
        eq(oneTimeLinks.accountId, accountId),
        eq(oneTimeLinks.franchiseId, ctx.franchiseId),
        inArray(oneTimeLinks.purpose, purposes),
        isNull(oneTimeLinks.usedAt),
        isNull(oneTimeLinks.revokedAt),
      ),
    );
}

/** Ends the account's sign-ins to this franchise. */
export async function endSignInsHere(ctx: Context, accountId: string): Promise<void> {
  await ctx.tx
    .update(signIns)
    .set({ endedAt: ctx.now, endedWhy: 'deactivated' })
    .where(and(eq(signIns.accountId, accountId), eq(signIns.franchiseId, ctx.franchiseId), isNull(signIns.endedAt)));
}

/** Has the account joined some franchise other than this one? */
export async function isElsewhere(ctx: Context, accountId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ accountId: accountFranchises.accountId })
    .from(accountFranchises)
    .where(and(eq(accountFranchises.accountId, accountId), ne(accountFranchises.franchiseId, ctx.franchiseId)))
    .limit(1);
  return rows.length > 0;
}

export async function join(ctx: Context, accountId: string): Promise<void> {
  await ctx.tx.insert(accountFranchises).values({ accountId, franchiseId: ctx.franchiseId }).onConflictDoNothing();
}
