import { sql } from 'drizzle-orm';
import { check, index, integer, jsonb, text } from 'drizzle-orm/pg-core';
import { belongsTo, bytes, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { gyms } from './gyms.ts';
import { members } from './identity.ts';
import { athletes, persons } from './people.ts';
import { blocks, sessions } from './schedule.ts';

export const INCIDENT_KINDS = ['near-miss', 'small-bump', 'injury', 'behaviour', 'safeguarding'] as const;

/** What the manager completes; see the feature's schema for what each means. */
export interface StoredCompletion {
  stationId: string | null;
  skillId: string | null;
  skillWas: 'new' | 'known' | null;
  handsOn: boolean | null;
  setUpAsPlanned: boolean | null;
  setUpNote: string;
  injuries: StoredInjury[];
  takenToHospital: boolean | null;
  witnesses: { name: string; said: string }[];
  acknowledged: { who: string; at: string } | null;
  familyCalled: { who: string; at: string; said: string } | null;
}

/** Public injury codes (NEISS), in which 0 is a value like any other; null is not coded yet. */
export interface StoredInjury {
  personId: string;
  bodyPart: number | null;
  diagnosis: number | null;
  disposition: number | null;
  product: number | null;
  /** Whole days out of the sport or of normal work; the day it happened is day 0. */
  daysOut: number | null;
}

/** A note of what happened. A draft until `sentAt`; from then on its row stays as it is, but for what review needs. */
export const incidents = tenantTable(
  'incidents',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    kind: text('kind', { enum: INCIDENT_KINDS }).notNull(),
    occurredAt: instant('occurred_at').notNull(),
    /** The gym's local day of it. */
    day: day('day').notNull(),
    createdAt: createdAt(),
    writtenBy: id('written_by').notNull(),
    sessionId: id('session_id'),
    blockId: id('block_id'),
    what: text('what').notNull(),
    whereItHurts: text('where_it_hurts').notNull(),
    done: text('done').notNull(),
    told: text('told').notNull(),
    completion: jsonb('completion').$type<StoredCompletion>(),
    completedAt: instant('completed_at'),
    completedBy: id('completed_by'),
    sentAt: instant('sent_at'),
    sentBy: id('sent_by'),
    /** The name put under it. */
    signedAs: text('signed_as'),
    /** Then due for review; put further by a review. Null: unknown, and so kept. */
    keepUntil: day('keep_until'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    index('incidents_gym').on(t.franchiseId, t.gymId, t.id),
    index('incidents_keep').on(t.franchiseId, t.gymId, t.keepUntil),
    check(
      'incidents_sent',
      sql`(${t.sentAt} IS NULL) = (${t.sentBy} IS NULL) AND (${t.sentAt} IS NULL) = (${t.signedAs} IS NULL)`,
    ),
  ],
);

const ofIncident = { incidentId: id('incident_id').notNull() };

export const incidentPeople = tenantTable(
  'incident_people',
  {
    ...ofIncident,
    personId: id('person_id').notNull(),
    part: text('part', { enum: ['hurt', 'involved'] }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.incidentId, t.personId),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id]),
    index('incident_people_person').on(t.franchiseId, t.personId),
  ],
);

/** Those who alone may read a safeguarding concern. */
export const incidentReaders = tenantTable(
  'incident_readers',
  {
    ...ofIncident,
    accountId: id('account_id').notNull(),
    /** What named them, where that was after the concern was sent. */
    amendmentId: id('amendment_id'),
  },
  (t) => [
    key(t.franchiseId, t.incidentId, t.accountId),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    belongsTo([t.franchiseId, t.accountId], [members.franchiseId, members.accountId]),
    belongsTo([t.franchiseId, t.amendmentId], [incidentAmendments.franchiseId, incidentAmendments.id]),
  ],
);

/** The facts of that minute, as the service knew them when the note was begun. Never changed. */
export const incidentSnapshots = tenantTable(
  'incident_snapshots',
  {
    ...ofIncident,
    takenAt: instant('taken_at').notNull(),
    facts: jsonb('facts').$type<Record<string, unknown>>().notNull(),
  },
  (t) => [
    key(t.franchiseId, t.incidentId),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
  ],
);

export const AMENDMENTS = [
  'correction',
  'completion',
  'told',
  'family-call',
  'acknowledgement',
  'readers',
  'review',
] as const;

/** What was added to a sent note, or why one is kept for longer; signed. Never changed. */
export const incidentAmendments = tenantTable(
  'incident_amendments',
  {
    id: id('id').notNull(),
    ...ofIncident,
    what: text('what', { enum: AMENDMENTS }).notNull(),
    said: text('said').notNull(),
    /** Who was told, called, or has acknowledged it, and when. */
    who: text('who'),
    at: instant('at'),
    completion: jsonb('completion').$type<StoredCompletion>(),
    /** Who may read the concern as well. */
    readers: id('readers').array(),
    /** Until when a review keeps the note. */
    keepUntil: day('keep_until'),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
    signedAs: text('signed_as').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    index('incident_amendments_of').on(t.franchiseId, t.incidentId),
  ],
);

