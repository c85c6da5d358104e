import { and, eq, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import {
  incidentConcussions,
  incidentPeople,
  incidentReaders,
  incidents,
  type StoredCompletion,
} from '../../tables/incidents.ts';
import { about, type IncidentRow, lockIncident, refuseStranger } from './access.ts';
import type { AtIncident } from './addition-schema.ts';
import { link } from './chain.ts';
import { refuseCompletion } from './completion.ts';
import { peopleHere } from './people-here.ts';
import { peopleOf, readIncident } from './read-note.ts';
import { insertReaders, refuseReaders, refuseUnable } from './readers.ts';
import { keepUntilOf } from './review.ts';
import type { Incident, IncidentChanges, Receipt } from './schema.ts';
import { insertPeople, knownPeople } from './write-note.ts';

/** A draft in the revision that was read, held; refuses a note that was sent. */
async function lockDraft(ctx: Context, at: AtIncident, ifMatch: number): Promise<IncidentRow> {
  const note = await lockIncident(ctx, at);
  refuseStranger(ctx, note);
  if (note.revision !== ifMatch) throw refuse('changed-meanwhile', 'The note has another revision by now.');
  if (note.sentAt !== null) throw refuse('conflict', 'The note was sent, and does not change; amend it.');
  return note;
}

type Changes = { [C in keyof IncidentRow]?: IncidentRow[C] | undefined };

async function update(ctx: Context, { id }: IncidentRow, changes: Changes): Promise<void> {
  await ctx.tx
    .update(incidents)
    .set({ ...changes, revision: sql`${incidents.revision} + 1` })
    .where(and(ours(ctx, incidents), eq(incidents.id, id)));
}

/** Changes a draft. */
export async function changeNote(
  ctx: Context,
  at: AtIncident,
  ifMatch: number,
  changes: IncidentChanges,
): Promise<Incident> {
  const note = await lockDraft(ctx, at, ifMatch);
  const { people, readers, ...words } = changes;
  if (readers !== undefined) {
    refuseReaders(note.kind, readers);
    await refuseUnable(ctx, at.gymId, readers);
    await ctx.tx
      .delete(incidentReaders)
      .where(and(ours(ctx, incidentReaders), eq(incidentReaders.incidentId, note.id)));
    await insertReaders(ctx, note.id, readers);
  }
  if (people !== undefined) await replacePeople(ctx, note, people);
  const keepUntil = people === undefined ? note.keepUntil : await keptAbout(ctx, note);
  await update(ctx, note, { ...words, keepUntil });
  await ctx.record('incidents.changed', about({ ...note, revision: note.revision + 1 }), {
    fields: Object.keys(changes),
  });
  return readIncident(ctx, at);
}

/** Those with a suspected concussion stay in the note. */
async function replacePeople(ctx: Context, note: IncidentRow, people: NonNullable<IncidentChanges['people']>) {
  const already = (await peopleOf(ctx, note.id)).map(({ personId }) => personId);
  await knownPeople(ctx, { gymId: note.gymId, day: note.day, at: note.occurredAt }, people, already);
  const suspected = await ctx.tx
    .select({ athleteId: incidentConcussions.athleteId })
    .from(incidentConcussions)
    .where(and(ours(ctx, incidentConcussions), eq(incidentConcussions.incidentId, note.id)));
  if (suspected.some(({ athleteId }) => !people.some(({ personId }) => personId === athleteId))) {
    throw refuse('conflict', 'An athlete with a suspected concussion stays in the note.');
  }
  await ctx.tx.delete(incidentPeople).where(and(ours(ctx, incidentPeople), eq(incidentPeople.incidentId, note.id)));
  await insertPeople(ctx, note.id, people);
}

async function keptAbout(ctx: Context, note: IncidentRow): Promise<string | null> {
  const ids = (await peopleOf(ctx, note.id)).map(({ personId }) => personId);
  return keepUntilOf(ctx, note.day, [...(await peopleHere(ctx, note.gymId, ids)).values()]);
}

/** What the manager adds to a draft that day. */
export async function completeNote(
  ctx: Context,
  at: AtIncident,
  ifMatch: number,
  completion: StoredCompletion,
): Promise<Incident> {
  const note = await lockDraft(ctx, at, ifMatch);
  await refuseCompletion(ctx, note, completion);
  await update(ctx, note, { completion, completedAt: ctx.now, completedBy: ctx.accountId });
  await ctx.record('incidents.completed', about({ ...note, revision: note.revision + 1 }), {});
  return readIncident(ctx, at);
}

/**
 * Signs and sends a draft: it does not change any more, and one of the gym's chains vouches for it from now on. The answer is a
 * receipt: whoever wrote a safeguarding concern without being named for it cannot read it from here on.
 */
export async function sendNote(ctx: Context, at: AtIncident, ifMatch: number, signedAs: string): Promise<Receipt> {
  const note = await lockDraft(ctx, at, ifMatch);
  const keepUntil = await keptAbout(ctx, note);
  await update(ctx, note, { sentAt: ctx.now, sentBy: ctx.accountId, signedAs, keepUntil });
  const number = await link(ctx, note, 'note', note.id);
  const revision = note.revision + 1;
  await ctx.record('incidents.sent', about({ ...note, revision }), {});
  return {
    id: note.id,
    sentAt: instantOf(ctx.now),
    signedAs,
    link: note.kind === 'safeguarding' ? null : number,
    revision,
  };
}
