import type { Pool } from 'pg';
import type { Context } from './context.ts';
import { asTenant, type TransactionOptions } from './db/tenant.ts';
import type { Tell } from './events/hints.ts';
import { recorder } from './events/record.ts';
import { LANGUAGE_OF_RECORD } from './language.ts';

/** On whose behalf the service acts, where no access token says so. */
export interface Acting extends TransactionOptions {
  pool: Pool;
  now: () => Date;
  franchiseId: string;
  /** Written beside the events; a request's own id where one is the cause. */
  requestId: string;
  /** The account that the act belongs to, where there is one. */
  accountId?: string;
  /** Hears where something happened, once it is committed. */
  tell?: Tell;
}

/**
 * Runs `work` in one transaction of a franchise with an owner's rights, for what the service does by itself: signing
 * somebody in, redeeming a link, the sweep, the seed.
 */
export async function inFranchise<T>(acting: Acting, work: (ctx: Context) => Promise<T>): Promise<T> {
  const gyms = new Set<string | null>();
  const done = await asTenant(acting.pool, acting.franchiseId, acting, (tx) => {
    const facts = {
      tx,
      franchiseId: acting.franchiseId,
      accountId: acting.accountId ?? null,
      personId: null,
      roles: [{ role: 'owner' as const, gymId: null }],
      gym: null,
      language: LANGUAGE_OF_RECORD,
      requestId: acting.requestId,
      now: acting.now(),
    };
    return work({ ...facts, record: recorder(facts, gyms) });
  });
  if (!acting.rollback) acting.tell?.(acting.franchiseId, gyms);
  return done;
}
