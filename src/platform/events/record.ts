import type { Context } from '../context.ts';
import { newId } from '../ids.ts';
import type { About, Happening, Happenings } from './catalogue.ts';
import { events } from './table.ts';

type Event = typeof events.$inferInsert;

/** One event as its row. */
export const eventRow = <N extends Happening>(
  ctx: Omit<Context, 'record'>,
  name: N,
  about: About,
  data: Happenings[N],
): Event => ({
  franchiseId: ctx.franchiseId,
  id: newId(),
  name,
  gymId: about.gymId ?? null,
  subjectId: about.subjectId,
  subjectRevision: about.revision ?? null,
  data,
  accountId: ctx.accountId,
  requestId: ctx.requestId,
  at: ctx.now,
});

/** How a context writes its events: one row each, in the transaction of the change. `gyms` gathers where they happened. */
export const recorder =
  (ctx: Omit<Context, 'record'>, gyms: Set<string | null>): Context['record'] =>
  async (name, about, data) => {
    gyms.add(about.gymId ?? null);
    await ctx.tx.insert(events).values(eventRow(ctx, name, about, data));
  };
