import { type Context, scopesAt } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidentPeople, incidentReaders, incidentSnapshots, incidents } from '../../tables/incidents.ts';
import { zoneOf } from '../gyms/repo.ts';
import { holds } from '../people/persons.ts';
import { dayOf } from '../schedule/zone-time.ts';
import { about } from './access.ts';
import { type PersonHere, peopleHere } from './people-here.ts';
import { readIncident } from './read-note.ts';
import { blockOf, holdsPlace, isPossibleReader } from './repo.ts';
import { keepUntilOf } from './review.ts';
import type { Incident, NewIncident } from './schema.ts';
import { takeFacts } from './snapshot.ts';
import { stopActivity, suspect } from './suspect-concussion.ts';

/**
 * Begins a note: a draft until it is sent. The service attaches the facts of that minute, and stops the check-in to
 * activity of everybody with a suspected concussion, in the same transaction.
 */
export async function writeNote(ctx: Context, gymId: string, note: NewIncident): Promise<Incident> {
  const suspected = note.suspectedConcussions.map(({ athleteId }) => athleteId);
  const lock = suspected.length > 0 ? await stopActivity(ctx, suspected) : null;
  const { franchiseId, accountId } = ctx;
  if (accountId === null) throw new Error('a note has a writer');
  const at = note.occurredAt === undefined ? ctx.now : new Date(note.occurredAt);
  if (at.getTime() > ctx.now.getTime()) throw invalid('/occurredAt', 'That lies ahead; write down what has happened.');
  const day = dayOf(at, await zoneOf(ctx, gymId));

  const people = withSuspected(note.people, suspected);
  const known = await knownPeople(ctx, gymId, people);
  refuseReaders(note.kind, note.readers);
  for (const [index, one] of note.readers.entries()) await refuseReader(ctx, gymId, one, index);
  const block = await blockOf(ctx, gymId, {
    at,
    day,
    blockId: note.blockId,
    people: people.map(({ personId }) => personId),
  });
  await refuseElsewhere(ctx, gymId, day, block);

  const row = {
    id: newId(),
    gymId,
    kind: note.kind,
    occurredAt: at,
    day,
    createdAt: ctx.now,
    writtenBy: accountId,
    sessionId: block?.sessionId ?? null,
    blockId: block?.id ?? null,
    what: note.what,
    whereItHurts: note.whereItHurts,
    done: note.done,
    told: note.told,
    keepUntil: await keepUntilOf(ctx, day, [...known.values()]),
  };
  await ctx.tx.insert(incidents).values({ franchiseId, ...row });
  await insertPeople(ctx, row.id, people);
  await insertReaders(ctx, row.id, note.readers);
  const facts = await takeFacts(ctx, { gymId, day, at, blockId: row.blockId });
  await ctx.tx.insert(incidentSnapshots).values({ franchiseId, incidentId: row.id, takenAt: ctx.now, facts });
  await ctx.record('incidents.drafted', about({ ...row, revision: 1 }), {});
  if (lock !== null) {
    const written = { ...row, revision: 1 };
    for (const suspicion of note.suspectedConcussions) await suspect(ctx, lock, written, suspicion, known);
  }
  return readIncident(ctx, { gymId, incidentId: row.id });
}

type Person = NewIncident['people'][number];

function withSuspected(people: readonly Person[], suspected: readonly string[]): Person[] {
  const named = new Set(people.map(({ personId }) => personId));
  const added = [...new Set(suspected)].filter((personId) => !named.has(personId));
  return [...people, ...added.map((personId): Person => ({ personId, part: 'hurt' }))];
}

/** Those named, as this gym knows them; refuses one whom it does not know, or who is named twice. */
export async function knownPeople(
  ctx: Context,
  gymId: string,
  people: readonly Person[],
): Promise<Map<string, PersonHere>> {
  const ids = people.map(({ personId }) => personId);
  const known = await peopleHere(ctx, gymId, ids);
  for (const [index, personId] of ids.entries()) {
    if (!known.get(personId)?.isHere) {
      throw invalid(
        `/people/${index}/personId`,
        'This gym knows nobody by that id: neither as an athlete nor on the staff.',
      );
    }
    if (ids.indexOf(personId) !== index) throw invalid(`/people/${index}/personId`, 'Name everybody once.');
  }
  return known;
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

export async function refuseReader(ctx: Context, gymId: string, accountId: string, index: number): Promise<void> {
  if (await isPossibleReader(ctx, gymId, accountId)) return;
  throw invalid(`/readers/${index}`, 'This account has no role at this gym with which it could read a note.');
}

/** A coach writes about the blocks that they have, or about what was in no block on a day on which they have one. */
async function refuseElsewhere(
  ctx: Context,
  gymId: string,
  day: string,
  block: { id: string; sessionId: string } | null,
) {
  if (holds(ctx, 'incidents.write', gymId)) return;
  if (scopesAt(ctx, 'incidents.write', gymId).has('own-blocks') && (await holdsPlace(ctx, gymId, day, block))) return;
  throw refuse('not-allowed', 'A coach writes about their own blocks; tell the desk or the manager.', {
    permission: 'incidents.write',
  });
}

export async function insertPeople(ctx: Context, incidentId: string, people: readonly Person[]): Promise<void> {
  if (people.length === 0) return;
  const ofNote = { franchiseId: ctx.franchiseId, incidentId };
  await ctx.tx.insert(incidentPeople).values(people.map((one) => ({ ...ofNote, ...one })));
}

export async function insertReaders(ctx: Context, incidentId: string, readers: readonly string[]): Promise<void> {
  if (readers.length === 0) return;
  const ofNote = { franchiseId: ctx.franchiseId, incidentId };
  await ctx.tx.insert(incidentReaders).values([...new Set(readers)].map((accountId) => ({ ...ofNote, accountId })));
}
