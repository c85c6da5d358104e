import { and, eq, lt } from 'drizzle-orm';
import type { Pool } from 'pg';
import { sweep } from './features/staffing/sweep.ts';
import { asSystem, asTenant } from './platform/db/tenant.ts';
import type { Tell } from './platform/events/hints.ts';
import type { Log } from './platform/log.ts';
import { DAY_MS } from './platform/time.ts';
import { accountFranchises, idempotencyKeys, oneTimeLinks, refreshTokens } from './tables/index.ts';

const EVERY_MS = 60_000;
/** A retry comes within minutes; two days leave room for a client that was offline. */
const KEYS_KEPT_DAYS = 2;
const LINKS_KEPT_DAYS = 30;

export interface Upkeep {
  /** Lets the round under way finish, and starts no other. */
  stop(): Promise<void>;
}

/** Once a minute: confirms what has entered its window covered, and forgets what has had its time. */
export function startUpkeep(pool: Pool, now: () => Date, log: Log, tell: Tell): Upkeep {
  let timer: NodeJS.Timeout | undefined;
  let round: Promise<void> = Promise.resolve();
  let stopped = false;
  const next = () => {
    if (stopped) return;
    timer = setTimeout(() => {
      round = upkeep(pool, now(), log, tell).then(next);
    }, EVERY_MS);
    timer.unref();
  };
  next();
  return {
    async stop() {
      stopped = true;
      clearTimeout(timer);
      await round;
    },
  };
}

/** One round. Any number of instances may do it at once; a part that fails holds up no other. */
async function upkeep(pool: Pool, now: Date, log: Log, tell: Tell): Promise<void> {
  const onFault = (fault: unknown) =>
    log.error({ err: fault }, 'a part of the upkeep failed; it is tried again in a minute');
  for (const part of [() => sweep(pool, now, onFault, tell), () => forget(pool, now)]) {
    try {
      await part();
    } catch (fault) {
      onFault(fault);
    }
  }
}

/** Deletes sign-in tokens that have expired, links long past, and the answers to requests that nobody retries any more. */
export async function forget(pool: Pool, now: Date): Promise<void> {
  const keptFrom = new Date(now.getTime() - KEYS_KEPT_DAYS * DAY_MS).toISOString().slice(0, 10);
  const franchises = await asSystem(pool, 'old sign-ins and links are global', async (tx) => {
    await tx.delete(refreshTokens).where(lt(refreshTokens.expiresAt, now));
    await tx.delete(oneTimeLinks).where(lt(oneTimeLinks.expiresAt, new Date(now.getTime() - LINKS_KEPT_DAYS * DAY_MS)));
    return tx.selectDistinct({ id: accountFranchises.franchiseId }).from(accountFranchises);
  });
  for (const { id } of franchises) {
    await asTenant(pool, id, {}, (tx) =>
      tx.delete(idempotencyKeys).where(and(eq(idempotencyKeys.franchiseId, id), lt(idempotencyKeys.usedOn, keptFrom))),
    );
  }
}
