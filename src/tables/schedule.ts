import { sql } from 'drizzle-orm';
import { check, index, integer, jsonb, text, unique, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Spotting } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { drills, levels, programmes } from './curriculum.ts';
import { areas, gyms } from './gyms.ts';
import { athletes } from './people.ts';
import { planBlocks, planStations, planVersions } from './plans.ts';
import { terms } from './terms.ts';

/** What a family joins: weekly, at a wall-clock time in the gym's zone. */
export const classes = tenantTable(
  'classes',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    name: text('name').notNull(),
    programmeId: id('programme_id').notNull(),
    /** 1 is Monday, 7 is Sunday (ISO 8601). */
    weekday: integer('weekday').notNull(),
    /** Wall time, "17:00". */
    startsAt: text('starts_at').notNull(),
    durationMinutes: integer('duration_minutes').notNull(),
    capacity: integer('capacity').notNull(),
    from: day('from_day').notNull(),
    until: day('until_day'),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.programmeId], [programmes.franchiseId, programmes.id]),
    index('classes_gym').on(t.franchiseId, t.gymId),
    check('classes_weekday', sql`${t.weekday} BETWEEN 1 AND 7`),
  ],
);

export const classLevels = tenantTable(
  'class_levels',
  { classId: id('class_id').notNull(), levelId: id('level_id').notNull() },
  (t) => [
    key(t.franchiseId, t.classId, t.levelId),
    belongsTo([t.franchiseId, t.classId], [classes.franchiseId, classes.id]),
    belongsTo([t.franchiseId, t.levelId], [levels.franchiseId, levels.id]),
  ],
);

export const enrolments = tenantTable(
  'enrolments',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    classId: id('class_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    /** What the rules may know the athlete by here, beside age: "kindergarten". */
    category: text('category'),
    from: day('from_day').notNull(),
    until: day('until_day'),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.classId], [classes.franchiseId, classes.id]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('enrolments_class').on(t.franchiseId, t.classId),
    index('enrolments_athlete').on(t.franchiseId, t.athleteId),
    check('enrolments_days', sql`${t.until} IS NULL OR ${t.until} >= ${t.from}`),
  ],
);

/** One dated meeting of a class, unique by its original local start: moving it keeps it the same session. */
export const sessions = tenantTable(
  'sessions',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    classId: id('class_id').notNull(),
    originalStart: text('original_start').notNull(),
    day: day('day').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    planVersionId: id('plan_version_id'),
    /** The week of a term that it was laid out from, where it was. */
    termId: id('term_id'),
    termWeek: integer('term_week'),
    createdAt: createdAt(),
    cancelledAt: instant('cancelled_at'),
    cancelledWhy: text('cancelled_why'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.classId], [classes.franchiseId, classes.id]),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    belongsTo([t.franchiseId, t.termId], [terms.franchiseId, terms.id]),
    uniqueIndex('sessions_original_start').on(t.franchiseId, t.classId, t.originalStart),
    index('sessions_day').on(t.franchiseId, t.gymId, t.day),
    index('sessions_term').on(t.franchiseId, t.termId),
    check('sessions_term_week', sql`num_nulls(${t.termId}, ${t.termWeek}) IN (0, 2)`),
    check('sessions_span', sql`${t.endsAt} > ${t.startsAt}`),
  ],
);

/** Athletes of a session who move together. */
export const groups = tenantTable(
  'groups',
  {
    id: id('id').notNull(),
    sessionId: id('session_id').notNull(),
    position: integer('position').notNull(),
    name: text('name').notNull(),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    uniqueIndex('groups_position').on(t.franchiseId, t.sessionId, t.position),
    // What a group has belongs to its session.
    unique('groups_session').on(t.franchiseId, t.sessionId, t.id),
  ],
);

/** An athlete's place in a group, for the session's span. Nobody is in two places: an exclusion constraint on the live rows. */
export const groupMembers = tenantTable(
  'group_members',
  {
    id: id('id').notNull(),
    sessionId: id('session_id').notNull(),
    groupId: id('group_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    createdAt: createdAt(),
    releasedAt: instant('released_at'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    belongsTo([t.franchiseId, t.sessionId, t.groupId], [groups.franchiseId, groups.sessionId, groups.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('group_members_session').on(t.franchiseId, t.sessionId),
    index('group_members_athlete').on(t.franchiseId, t.athleteId, t.startsAt),
  ],
);

/** One group, one or more areas, one span, from one plan block of the version it is pinned to. */
export const blocks = tenantTable(
  'blocks',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    sessionId: id('session_id').notNull(),
    groupId: id('group_id').notNull(),
    planVersionId: id('plan_version_id').notNull(),
    planBlockId: id('plan_block_id').notNull(),
    day: day('day').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    createdAt: createdAt(),
    confirmedAt: instant('confirmed_at'),
    /** Null with a `confirmedAt`: the sweep did it. */
    confirmedBy: id('confirmed_by'),
    /** Un-confirmed by hand, and why: the sweep keeps away until it is confirmed by hand again. */
    heldWhy: text('held_why'),
    /** The session was laid out anew: it stays on record, and is part of no plan any more. */
    supersededAt: instant('superseded_at'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    belongsTo([t.franchiseId, t.sessionId, t.groupId], [groups.franchiseId, groups.sessionId, groups.id]),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    belongsTo([t.franchiseId, t.planBlockId], [planBlocks.franchiseId, planBlocks.id]),
    index('blocks_day').on(t.franchiseId, t.gymId, t.day),
    index('blocks_session').on(t.franchiseId, t.sessionId),
    index('blocks_plan_version').on(t.franchiseId, t.planVersionId),
    check('blocks_span', sql`${t.endsAt} > ${t.startsAt}`),
  ],
);

export const blockAreas = tenantTable(
  'block_areas',
  { blockId: id('block_id').notNull(), areaId: id('area_id').notNull() },
  (t) => [
    key(t.franchiseId, t.blockId, t.areaId),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    belongsTo([t.franchiseId, t.areaId], [areas.franchiseId, areas.id]),
  ],
);

/** At one station of one block, another drill is done instead of the plan's. Taken back, never overwritten. */
export const blockStepDowns = tenantTable(
  'block_step_downs',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    blockId: id('block_id').notNull(),
    stationId: id('station_id').notNull(),
    drillId: id('drill_id').notNull(),
    /** What it is done for, of `adaptations`; null: chosen for this block alone, to have it spotted. */
    adaptationId: id('adaptation_id'),
    /** What the station asks of its spotter then, as the drills were on that day. */
    spotting: jsonb('spotting').$type<Spotting>().notNull(),
    reason: text('reason').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by'),
    undoneAt: instant('undone_at'),
    undoneBy: id('undone_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    index('block_step_downs_block').on(t.franchiseId, t.blockId),
    uniqueIndex('block_step_downs_one').on(t.franchiseId, t.blockId, t.stationId).where(sql`undone_at IS NULL`),
  ],
);
