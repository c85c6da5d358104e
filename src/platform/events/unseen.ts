import { and, gte, sql } from 'drizzle-orm';
import { ours, type Tx } from '../db/tenant.ts';
import { idFrom } from '../ids.ts';
import { events } from './table.ts';

/** How long a change may take from making its event's id until it is committed, clocks that differ included. */
const LATEST_COMMIT_MS = 120_000;

/** How many events a franchise had, by gym, since an id: enough to see later that there are others. */
export interface Seen {
  since: string;
  counts: ReadonlyMap<string | null, number>;
}

/**
 * Where something has been recorded since the last look; null is at no gym in particular. Events are counted from a
 * fixed id some minutes back, and none is ever taken away, so that one whose transaction commits late is still noticed.
 * The first look notices nothing.
 */
export async function lookForUnseen(
  tx: Tx,
  franchiseId: string,
  last: Seen | null,
): Promise<{ seen: Seen; at: (string | null)[] }> {
  const since = idFrom(Date.now() - LATEST_COMMIT_MS);
  const rows = await tx
    .select({
      gymId: events.gymId,
      before: sql<number>`count(*)::int`,
      from: sql<number>`(count(*) FILTER (WHERE ${events.id} >= ${since}))::int`,
    })
    .from(events)
    .where(and(ours({ franchiseId }, events), gte(events.id, last?.since ?? since)))
    .groupBy(events.gymId);
  const changed = rows.filter(({ gymId, before }) => last !== null && before !== (last.counts.get(gymId) ?? 0));
  return {
    seen: { since, counts: new Map(rows.map(({ gymId, from }) => [gymId, from])) },
    at: changed.map(({ gymId }) => gymId),
  };
}
