import { and, inArray } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { incidents } from '../../tables/incidents.ts';
import { about, type IncidentRow } from './access.ts';

// Every reading leaves a line in the audit trail, in the transaction that reads.

/** Somebody was shown a note, or one file of it. */
export async function recordRead(ctx: Context, note: IncidentRow, attachmentId: string | null = null): Promise<void> {
  const { subjectId, gymId } = about(note);
  await ctx.record('incidents.read', { subjectId, gymId }, { attachmentId });
}

/** Somebody was shown a list of these notes, or of something in them. Concerns apart, where the gym's people do not look. */
export async function recordListed(ctx: Context, gymId: string, listed: readonly string[]): Promise<void> {
  const rows = await ctx.tx
    .select({ id: incidents.id, kind: incidents.kind })
    .from(incidents)
    .where(and(ours(ctx, incidents), inArray(incidents.id, some(listed))))
    .orderBy(incidents.id);
  for (const isConcern of [false, true]) {
    const incidentIds = rows.filter(({ kind }) => (kind === 'safeguarding') === isConcern).map(({ id }) => id);
    if (incidentIds.length === 0) continue;
    await ctx.record('incidents.listed', { subjectId: gymId, gymId: isConcern ? null : gymId }, { incidentIds });
  }
}
