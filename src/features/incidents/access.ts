import { and, eq, type SQL, sql } from 'drizzle-orm';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found, refuse } from '../../platform/problem.ts';
import { incidentReaders, incidents } from '../../tables/incidents.ts';
import { holds } from '../people/persons.ts';
import type { AtIncident } from './addition-schema.ts';

// Who may read a note, in one place: as a condition for lists, and that same condition for one.

export type IncidentRow = typeof incidents.$inferSelect;

const isNamed = (ctx: Context): SQL => sql`EXISTS (SELECT FROM incident_readers r
  WHERE r.franchise_id = ${ctx.franchiseId} AND r.incident_id = ${incidents.id} AND r.account_id = ${ctx.accountId}::uuid)`;

/**
 * A safeguarding concern: those named for it, and while it is a draft its writer; nobody else, whatever their role. Any
 * other note: the whole gym's for those who may read them all, one's own for those who may read those.
 */
export function mayRead(ctx: Context, gymId: string): SQL {
  const own = sql`${incidents.writtenBy} = ${ctx.accountId}::uuid`;
  const all = holds(ctx, 'incidents.read', gymId) ? sql`true` : own;
  return sql`CASE WHEN ${incidents.kind} = 'safeguarding'
    THEN (${isNamed(ctx)} OR (${own} AND ${incidents.sentAt} IS NULL)) ELSE ${all} END`;
}

/** A note of this gym that the caller may read; any other is not found. */
export async function getIncident(ctx: Context, { gymId, incidentId }: AtIncident): Promise<IncidentRow> {
  const [row] = await ctx.tx
    .select()
    .from(incidents)
    .where(and(ours(ctx, incidents), eq(incidents.gymId, gymId), eq(incidents.id, incidentId), mayRead(ctx, gymId)));
  return found(row, 'incident note');
}

/** The same, held against every other change of the note until the transaction ends. */
export async function lockIncident(ctx: Context, { gymId, incidentId }: AtIncident): Promise<IncidentRow> {
  const [row] = await ctx.tx
    .select()
    .from(incidents)
    .where(and(ours(ctx, incidents), eq(incidents.gymId, gymId), eq(incidents.id, incidentId), mayRead(ctx, gymId)))
    .for('no key update');
  return found(row, 'incident note');
}

/** Refuses unless the caller wrote the note, is named for it, or completes this gym's notes. */
export function refuseStranger(ctx: Context, note: IncidentRow): void {
  // Whoever may read a safeguarding concern is named for it, or is still writing it.
  if (note.kind === 'safeguarding' || note.writtenBy === ctx.accountId) return;
  if (scopesAt(ctx, 'incidents.complete', note.gymId).size > 0) return;
  throw refuse('not-allowed', 'Somebody else wrote this note.', { permission: 'incidents.complete' });
}

/** Where its events are found: a safeguarding concern's not in the gym's trail, which people not named for it may read. */
export const about = ({ id, gymId, kind, revision }: Pick<IncidentRow, 'id' | 'gymId' | 'kind' | 'revision'>) => ({
  subjectId: id,
  gymId: kind === 'safeguarding' ? null : gymId,
  revision,
});

/** Those named for a note. */
export async function readersOf(ctx: Context, incidentId: string): Promise<string[]> {
  const rows = await ctx.tx
    .select({ accountId: incidentReaders.accountId })
    .from(incidentReaders)
    .where(and(ours(ctx, incidentReaders), eq(incidentReaders.incidentId, incidentId)))
    .orderBy(incidentReaders.accountId);
  return rows.map(({ accountId }) => accountId);
}
