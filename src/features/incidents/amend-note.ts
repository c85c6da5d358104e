import { and, eq, sql } from 'drizzle-orm';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidentAmendments, incidents } from '../../tables/incidents.ts';
import { about, type IncidentRow, lockIncident, refuseStranger } from './access.ts';
import type { AtIncident, NewAmendment } from './addition-schema.ts';
import { link } from './chain.ts';
import { refuseCompletion } from './completion.ts';
import { readIncident } from './read-note.ts';
import type { Incident } from './schema.ts';

/** Adds to a sent note, signed; what was sent stays as it is. */
export async function amendNote(ctx: Context, at: AtIncident, amendment: NewAmendment): Promise<Incident> {
  const note = await lockIncident(ctx, at);
  refuseStranger(ctx, note);
  if (note.sentAt === null) throw refuse('conflict', 'The note is a draft; change it instead.');
  await refuseUnfit(ctx, note, amendment);
  if (ctx.accountId === null) throw new Error('an amendment is signed by somebody');
  const { what, said, who, completion, signedAs } = amendment;
  const row = {
    id: newId(),
    incidentId: note.id,
    what,
    said,
    who,
    at: amendment.at === null ? null : new Date(amendment.at),
    completion,
    createdAt: ctx.now,
    createdBy: ctx.accountId,
    signedAs,
  };
  await ctx.tx.insert(incidentAmendments).values({ franchiseId: ctx.franchiseId, ...row });
  await bumpNote(ctx, note);
  const number = await link(ctx, at.gymId, { what: 'amendment', subjectId: row.id, incidentId: note.id });
  await ctx.record('incidents.amended', about({ ...note, revision: note.revision + 1 }), {
    amendmentId: row.id,
    what,
    link: number,
  });
  return readIncident(ctx, at);
}

/** What was added changes the note as it is shown: its revision counts it. */
export async function bumpNote(ctx: Context, { id }: IncidentRow): Promise<void> {
  await ctx.tx
    .update(incidents)
    .set({ revision: sql`${incidents.revision} + 1` })
    .where(and(ours(ctx, incidents), eq(incidents.id, id)));
}

/** A completion comes with its fields, from whoever completes notes; who was told, called or has acknowledged it, with the moment. */
async function refuseUnfit(
  ctx: Context,
  note: IncidentRow,
  { what, who, at, completion }: NewAmendment,
): Promise<void> {
  if ((what === 'completion') !== (completion !== null)) {
    throw invalid('/completion', 'A completion, and nothing else, comes with its fields.');
  }
  if (completion !== null) {
    mayOrRefuse(ctx, 'incidents.complete', note.gymId);
    await refuseCompletion(ctx, note, completion, '/completion');
  }
  if (['told', 'family-call', 'acknowledgement'].includes(what)) {
    if (who === null) throw invalid('/who', 'Say who it was.');
    if (at === null) throw invalid('/at', 'Say when it was.');
  }
  if (at !== null && Date.parse(at) > ctx.now.getTime()) throw invalid('/at', 'That lies ahead.');
}
