import { and, asc, eq } from 'drizzle-orm';
import { completedMonths, type LeapDay } from '../../cover/index.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import * as t from '../../tables/incidents.ts';
import { holds } from '../people/persons.ts';
import { getIncident, type IncidentRow, readersOf } from './access.ts';
import type { Amendment, AtIncident, Attachment, Clearance, Concussion } from './addition-schema.ts';
import { cautionsFor, NO_ADVICE } from './concussion-codes.ts';
import { labelled, leapDayOf, type PersonHere, peopleHere } from './people-here.ts';
import { followUpOnWire } from './repo.ts';
import { promptsFor } from './reporting.ts';
import { type Incident, type Snapshot, StoredFacts } from './schema.ts';
import { holdsPlace } from './which-block.ts';

/** A note, whole, for somebody who may read it. Leaves no line in the audit trail: that is for the route that shows it. */
export async function readIncident(ctx: Context, at: AtIncident): Promise<Incident> {
  const note = await getIncident(ctx, at);
  const people = await peopleOf(ctx, note.id);
  const { facts, takenAt } = await factsOf(ctx, note.id);
  const concussions = await concussionsOf(ctx, note.id);
  const known = await peopleHere(ctx, at.gymId, [
    ...people.map(({ personId }) => personId),
    ...facts.staff.map(({ personId }) => personId),
    ...facts.athletes.map(({ personId }) => personId),
  ]);
  const amendments = await amendmentsOf(ctx, note.id);
  const completion = amendments.findLast((one) => one.completion !== null)?.completion ?? note.completion;
  const leapDay = await leapDayOf(ctx);
  const nameOf = (personId: string) => known.get(personId)?.name ?? null;
  return {
    id: note.id,
    kind: note.kind,
    state: note.sentAt === null ? 'draft' : 'sent',
    occurredAt: instantOf(note.occurredAt),
    day: note.day,
    sessionId: note.sessionId,
    blockId: note.blockId,
    what: note.what,
    whereItHurts: note.whereItHurts,
    done: note.done,
    told: note.told,
    people: labelled(people, known, note.day, leapDay),
    readers: await readersOf(ctx, note.id),
    writtenBy: note.writtenBy,
    writtenAt: instantOf(note.createdAt),
    completion,
    sent: sentOf(note),
    amendments,
    followUps: await followUpsOf(ctx, note.id),
    attachments: await attachmentsOf(ctx, note.id),
    concussions: concussions.map((one) => ({ ...one, cautions: cautionsOn(note.day, leapDay, one, known) })),
    snapshot: named((await showsPeople(ctx, note)) ? facts : { ...facts, staff: [], athletes: [] }, takenAt, nameOf),
    prompts: promptsFor(
      {
        injuries: (completion?.injuries ?? []).map((one) => ({
          ...one,
          isStaff: known.get(one.personId)?.isStaff ?? false,
        })),
        takenToHospital: completion?.takenToHospital ?? null,
        observed: concussions.flatMap(({ observed }) => observed),
      },
      note.occurredAt,
    ).map((prompt) => ({ ...prompt, by: maybeInstant(prompt.by) })),
    keepUntil: note.keepUntil,
    caution: NO_ADVICE,
    revision: note.revision,
  };
}

const sentOf = ({ sentAt, sentBy, signedAs }: IncidentRow): Incident['sent'] =>
  sentAt === null || sentBy === null || signedAs === null ? null : { at: instantOf(sentAt), by: sentBy, signedAs };

export const peopleOf = (ctx: Context, incidentId: string) =>
  ctx.tx
    .select({ personId: t.incidentPeople.personId, part: t.incidentPeople.part })
    .from(t.incidentPeople)
    .where(and(ours(ctx, t.incidentPeople), eq(t.incidentPeople.incidentId, incidentId)))
    .orderBy(asc(t.incidentPeople.personId));

async function factsOf(ctx: Context, incidentId: string): Promise<{ facts: StoredFacts; takenAt: Date }> {
  const [row] = await ctx.tx
    .select()
    .from(t.incidentSnapshots)
    .where(and(ours(ctx, t.incidentSnapshots), eq(t.incidentSnapshots.incidentId, incidentId)));
  const { facts, takenAt } = found(row, 'snapshot');
  return { facts: StoredFacts.parse(facts), takenAt };
}

