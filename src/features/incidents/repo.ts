import { and, asc, eq, gt, gte, isNotNull, isNull, lt, lte, ne, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { invalid } from '../../platform/problem.ts';
import { incidentFollowUps, incidents } from '../../tables/incidents.ts';
import { mayRead } from './access.ts';
import type { FollowUp, FollowUpQuery } from './addition-schema.ts';
import { labelled, leapDayOf, peopleHere } from './people-here.ts';
import type { IncidentQuery, IncidentSummary, Reader } from './schema.ts';

interface BlockHere extends Record<string, unknown> {
  id: string;
  sessionId: string;
}

/**
 * The block that a note is about: the one named (refused where it is not the gym's, that day), none where null was said,
 * or else the one in which somebody named, or the writer, was at that moment.
 */
export async function blockOf(
  ctx: Context,
  gymId: string,
  {
    at,
    day,
    blockId,
    people,
  }: { at: Date; day: string; blockId: string | null | undefined; people: readonly string[] },
): Promise<BlockHere | null> {
  if (blockId === null) return null;
  const { franchiseId } = ctx;
  const which =
    blockId === undefined
      ? sql`b.starts_at <= ${at.toISOString()} AND b.ends_at > ${at.toISOString()}`
      : sql`b.id = ${blockId}`;
  const { rows } = await ctx.tx.execute<BlockHere & { hasPerson: boolean; isWriters: boolean }>(sql`
    SELECT b.id::text, b.session_id::text AS "sessionId",
      EXISTS (SELECT FROM group_members m WHERE m.franchise_id = ${franchiseId} AND m.group_id = b.group_id
        AND m.released_at IS NULL AND m.athlete_id = ANY(${sql.param([...people])}::uuid[])) AS "hasPerson",
      EXISTS (SELECT FROM assignments a WHERE a.franchise_id = ${franchiseId} AND a.block_id = b.id
        AND a.released_at IS NULL AND a.person_id = ${ctx.personId}::uuid) AS "isWriters"
    FROM blocks b JOIN sessions s ON s.franchise_id = ${franchiseId} AND s.id = b.session_id AND s.cancelled_at IS NULL
    WHERE b.franchise_id = ${franchiseId} AND b.gym_id = ${gymId} AND b.day = ${day} AND b.superseded_at IS NULL
      AND ${which}
    ORDER BY b.starts_at, b.id`);
  if (blockId !== undefined && rows.length === 0) {
    throw invalid('/blockId', 'This is no block of the gym on the day on which it happened.');
  }
  const found =
    blockId === undefined ? (rows.find((row) => row.hasPerson) ?? rows.find((row) => row.isWriters)) : rows[0];
  return found ? { id: found.id, sessionId: found.sessionId } : null;
}

/** Has the caller a place at that block, or over its session; where it is about no block, anywhere at the gym that day? */
export async function holdsPlace(
  ctx: Context,
  gymId: string,
  day: string,
  block: { id: string; sessionId: string } | null,
): Promise<boolean> {
  const where = block === null ? sql`true` : sql`(a.block_id = ${block.id} OR a.session_id = ${block.sessionId})`;
  const { rowCount } = await ctx.tx.execute(sql`
    SELECT FROM assignments a WHERE a.franchise_id = ${ctx.franchiseId} AND a.gym_id = ${gymId} AND a.day = ${day}
      AND a.person_id = ${ctx.personId}::uuid AND a.released_at IS NULL AND ${where} LIMIT 1`);
  return rowCount === 1;
}

/** Accounts that could be named as readers: active, with a role at this gym that opens notes. */
const possibleReaders = (ctx: Context, gymId: string) => sql`
  FROM members m JOIN memberships r ON r.franchise_id = ${ctx.franchiseId} AND r.account_id = m.account_id
  LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = m.person_id
  WHERE m.franchise_id = ${ctx.franchiseId} AND m.deactivated_at IS NULL
    AND r.role <> 'programme_lead' AND (r.gym_id IS NULL OR r.gym_id = ${gymId})`;

export async function isPossibleReader(ctx: Context, gymId: string, accountId: string): Promise<boolean> {
  const { rowCount } = await ctx.tx.execute(
    sql`SELECT ${possibleReaders(ctx, gymId)} AND m.account_id = ${accountId} LIMIT 1`,
  );
  return rowCount === 1;
}

export async function listReaders(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const { rows } = await ctx.tx.execute<Reader & Record<string, unknown>>(sql`
    SELECT m.account_id::text AS "accountId", nullif(trim(coalesce(n.given, '') || ' ' || coalesce(n.family, '')), '') AS name,
      array_agg(DISTINCT r.role) AS roles ${possibleReaders(ctx, gymId)}
      ${after === null ? sql`` : sql`AND m.account_id > ${after}`}
    GROUP BY m.account_id, n.given, n.family ORDER BY m.account_id LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    ({ accountId, name, roles }): Reader => ({ accountId, name, roles }),
    (row) => [row.accountId],
  );
}

interface Paging {
  limit: number;
  cursor?: string | undefined;
}

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
