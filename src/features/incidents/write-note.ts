import { type Context, scopesAt } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidentPeople, incidentSnapshots, incidents } from '../../tables/incidents.ts';
import { zoneOf } from '../gyms/repo.ts';
import { holds } from '../people/persons.ts';
import { dayOf } from '../schedule/zone-time.ts';
import { about } from './access.ts';
import { type PersonHere, peopleHere } from './people-here.ts';
import { readIncident } from './read-note.ts';
import { insertReaders, refuseReaders, refuseUnable } from './readers.ts';
import { keepUntilOf } from './review.ts';
import type { Incident, NewIncident } from './schema.ts';
import { takeFacts } from './snapshot.ts';
import { stopActivity, suspect } from './suspect-concussion.ts';
import { athletesOfOwnBlocks, blockOf, holdsPlace } from './which-block.ts';

/** What is older is a slip of the pen. */
const EARLIEST = new Date('2000-01-01T00:00:00Z');

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
  if (at < EARLIEST) throw invalid('/occurredAt', 'Expected a moment from the year 2000 on.');
  const day = dayOf(at, await zoneOf(ctx, gymId));

  const people = withSuspected(note.people, suspected);
  const known = await knownPeople(ctx, { gymId, day, at }, people);
  refuseReaders(note.kind, note.readers);
  await refuseUnable(ctx, gymId, note.readers);
  const block = await blockOf(ctx, gymId, {
    at,
    day,
    blockId: note.blockId,
    people: people.map(({ personId }) => personId),
  });
  await refuseElsewhere(ctx, { gymId, day, at }, block);

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

interface Then {
  gymId: string;
  day: string;
  at: Date;
}

/**
 * Those named, as this gym knows them; refuses one whom it does not know, or who is named twice. A coach knows the staff
 * and the athletes of their own blocks of that day, and those whom the note names `already`.
 */
export async function knownPeople(
  ctx: Context,
  { gymId, day, at }: Then,
  people: readonly Person[],
  already: readonly string[] = [],
): Promise<Map<string, PersonHere>> {
  const ids = people.map(({ personId }) => personId);
  const known = await peopleHere(ctx, gymId, ids);
  const own = holds(ctx, 'athletes.read', gymId) ? null : await athletesOfOwnBlocks(ctx, gymId, { day, at }, ids);
  for (const [index, personId] of ids.entries()) {
    const one = known.get(personId);
    const mayName = own === null || one?.isStaff || own.has(personId) || already.includes(personId);
    if (!one?.isHere || !mayName) {
      throw invalid(
        `/people/${index}/personId`,
        own === null
          ? 'This gym knows nobody by that id: neither as an athlete nor on the staff.'
          : 'You have nobody by that id: neither on the staff nor among the athletes of your own blocks of that day.',
      );
    }
    if (ids.indexOf(personId) !== index) throw invalid(`/people/${index}/personId`, 'Name everybody once.');
  }
  return known;
}

/** A coach writes about the blocks that they have, or about what was in no block on a day on which they have one. */
async function refuseElsewhere(
  ctx: Context,
  { gymId, day, at }: Then,
  block: { id: string; sessionId: string } | null,
) {
  if (holds(ctx, 'incidents.write', gymId)) return;
  const isOwn = scopesAt(ctx, 'incidents.write', gymId).has('own-blocks');
  if (isOwn && (await holdsPlace(ctx, gymId, { day, at }, block))) return;
  throw refuse('not-allowed', 'A coach writes about their own blocks; tell the desk or the manager.', {
    permission: 'incidents.write',
  });
}

export async function insertPeople(ctx: Context, incidentId: string, people: readonly Person[]): Promise<void> {
  if (people.length === 0) return;
  const ofNote = { franchiseId: ctx.franchiseId, incidentId };
  await ctx.tx.insert(incidentPeople).values(people.map((one) => ({ ...ofNote, ...one })));
}
