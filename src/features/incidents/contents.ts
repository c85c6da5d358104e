import { and, eq, inArray, isNotNull, isNull, sql } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import * as t from '../../tables/incidents.ts';
import type { Json } from './canonical.ts';

// What a link of the chain vouches for, read from the rows as they stand: what was sent, and so may not change.

export type Linked = (typeof t.LINKED)[number];

/** As JSON has it: moments as RFC 3339 in UTC. */
const plain = (value: unknown): Json => JSON.parse(JSON.stringify(value));

/** The contents of these, by id; one that is not there is left out. */
export async function contentsOf(ctx: Context, what: Linked, ids: readonly string[]): Promise<Map<string, Json>> {
  const rows = await READ[what](ctx, ids);
  return new Map(rows.map((row) => [row.id, plain(row)]));
}

/** The note's row without what may still move (revision, the day of review), with its people, first readers and snapshot. */
async function notes(ctx: Context, ids: readonly string[]) {
  const rows = await ctx.tx
    .select()
    .from(t.incidents)
    .where(and(ours(ctx, t.incidents), inArray(t.incidents.id, some(ids))));
  const people = await ctx.tx
    .select()
    .from(t.incidentPeople)
    .where(and(ours(ctx, t.incidentPeople), inArray(t.incidentPeople.incidentId, some(ids))))
    .orderBy(t.incidentPeople.personId);
  const readers = await ctx.tx
    .select()
    .from(t.incidentReaders)
    .where(
      and(
        ours(ctx, t.incidentReaders),
        inArray(t.incidentReaders.incidentId, some(ids)),
        isNull(t.incidentReaders.amendmentId),
      ),
    )
    .orderBy(t.incidentReaders.accountId);
  const snapshots = await ctx.tx
    .select()
    .from(t.incidentSnapshots)
    .where(and(ours(ctx, t.incidentSnapshots), inArray(t.incidentSnapshots.incidentId, some(ids))));
  return rows.map(({ franchiseId: _, revision: __, keepUntil: ___, ...row }) => {
    const its = <R extends { incidentId: string }>(all: R[]) => all.filter(({ incidentId }) => incidentId === row.id);
    return {
      ...row,
      people: its(people).map(({ personId, part }) => ({ personId, part })),
      readers: its(readers).map(({ accountId }) => accountId),
      snapshot: its(snapshots).map(({ takenAt, facts }) => ({ takenAt, facts })),
    };
  });
}

type Appended = typeof t.incidentAmendments | typeof t.incidentConcussions | typeof t.incidentClearances;

const rowsOf = (table: Appended) => async (ctx: Context, ids: readonly string[]) => {
  const rows = await ctx.tx
    .select()
    .from(table)
    .where(and(ours(ctx, table), inArray(table.id, some(ids))));
  return rows.map(({ franchiseId: _, ...row }) => row);
};

/** What was agreed, which stays as it is when it is done. */
async function followUps(ctx: Context, ids: readonly string[]) {
  const { incidentFollowUps: agreed } = t;
  const rows = await ctx.tx
    .select()
    .from(agreed)
    .where(and(ours(ctx, agreed), inArray(agreed.id, some(ids))));
  return rows.map(({ id, incidentId, what, dueOn, createdAt, createdBy }) => ({
    id,
    incidentId,
    what,
    dueOn,
    createdAt,
    createdBy,
  }));
}

/** What came of it. */
const outcomes = (ctx: Context, ids: readonly string[]) => {
  const { incidentFollowUps: agreed } = t;
  return ctx.tx
    .select({ id: agreed.id, doneAt: agreed.doneAt, doneBy: agreed.doneBy, outcome: agreed.outcome })
    .from(agreed)
    .where(and(ours(ctx, agreed), inArray(agreed.id, some(ids)), isNotNull(agreed.doneAt)));
};

/** With the hash of the bytes as they are stored now, so that they are vouched for as well. */
async function attachments(ctx: Context, ids: readonly string[]) {
  const { incidentAttachments: files, incidentContents: contents } = t;
  const rows = await ctx.tx
    .select({ file: files, stored: sql<string | null>`encode(sha256(${contents.content}), 'hex')` })
    .from(files)
    .leftJoin(contents, and(ours(ctx, contents), eq(contents.attachmentId, files.id)))
    .where(and(ours(ctx, files), inArray(files.id, some(ids))));
  return rows.map(({ file: { franchiseId: _, ...file }, stored }) => ({ ...file, stored }));
}

const READ: Record<Linked, (ctx: Context, ids: readonly string[]) => PromiseLike<{ id: string }[]>> = {
  note: notes,
  amendment: rowsOf(t.incidentAmendments),
  concussion: rowsOf(t.incidentConcussions),
  clearance: rowsOf(t.incidentClearances),
  attachment: attachments,
  'follow-up': followUps,
  outcome: outcomes,
};

/** Of a gym's sent notes (or concerns), and what was added to them, the first that no link vouches for. */
export async function firstUnlinked(
  ctx: Context,
  gymId: string,
  chain: (typeof t.CHAINS)[number],
): Promise<{ incidentId: string; what: Linked } | null> {
  const ids = sql`${ctx.franchiseId}`;
  const { rows } = await ctx.tx.execute<{ incidentId: string; what: Linked }>(sql`
    SELECT i.id::text AS "incidentId", x.what FROM incidents i CROSS JOIN LATERAL (
      SELECT i.id, 'note' AS what WHERE i.sent_at IS NOT NULL
      UNION ALL SELECT a.id, 'amendment' FROM incident_amendments a WHERE a.franchise_id = ${ids} AND a.incident_id = i.id
      UNION ALL SELECT f.id, 'attachment' FROM incident_attachments f WHERE f.franchise_id = ${ids} AND f.incident_id = i.id
      UNION ALL SELECT c.id, 'concussion' FROM incident_concussions c WHERE c.franchise_id = ${ids} AND c.incident_id = i.id
      UNION ALL SELECT l.id, 'clearance' FROM incident_concussions c
        JOIN incident_clearances l ON l.franchise_id = ${ids} AND l.concussion_id = c.id
        WHERE c.franchise_id = ${ids} AND c.incident_id = i.id
      UNION ALL SELECT u.id, 'follow-up' FROM incident_follow_ups u WHERE u.franchise_id = ${ids} AND u.incident_id = i.id
      UNION ALL SELECT u.id, 'outcome' FROM incident_follow_ups u
        WHERE u.franchise_id = ${ids} AND u.incident_id = i.id AND u.done_at IS NOT NULL) x
    WHERE i.franchise_id = ${ids} AND i.gym_id = ${gymId}
      AND (i.kind = 'safeguarding') = ${chain === 'concerns'} AND NOT EXISTS (
      SELECT FROM incident_links k WHERE k.franchise_id = ${ids} AND k.gym_id = ${gymId} AND k.what = x.what AND k.subject_id = x.id)
    ORDER BY i.id, x.id LIMIT 1`);
  return rows[0] ?? null;
}
