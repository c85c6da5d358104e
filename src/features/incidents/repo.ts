import { and, asc, eq, gt, gte, isNotNull, isNull, lt, lte, ne, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { incidentFollowUps, incidents } from '../../tables/incidents.ts';
import { mayRead } from './access.ts';
import type { FollowUp, FollowUpQuery } from './addition-schema.ts';
import { labelled, leapDayOf, peopleHere } from './people-here.ts';
import type { IncidentQuery, IncidentSummary } from './schema.ts';

/** The notes that the caller may read, newest first. */
export async function listIncidents(
  ctx: Context,
  gymId: string,
  today: string,
  { limit, cursor, kind, state, personId, dueForReview }: IncidentQuery,
) {
  const before = readIdCursor(cursor);
  const rows = await ctx.tx
    .select({
      note: incidents,
      people: sql<{ personId: string; part: 'hurt' | 'involved' }[]>`coalesce((
        SELECT json_agg(json_build_object('personId', p.person_id, 'part', p.part) ORDER BY p.person_id)
        FROM incident_people p WHERE p.franchise_id = ${ctx.franchiseId} AND p.incident_id = ${incidents.id}), '[]')`,
    })
    .from(incidents)
    .where(
      and(
        ours(ctx, incidents),
        eq(incidents.gymId, gymId),
        mayRead(ctx, gymId),
        kind === undefined ? undefined : eq(incidents.kind, kind),
        state === undefined ? undefined : state === 'sent' ? isNotNull(incidents.sentAt) : isNull(incidents.sentAt),
        personId === undefined
          ? undefined
          : sql`EXISTS (SELECT FROM incident_people p WHERE p.franchise_id = ${ctx.franchiseId}
              AND p.incident_id = ${incidents.id} AND p.person_id = ${personId})`,
        dueForReview ? lte(incidents.keepUntil, today) : undefined,
        before === null ? undefined : lt(incidents.id, before),
      ),
    )
    .orderBy(sql`${incidents.id} DESC`)
    .limit(limit + 1);
  const named = await peopleHere(
    ctx,
    gymId,
    rows.flatMap(({ people }) => people.map((one) => one.personId)),
  );
  const leapDay = await leapDayOf(ctx);
  return pageOf(
    rows,
    limit,
    ({ note, people }): IncidentSummary => ({
      id: note.id,
      kind: note.kind,
      state: note.sentAt === null ? 'draft' : 'sent',
      occurredAt: instantOf(note.occurredAt),
      day: note.day,
      what: note.what,
      people: labelled(people, named, note.day, leapDay),
      keepUntil: note.keepUntil,
      revision: note.revision,
    }),
    ({ note }) => [note.id],
  );
}

/** Sent notes of these days by kind; without the safeguarding concerns, of which only those named may know. */
export const countIncidents = (
  ctx: Context,
  gymId: string,
  { from, until }: { from: string | null; until: string | null },
) =>
  ctx.tx
    .select({ kind: incidents.kind, count: sql<number>`count(*)::int` })
    .from(incidents)
    .where(
      and(
        ours(ctx, incidents),
        eq(incidents.gymId, gymId),
        isNotNull(incidents.sentAt),
        ne(incidents.kind, 'safeguarding'),
        from === null ? undefined : gte(incidents.day, from),
        until === null ? undefined : lt(incidents.day, until),
      ),
    )
    .groupBy(incidents.kind)
    .orderBy(asc(incidents.kind));

export const followUpOnWire = (row: typeof incidentFollowUps.$inferSelect): FollowUp => ({
  id: row.id,
  incidentId: row.incidentId,
  what: row.what,
  dueOn: row.dueOn,
  doneAt: row.doneAt === null ? null : instantOf(row.doneAt),
  outcome: row.outcome,
  revision: row.revision,
});

/** Follow-ups of the notes that the caller may read, in the order in which they were agreed. */
export async function listFollowUps(ctx: Context, gymId: string, { limit, cursor, open, dueBy }: FollowUpQuery) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select({ followUp: incidentFollowUps })
    .from(incidentFollowUps)
    .innerJoin(incidents, and(ours(ctx, incidents), eq(incidents.id, incidentFollowUps.incidentId)))
    .where(
      and(
        ours(ctx, incidentFollowUps),
        eq(incidents.gymId, gymId),
        mayRead(ctx, gymId),
        open ? isNull(incidentFollowUps.doneAt) : undefined,
        dueBy === undefined ? undefined : lte(incidentFollowUps.dueOn, dueBy),
        after === null ? undefined : gt(incidentFollowUps.id, after),
      ),
    )
    .orderBy(asc(incidentFollowUps.id))
    .limit(limit + 1);
  return pageOf(
    rows.map(({ followUp }) => followUp),
    limit,
    followUpOnWire,
    (row) => [row.id],
  );
}
