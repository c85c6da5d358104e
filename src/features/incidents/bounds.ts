import { and, eq, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { refuse } from '../../platform/problem.ts';
import * as t from '../../tables/incidents.ts';

/** How many of each one note takes, so that it can be shown whole. */
export const MOST = { amendments: 200, followUps: 200, attachments: 20, concussions: 50, readers: 20 } as const;

const TABLES = {
  amendments: t.incidentAmendments,
  followUps: t.incidentFollowUps,
  attachments: t.incidentAttachments,
  concussions: t.incidentConcussions,
  readers: t.incidentReaders,
};
const WORDS = {
  amendments: 'amendments',
  followUps: 'follow-ups',
  attachments: 'files',
  concussions: 'suspected concussions',
  readers: 'readers',
};

/** Refuses as a conflict what a note has no room for; the note is held, so that the count stands. */
export async function refuseFull(
  ctx: Context,
  incidentId: string,
  which: keyof typeof MOST,
  more: number = 1,
): Promise<void> {
  const table = TABLES[which];
  const [row] = await ctx.tx
    .select({ count: sql<number>`count(*)::int` })
    .from(table)
    .where(and(ours(ctx, table), eq(table.incidentId, incidentId)));
  if ((row?.count ?? 0) + more > MOST[which]) {
    throw refuse('conflict', `A note takes at most ${MOST[which]} ${WORDS[which]}.`);
  }
}
