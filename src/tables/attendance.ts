import { sql } from 'drizzle-orm';
import { boolean, check, index, integer, text } from 'drizzle-orm/pg-core';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { gyms } from './gyms.ts';
import { athletes, persons, staffMembers } from './people.ts';
import { blocks, groups, sessions } from './schedule.ts';

export const ATTENDANCE_KINDS = ['enrolled', 'trial', 'make-up', 'guest'] as const;
export const ATTENDANCE_STATES = ['expected', 'present', 'absent', 'on-hold', 'left'] as const;

/**
 * Where one athlete of one session stands now: what their marks come to. Somebody expected of whom nothing was marked
 * has no row.
 */
export const attendance = tenantTable(
  'attendance',
  {
    sessionId: id('session_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    gymId: id('gym_id').notNull(),
    kind: text('kind', { enum: ATTENDANCE_KINDS }).notNull(),
    state: text('state', { enum: ATTENDANCE_STATES }).notNull(),
    /** Since when, by the marks' own times. */
    since: instant('since').notNull(),
    /** Said to come late. */
    late: boolean('late').notNull().default(false),
    /** The group that they came with; a place that they have in one goes before it. Null where the session has none. */
    groupId: id('group_id'),
    /** Codes of the findings for which they were put on hold, or admitted with an alert. */
    findings: text('findings').array().notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.sessionId, t.athleteId),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.sessionId, t.groupId], [groups.franchiseId, groups.sessionId, groups.id]),
    index('attendance_athlete').on(t.franchiseId, t.athleteId),
    index('attendance_state').on(t.franchiseId, t.gymId, t.state),
  ],
);

export const MARK_KINDS = ['in', 'out', 'absent', 'late', 'hold', 'release'] as const;

