import { and, eq, isNull, sql } from 'drizzle-orm';
import type { Pool } from 'pg';
import { asSystem } from '../../platform/db/tenant.ts';
import { accounts, oneTimeLinks, refreshTokens, signIns } from '../../tables/identity.ts';

// What has to be known before there is a tenant: the only statements that run without one.

export interface Account {
  id: string;
  email: string;
  passwordHash: string | null;
  /** Those that it has joined. */
  franchiseIds: string[];
}

/** One statement whether the account is there or not, so that both take as long. */
export const lookUpAccount = (pool: Pool, email: string): Promise<Account | null> =>
  asSystem(pool, 'an e-mail address does not say which franchise', async (tx) => {
    const [row] = await tx
      .select({
        id: accounts.id,
        email: accounts.email,
        passwordHash: accounts.passwordHash,
        franchiseIds: sql<string[]>`ARRAY(SELECT f.franchise_id::text FROM account_franchises f
          WHERE f.account_id = ${accounts.id} ORDER BY 1)`,
      })
      .from(accounts)
      .where(eq(sql`lower(${accounts.email})`, email));
    return row ?? null;
  });

/** Whose family of refresh tokens this one is of. */
export const lookUpRefreshToken = (pool: Pool, tokenHash: Buffer) =>
  asSystem(pool, 'a refresh token does not say which franchise', async (tx) => {
    const [row] = await tx
      .select({ signInId: signIns.id, accountId: signIns.accountId, franchiseId: signIns.franchiseId })
      .from(refreshTokens)
      .innerJoin(signIns, eq(signIns.id, refreshTokens.signInId))
      .where(eq(refreshTokens.tokenHash, tokenHash));
    return row ?? null;
  });

/** An unused, unrevoked link and the account that it is for; the caller looks at `expiresAt`. */
export const lookUpLink = (pool: Pool, tokenHash: Buffer) =>
  asSystem(pool, 'a one-time link does not say which franchise', async (tx) => {
    const [row] = await tx
      .select({
        purpose: oneTimeLinks.purpose,
        franchiseId: oneTimeLinks.franchiseId,
        expiresAt: oneTimeLinks.expiresAt,
        accountId: accounts.id,
        email: accounts.email,
        passwordHash: accounts.passwordHash,
      })
      .from(oneTimeLinks)
      .innerJoin(accounts, eq(accounts.id, oneTimeLinks.accountId))
      .where(and(eq(oneTimeLinks.tokenHash, tokenHash), isNull(oneTimeLinks.usedAt), isNull(oneTimeLinks.revokedAt)));
    return row ?? null;
  });
export type FoundLink = NonNullable<Awaited<ReturnType<typeof lookUpLink>>>;
