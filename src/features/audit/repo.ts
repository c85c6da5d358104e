import { and, desc, eq, gte, lt } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { events } from '../../platform/events/table.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import type { Event, EventQuery } from './schema.ts';

/** What happened, newest first; at one gym, or (null) anywhere in the franchise. */
export async function listEvents(
  ctx: Context,
  gymId: string | null,
  { limit, cursor, name, subjectId, from, until }: EventQuery,
) {
  const before = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(events)
    .where(
      and(
        ours(ctx, events),
        gymId === null ? undefined : eq(events.gymId, gymId),
        name === undefined ? undefined : eq(events.name, name),
        subjectId === undefined ? undefined : eq(events.subjectId, subjectId),
        from === undefined ? undefined : gte(events.at, new Date(from)),
        until === undefined ? undefined : lt(events.at, new Date(until)),
        before === null ? undefined : lt(events.id, before),
      ),
    )
    .orderBy(desc(events.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    ({ franchiseId: _, at, ...event }): Event => ({ ...event, at: instantOf(at) }),
    (row) => [row.id],
  );
}