/** What somebody said happened, and when; in any order. Never changed: undone at the most, and both are kept. */
export const attendanceMarks = tenantTable(
  'attendance_marks',
  {
    /** The client's own id where it gave one: the same mark twice is one. */
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    sessionId: id('session_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    kind: text('kind', { enum: MARK_KINDS }).notNull(),
    at: instant('at').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    recordedBy: id('recorded_by'),
    /** Who took the child along: a guardian or somebody else on record. */
    collectorId: id('collector_id'),
    undoneAt: instant('undone_at'),
    undoneBy: id('undone_by'),
    /** Why it does not fit the other marks, while it does not. */
    conflict: text('conflict', { enum: ['already-in', 'already-out', 'not-in', 'is-here'] }),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo(
      [t.franchiseId, t.sessionId, t.athleteId],
      [attendance.franchiseId, attendance.sessionId, attendance.athleteId],
    ),
    index('attendance_marks_of').on(t.franchiseId, t.sessionId, t.athleteId),
    index('attendance_marks_conflict').on(t.franchiseId, t.gymId).where(sql`${t.conflict} IS NOT NULL`),
  ],
);

/** The stretches in which an athlete is in the building for a session, from the marks. Open: still there. */
export const stays = tenantTable(
  'stays',
  {
    sessionId: id('session_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    position: integer('position').notNull(),
    gymId: id('gym_id').notNull(),
    /** Null: they went, and nobody has said yet when they came. */
    inAt: instant('in_at'),
    outAt: instant('out_at'),
  },
  (t) => [
    key(t.franchiseId, t.sessionId, t.athleteId, t.position),
    belongsTo(
      [t.franchiseId, t.sessionId, t.athleteId],
      [attendance.franchiseId, attendance.sessionId, attendance.athleteId],
    ),
    index('stays_open').on(t.franchiseId, t.gymId).where(sql`${t.outAt} IS NULL`),
    check('stays_span', sql`${t.outAt} IS NULL OR ${t.inAt} IS NULL OR ${t.outAt} >= ${t.inAt}`),
  ],
);

export const STAFF_MARK_KINDS = ['in', 'out', 'break', 'back'] as const;

/** A coach's own coming, going and breaks, as they were said; never changed, undone at the most. */
export const staffMarks = tenantTable(
  'staff_marks',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    personId: id('person_id').notNull(),
    /** The gym's local day. */
    day: day('day').notNull(),
    kind: text('kind', { enum: STAFF_MARK_KINDS }).notNull(),
    at: instant('at').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    recordedBy: id('recorded_by'),
    undoneAt: instant('undone_at'),
    undoneBy: id('undone_by'),
    conflict: text('conflict', { enum: ['already-in', 'already-out', 'not-in', 'on-break', 'not-on-break'] }),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    index('staff_marks_day').on(t.franchiseId, t.gymId, t.day, t.personId),
  ],
);

/** When staff are at the gym, and their breaks in that time, from the marks. Open: still. */
export const staffStays = tenantTable(
  'staff_stays',
  {
    gymId: id('gym_id').notNull(),
    day: day('day').notNull(),
    personId: id('person_id').notNull(),
    position: integer('position').notNull(),
    kind: text('kind', { enum: ['work', 'break'] }).notNull(),
    inAt: instant('in_at'),
    outAt: instant('out_at'),
  },
  (t) => [
    key(t.franchiseId, t.gymId, t.day, t.personId, t.position),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    check('staff_stays_span', sql`${t.outAt} IS NULL OR ${t.inAt} IS NULL OR ${t.outAt} >= ${t.inAt}`),
  ],
);

/** One taking of a block's roll; or, without entries, a headcount against it. */
export const blockRolls = tenantTable(
  'block_rolls',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    blockId: id('block_id').notNull(),
    at: instant('at').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    recordedBy: id('recorded_by'),
    /** Heads counted, where somebody counted. */
    counted: integer('counted'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    index('block_rolls_block').on(t.franchiseId, t.blockId, t.at),
  ],
);

export const blockRollEntries = tenantTable(
  'block_roll_entries',
  { rollId: id('roll_id').notNull(), athleteId: id('athlete_id').notNull(), here: boolean('here').notNull() },
  (t) => [
    key(t.franchiseId, t.rollId, t.athleteId),
    belongsTo([t.franchiseId, t.rollId], [blockRolls.franchiseId, blockRolls.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
  ],
);

/** Out of the hall (not out of the building) with whom; written at the time or afterwards. */
export const outings = tenantTable(
  'outings',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    sessionId: id('session_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    /** Who went along; null is alone. */
    withPersonId: id('with_person_id'),
    why: text('why').notNull(),
    outAt: instant('out_at').notNull(),
    backAt: instant('back_at'),
    recordedAt: instant('recorded_at').notNull(),
    recordedBy: id('recorded_by'),
    undoneAt: instant('undone_at'),
    undoneBy: id('undone_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.withPersonId], [persons.franchiseId, persons.id]),
    index('outings_session').on(t.franchiseId, t.sessionId),
    check('outings_span', sql`${t.backAt} IS NULL OR ${t.backAt} >= ${t.outAt}`),
  ],
);

/** What a device recorded while it was offline, by its own id, and what became of it. */
export const offlineItems = tenantTable(
  'offline_items',
  {
    clientId: id('client_id').notNull(),
    gymId: id('gym_id').notNull(),
    kind: text('kind').notNull(),
    /** What the same id must mean when it comes again. */
    fingerprint: text('fingerprint').notNull(),
    at: instant('at').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    recordedBy: id('recorded_by'),
    outcome: text('outcome', { enum: ['recorded', 'refused'] }).notNull(),
    /** What is wrong with it, by name, and in words: why it was refused, or what somebody has to look at. */
    problem: text('problem'),
    detail: text('detail'),
    /** The client id of the item that it takes back or ends; that one may come later. */
    about: id('about'),
    /** Somebody looked at what was wrong with it. */
    settledAt: instant('settled_at'),
    settledBy: id('settled_by'),
  },
  (t) => [
    key(t.franchiseId, t.clientId),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    index('offline_items_about').on(t.franchiseId, t.about),
    index('offline_items_unsettled')
      .on(t.franchiseId, t.gymId)
      .where(sql`${t.problem} IS NOT NULL AND ${t.settledAt} IS NULL`),
  ],
);

/** From a suspected concussion until somebody licensed clears it: no check-in to activity. */
export const activityHolds = tenantTable(
  'activity_holds',
  {
    id: id('id').notNull(),
    athleteId: id('athlete_id').notNull(),
    since: instant('since').notNull(),
    why: text('why').notNull(),
    createdAt: createdAt(),
    clearedAt: instant('cleared_at'),
    clearanceId: id('clearance_id'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('activity_holds_open').on(t.franchiseId, t.athleteId).where(sql`${t.clearedAt} IS NULL`),
  ],
);

/** Somebody beside the guardians who may collect an athlete. */
export const collectors = tenantTable(
  'collectors',
  {
    id: id('id').notNull(),
    athleteId: id('athlete_id').notNull(),
    name: text('name').notNull(),
    relation: text('relation').notNull(),
    from: day('from_day').notNull(),
    until: day('until_day'),
    createdAt: createdAt(),
    createdBy: id('created_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('collectors_athlete').on(t.franchiseId, t.athleteId),
    check('collectors_days', sql`${t.until} IS NULL OR ${t.until} >= ${t.from}`),
  ],
);

/**
 * What the desk has to know about who may collect, as it was written each time, never changed; for nobody else's eyes.
 * The last one holds: null took it away.
 */
export const custodyNotes = tenantTable(
  'custody_notes',
  {
    athleteId: id('athlete_id').notNull(),
    /** The athlete's, which writing it raised. */
    revision: revision(),
    note: text('note'),
    writtenAt: instant('written_at').notNull().defaultNow(),
    writtenBy: id('written_by'),
  },
  (t) => [
    key(t.franchiseId, t.athleteId, t.revision),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
  ],
);
