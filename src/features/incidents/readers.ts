import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { invalid } from '../../platform/problem.ts';
import { incidentReaders } from '../../tables/incidents.ts';
import type { NewIncident, Reader } from './schema.ts';

// Those who alone may read a safeguarding concern: who could be named, and who is.

/** Accounts that could be named: active, with a role at this gym that opens notes. */
const possibleReaders = (ctx: Context, gymId: string) => sql`
  FROM members m JOIN memberships r ON r.franchise_id = ${ctx.franchiseId} AND r.account_id = m.account_id
  LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = m.person_id
  WHERE m.franchise_id = ${ctx.franchiseId} AND m.deactivated_at IS NULL
    AND r.role <> 'programme_lead' AND (r.gym_id IS NULL OR r.gym_id = ${gymId})`;

export async function listReaders(
  ctx: Context,
  gymId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
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

/** A safeguarding concern names its readers; no other note does. */
export function refuseReaders(kind: NewIncident['kind'], readers: readonly string[]): void {
  if (kind === 'safeguarding' && readers.length === 0) {
    throw invalid('/readers', 'Name at least one account that may read this concern; nobody else will.');
  }
  if (kind !== 'safeguarding' && readers.length > 0) {
    throw invalid('/readers', 'Only a safeguarding concern names its readers; leave it empty.');
  }
}

/** Refuses an account that could read no note here. */
export async function refuseUnable(ctx: Context, gymId: string, readers: readonly string[]): Promise<void> {
  if (readers.length === 0) return;
  const { rows } = await ctx.tx.execute<{ id: string }>(
    sql`SELECT m.account_id::text AS id ${possibleReaders(ctx, gymId)} AND m.account_id = ANY(${sql.param([...readers])}::uuid[])`,
  );
  const able = new Set(rows.map(({ id }) => id));
  const index = readers.findIndex((one) => !able.has(one));
  if (index >= 0) {
    throw invalid(`/readers/${index}`, 'This account has no role at this gym with which it could read a note.');
  }
}

/** Names them: in the note, or by an amendment of it. */
export async function insertReaders(
  ctx: Context,
  incidentId: string,
  readers: readonly string[],
  amendmentId: string | null = null,
): Promise<void> {
  if (readers.length === 0) return;
  const ofNote = { franchiseId: ctx.franchiseId, incidentId, amendmentId };
  await ctx.tx.insert(incidentReaders).values([...new Set(readers)].map((accountId) => ({ ...ofNote, accountId })));
}
