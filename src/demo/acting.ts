import type { Pool } from 'pg';
import type { Context } from '../platform/context.ts';
import { eventRow } from '../platform/events/record.ts';
import { events } from '../platform/events/table.ts';
import { newId } from '../platform/ids.ts';
import { inFranchise } from '../platform/in-franchise.ts';

/**
 * Runs a part of the seed in one transaction, on behalf of an account, at the moment at which the demo's people are said
 * to have done it: a plan was published weeks ago, and last Monday's session was staffed before it was held.
 */
export type Act = <T>(at: Date, accountId: string, work: (ctx: Context) => Promise<T>) => Promise<T>;

export const actingIn =
  (pool: Pool, franchiseId: string): Act =>
  (at, accountId, work) =>
    inFranchise({ pool, franchiseId, accountId, now: () => at, requestId: newId(), ...PATIENT }, async (ctx) => {
      const happened: (typeof events.$inferInsert)[] = [];
      const done = await work({
        ...ctx,
        record: async (name, about, data) => {
          happened.push(eventRow(ctx, name, about, data));
        },
      });
      // Written together at the end: there are hundreds.
      if (happened.length > 0) await ctx.tx.insert(events).values(happened);
      return done;
    });

const PATIENT = { lockTimeoutMs: 15_000 };

/** What was made, by the name that the data give it; a name that is not there is a fault of the data. */
export function named<K extends string, V>(entries: Iterable<readonly [K, V]>): (name: K) => V {
  const known = new Map<string, V>(entries);
  return (name) => {
    const value = known.get(name);
    if (value === undefined) throw new RangeError(`the demo's data name "${name}", which nothing makes`);
    return value;
  };
}