export const incidentFollowUps = tenantTable(
  'incident_follow_ups',
  {
    id: id('id').notNull(),
    ...ofIncident,
    what: text('what').notNull(),
    dueOn: day('due_on').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
    doneAt: instant('done_at'),
    doneBy: id('done_by'),
    outcome: text('outcome'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    index('incident_follow_ups_of').on(t.franchiseId, t.incidentId),
  ],
);

export const EDITIONS = ['2017', '2023'] as const;

/** Somebody watched an athlete after a knock and suspects a concussion: what was seen, in neutral codes. Never changed. */
export const incidentConcussions = tenantTable(
  'incident_concussions',
  {
    id: id('id').notNull(),
    ...ofIncident,
    athleteId: id('athlete_id').notNull(),
    /** Of the published list that the codes are for. */
    edition: text('edition', { enum: EDITIONS }).notNull(),
    observed: text('observed').array().notNull(),
    holdId: id('hold_id').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('incident_concussions_of').on(t.franchiseId, t.incidentId),
  ],
);

export const MEDIA_TYPES = ['image/jpeg', 'image/png', 'image/webp', 'image/heic', 'application/pdf'] as const;

/** A file beside a note; its bytes stand in a table of their own. Never changed. */
export const incidentAttachments = tenantTable(
  'incident_attachments',
  {
    id: id('id').notNull(),
    ...ofIncident,
    name: text('name').notNull(),
    mediaType: text('media_type', { enum: MEDIA_TYPES }).notNull(),
    size: integer('size').notNull(),
    sha256: text('sha256').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    index('incident_attachments_of').on(t.franchiseId, t.incidentId),
  ],
);

export const incidentContents = tenantTable(
  'incident_contents',
  { attachmentId: id('attachment_id').notNull(), content: bytes('content').notNull() },
  (t) => [
    key(t.franchiseId, t.attachmentId),
    belongsTo([t.franchiseId, t.attachmentId], [incidentAttachments.franchiseId, incidentAttachments.id]),
  ],
);

/** What a licensed professional wrote of one suspected concussion. Never changed. */
export const incidentClearances = tenantTable(
  'incident_clearances',
  {
    id: id('id').notNull(),
    concussionId: id('concussion_id').notNull(),
    professional: text('professional').notNull(),
    profession: text('profession').notNull(),
    licence: text('licence').notNull(),
    licensedBy: text('licensed_by').notNull(),
    examinedOn: day('examined_on').notNull(),
    stages: jsonb('stages').$type<{ words: string; notBefore: string | null }[]>().notNull(),
    attachmentId: id('attachment_id'),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.concussionId], [incidentConcussions.franchiseId, incidentConcussions.id]),
    belongsTo([t.franchiseId, t.attachmentId], [incidentAttachments.franchiseId, incidentAttachments.id]),
    index('incident_clearances_of').on(t.franchiseId, t.concussionId),
  ],
);

/** Concerns have a chain of their own, so that the other tells nothing of them. */
export const CHAINS = ['notes', 'concerns'] as const;
const chain = () => text('chain', { enum: CHAINS }).notNull().default('notes');

/** Where a gym's chain ends: locked by whoever adds a link. */
export const incidentHeads = tenantTable(
  'incident_heads',
  { gymId: id('gym_id').notNull(), chain: chain(), number: integer('number').notNull(), hash: text('hash').notNull() },
  (t) => [key(t.franchiseId, t.gymId, t.chain), belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id])],
);

export const LINKED = ['note', 'amendment', 'concussion', 'clearance', 'attachment', 'follow-up', 'outcome'] as const;

/** A gym's chains of hashes over what was sent, amended, suspected, cleared, attached, agreed and done. Never changed. */
export const incidentLinks = tenantTable(
  'incident_links',
  {
    gymId: id('gym_id').notNull(),
    chain: chain(),
    number: integer('number').notNull(),
    ...ofIncident,
    what: text('what', { enum: LINKED }).notNull(),
    subjectId: id('subject_id').notNull(),
    at: instant('at').notNull(),
    /** SHA-256, in hexadecimal: of the content as canonical JSON; of the link before; of this one. */
    contentHash: text('content_hash').notNull(),
    previous: text('previous').notNull(),
    hash: text('hash').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.gymId, t.chain, t.number),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.incidentId], [incidents.franchiseId, incidents.id]),
    index('incident_links_subject').on(t.franchiseId, t.subjectId),
  ],
);