/** Who was there is for those who may see every athlete, and for a coach whose own block it was. */
const showsPeople = async (ctx: Context, { gymId, day, occurredAt: at, blockId, sessionId }: IncidentRow) =>
  holds(ctx, 'athletes.read', gymId) ||
  (blockId !== null && sessionId !== null && (await holdsPlace(ctx, gymId, { day, at }, { id: blockId, sessionId })));

/** With the names that people have now; somebody whose name was erased has none. */
const named = (facts: StoredFacts, takenAt: Date, nameOf: (id: string) => string | null): Snapshot => ({
  ...facts,
  takenAt: instantOf(takenAt),
  staff: facts.staff.map((one) => ({ ...one, name: nameOf(one.personId) })),
  athletes: facts.athletes.map((one) => ({ ...one, name: nameOf(one.personId) })),
});

async function amendmentsOf(ctx: Context, incidentId: string): Promise<Amendment[]> {
  const rows = await ctx.tx
    .select()
    .from(t.incidentAmendments)
    .where(and(ours(ctx, t.incidentAmendments), eq(t.incidentAmendments.incidentId, incidentId)))
    .orderBy(asc(t.incidentAmendments.id));
  return rows.map((row) => ({
    id: row.id,
    what: row.what,
    said: row.said,
    who: row.who,
    at: maybeInstant(row.at),
    completion: row.completion,
    readers: row.readers ?? [],
    keepUntil: row.keepUntil,
    signedAs: row.signedAs,
    writtenBy: row.createdBy,
    writtenAt: instantOf(row.createdAt),
  }));
}

async function followUpsOf(ctx: Context, incidentId: string) {
  const rows = await ctx.tx
    .select()
    .from(t.incidentFollowUps)
    .where(and(ours(ctx, t.incidentFollowUps), eq(t.incidentFollowUps.incidentId, incidentId)))
    .orderBy(asc(t.incidentFollowUps.id));
  return rows.map(followUpOnWire);
}

/** The files of a note, without their bytes. */
export async function attachmentsOf(ctx: Context, incidentId: string): Promise<Attachment[]> {
  const rows = await ctx.tx
    .select()
    .from(t.incidentAttachments)
    .where(and(ours(ctx, t.incidentAttachments), eq(t.incidentAttachments.incidentId, incidentId)))
    .orderBy(asc(t.incidentAttachments.id));
  return rows.map(({ id, name, mediaType, size, sha256, createdAt }) => ({
    id,
    name,
    mediaType,
    size,
    sha256,
    attachedAt: instantOf(createdAt),
  }));
}

async function concussionsOf(ctx: Context, incidentId: string): Promise<Omit<Concussion, 'cautions'>[]> {
  const { incidentConcussions: suspected, incidentClearances: cleared } = t;
  const rows = await ctx.tx
    .select({ suspected, cleared })
    .from(suspected)
    .leftJoin(cleared, and(ours(ctx, cleared), eq(cleared.concussionId, suspected.id)))
    .where(and(ours(ctx, suspected), eq(suspected.incidentId, incidentId)))
    .orderBy(asc(suspected.id));
  return rows.map(({ suspected: one, cleared: clearance }) => ({
    id: one.id,
    athleteId: one.athleteId,
    edition: one.edition,
    observed: one.observed,
    suspectedAt: instantOf(one.createdAt),
    clearance: clearance === null ? null : clearanceOnWire(clearance),
  }));
}

const clearanceOnWire = (row: typeof t.incidentClearances.$inferSelect): Clearance => ({
  id: row.id,
  professional: row.professional,
  profession: row.profession,
  licence: row.licence,
  licensedBy: row.licensedBy,
  examinedOn: row.examinedOn,
  stages: row.stages,
  attachmentId: row.attachmentId,
  recordedAt: instantOf(row.createdAt),
});

function cautionsOn(
  day: string,
  leapDay: LeapDay,
  { edition, observed, athleteId }: Omit<Concussion, 'cautions'>,
  known: ReadonlyMap<string, PersonHere>,
) {
  const born = known.get(athleteId)?.born ?? null;
  return cautionsFor(edition, observed, born === null ? null : Math.floor(completedMonths(born, day, leapDay) / 12));
}
