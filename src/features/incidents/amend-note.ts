import { and, eq, sql } from 'drizzle-orm';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidentAmendments, incidents } from '../../tables/incidents.ts';
import { about, type IncidentRow, lockIncident, readersOf, refuseStranger } from './access.ts';
import type { AtIncident, NewAmendment } from './addition-schema.ts';
import { refuseFull } from './bounds.ts';
import { link } from './chain.ts';
import { refuseCompletion } from './completion.ts';
import { readIncident } from './read-note.ts';
import { insertReaders, refuseUnable } from './readers.ts';
import type { Incident } from './schema.ts';

/** Adds to a sent note, signed; what was sent stays as it is. */
export async function amendNote(ctx: Context, at: AtIncident, amendment: NewAmendment): Promise<Incident> {
  const note = await lockIncident(ctx, at);
  refuseStranger(ctx, note);
  if (note.sentAt === null) throw refuse('conflict', 'The note is a draft; change it instead.');
  await refuseUnfit(ctx, note, amendment);
  const { what, readers } = amendment;
  const amendmentId = await addAmendment(ctx, note, {
    ...amendment,
    at: amendment.at === null ? null : new Date(amendment.at),
    readers: what === 'readers' ? readers : null,
    keepUntil: null,
  });
  await insertReaders(ctx, note.id, readers, amendmentId);
  await bumpNote(ctx, note);
  await ctx.record('incidents.amended', about({ ...note, revision: note.revision + 1 }), { amendmentId, what });
  return readIncident(ctx, at);
}

type Added = Pick<
  typeof incidentAmendments.$inferInsert,
  'what' | 'said' | 'who' | 'at' | 'completion' | 'readers' | 'keepUntil' | 'signedAs'
>;

/** Writes the row and its link, of a note that is held; gives the row's id. */
export async function addAmendment(ctx: Context, note: IncidentRow, added: Added): Promise<string> {
  await refuseFull(ctx, note.id, 'amendments');
  const { franchiseId, accountId } = ctx;
  if (accountId === null) throw new Error('an amendment is signed by somebody');
  const row = { id: newId(), incidentId: note.id, ...added, createdAt: ctx.now, createdBy: accountId };
  await ctx.tx.insert(incidentAmendments).values({ franchiseId, ...row });
  await link(ctx, note, 'amendment', row.id);
  return row.id;
}

/** What was added changes the note as it is shown: its revision counts it. */
export async function bumpNote(ctx: Context, { id }: IncidentRow): Promise<void> {
  await ctx.tx
    .update(incidents)
    .set({ revision: sql`${incidents.revision} + 1` })
    .where(and(ours(ctx, incidents), eq(incidents.id, id)));
}

/**
 * A completion comes with its fields, from whoever completes notes; readers are new ones, of a concern; who was told,
 * called or has acknowledged it, with the moment.
 */
async function refuseUnfit(
  ctx: Context,
  note: IncidentRow,
  { what, who, at, completion, readers }: NewAmendment,
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
  if ((what === 'readers') !== readers.length > 0) {
    throw invalid('/readers', 'An amendment of the readers, and nothing else, names accounts.');
  }
  if (what === 'readers') await refuseMoreReaders(ctx, note, readers);
  if (at !== null && Date.parse(at) > ctx.now.getTime()) throw invalid('/at', 'That lies ahead.');
}

/** Whoever is named for a concern may name more, so that it is never stuck with those who cannot go on with it. */
async function refuseMoreReaders(ctx: Context, note: IncidentRow, readers: readonly string[]): Promise<void> {
  if (note.kind !== 'safeguarding') throw invalid('/readers', 'Only a safeguarding concern names its readers.');
  const before = await readersOf(ctx, note.id);
  const index = readers.findIndex((one, at) => before.includes(one) || readers.indexOf(one) !== at);
  if (index >= 0) throw invalid(`/readers/${index}`, 'This account is named already.');
  await refuseUnable(ctx, note.gymId, readers);
  await refuseFull(ctx, note.id, 'readers', readers.length);
}
