import { sql } from 'drizzle-orm';
import { check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Spotting } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { apparatus } from './gyms.ts';
import { qualificationKinds, skills } from './people.ts';

export const programmes = tenantTable(
  'programmes',
  { id: id('id').notNull(), name: text('name').notNull(), createdAt: createdAt(), revision: revision() },
  (t) => [key(t.franchiseId, t.id), uniqueIndex('programmes_name').on(t.franchiseId, sql`lower(${t.name})`)],
);

/** Ordered in their programme: position 1 is where a beginner starts. */
export const levels = tenantTable(
  'levels',
  {
    id: id('id').notNull(),
    programmeId: id('programme_id').notNull(),
    position: integer('position').notNull(),
    name: text('name').notNull(),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.programmeId], [programmes.franchiseId, programmes.id]),
    uniqueIndex('levels_position').on(t.franchiseId, t.programmeId, t.position),
  ],
);

export const SPOTTING_MODES = ['none', 'stand-by', 'hands-on'] as const;

export const drills = tenantTable(
  'drills',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** What the coach says before anybody moves. */
    sayFirst: text('say_first').notNull(),
    spottingMode: text('spotting_mode', { enum: SPOTTING_MODES }).notNull(),
    spottingKindId: id('spotting_kind_id'),
    spottingGrade: integer('spotting_grade'),
    secondsATurn: integer('seconds_a_turn').notNull(),
    /** How many can do it side by side at one set-up. */
    places: integer('places').notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
    belongsTo([t.franchiseId, t.spottingKindId], [qualificationKinds.franchiseId, qualificationKinds.id]),
    uniqueIndex('drills_name').on(t.franchiseId, t.apparatusId, sql`lower(${t.name})`),
    check('drills_spotting', sql`(${t.spottingMode} = 'none') = (${t.spottingKindId} IS NULL)`),
    check('drills_grade', sql`(${t.spottingKindId} IS NULL) = (${t.spottingGrade} IS NULL)`),
  ],
);

/** The skills a drill teaches; a spotter needs the sign-off where `signOff` says how far. */
export const drillSkills = tenantTable(
  'drill_skills',
  {
    drillId: id('drill_id').notNull(),
    skillId: id('skill_id').notNull(),
    signOff: text('sign_off', { enum: ['watched', 'helped', 'alone'] }),
  },
  (t) => [
    key(t.franchiseId, t.drillId, t.skillId),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
  ],
);

/** The easier drill leads to the harder one; there is no way round in a circle. */
export const progressions = tenantTable(
  'progressions',
  { easierId: id('easier_id').notNull(), harderId: id('harder_id').notNull(), createdAt: createdAt() },
  (t) => [
    key(t.franchiseId, t.easierId, t.harderId),
    belongsTo([t.franchiseId, t.easierId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.harderId], [drills.franchiseId, drills.id]),
    index('progressions_harder').on(t.franchiseId, t.harderId),
  ],
);

export const lessonPlans = tenantTable(
  'lesson_plans',
  {
    id: id('id').notNull(),
    title: text('title').notNull(),
    /** The Monday of the week it is written for. */
    weekOf: day('week_of').notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId, t.id), index('lesson_plans_week').on(t.franchiseId, t.weekOf)],
);

export const lessonPlanProgrammes = tenantTable(
  'lesson_plan_programmes',
  { planId: id('plan_id').notNull(), programmeId: id('programme_id').notNull() },
  (t) => [
    key(t.franchiseId, t.planId, t.programmeId),
    belongsTo([t.franchiseId, t.planId], [lessonPlans.franchiseId, lessonPlans.id]),
    belongsTo([t.franchiseId, t.programmeId], [programmes.franchiseId, programmes.id]),
  ],
);

/** A draft may change; published, it is frozen, and a change is a new version. */
export const planVersions = tenantTable(
  'plan_versions',
  {
    id: id('id').notNull(),
    planId: id('plan_id').notNull(),
    number: integer('number').notNull(),
    state: text('state', { enum: ['draft', 'published', 'withdrawn'] }).notNull(),
    createdAt: createdAt(),
    publishedAt: instant('published_at'),
    publishedBy: id('published_by'),
    withdrawnAt: instant('withdrawn_at'),
    withdrawnWhy: text('withdrawn_why'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planId], [lessonPlans.franchiseId, lessonPlans.id]),
    uniqueIndex('plan_versions_number').on(t.franchiseId, t.planId, t.number),
    uniqueIndex('plan_versions_one_draft').on(t.franchiseId, t.planId).where(sql`state = 'draft'`),
  ],
);

export const ACTIVITIES = [
  'warm-up',
  'stretches',
  'apparatus',
  'conditioning',
  'game',
  'cool-down',
  'open-gym',
  'party',
] as const;

export const planBlocks = tenantTable(
  'plan_blocks',
  {
    id: id('id').notNull(),
    planVersionId: id('plan_version_id').notNull(),
    position: integer('position').notNull(),
    title: text('title').notNull(),
    activity: text('activity', { enum: ACTIVITIES }).notNull(),
    minutes: integer('minutes').notNull(),
    classRule: text('class_rule').notNull(),
    /** Side by side, all stations run for the whole block; in turn, they share its minutes out evenly. */
    stationsRun: text('stations_run', { enum: ['side-by-side', 'in-turn'] }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    uniqueIndex('plan_blocks_position').on(t.franchiseId, t.planVersionId, t.position),
  ],
);

export const planStations = tenantTable(
  'plan_stations',
  {
    id: id('id').notNull(),
    planBlockId: id('plan_block_id').notNull(),
    position: integer('position').notNull(),
    name: text('name').notNull(),
    setUp: text('set_up').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** How many pieces of that apparatus it takes. */
    items: integer('items').notNull(),
    /** What its drills need together: written when the plan is published, and then it stays. */
    spotting: jsonb('spotting').$type<Spotting>(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planBlockId], [planBlocks.franchiseId, planBlocks.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
    uniqueIndex('plan_stations_position').on(t.franchiseId, t.planBlockId, t.position),
  ],
);

export const planSteps = tenantTable(
  'plan_steps',
  {
    id: id('id').notNull(),
    stationId: id('station_id').notNull(),
    position: integer('position').notNull(),
    drillId: id('drill_id').notNull(),
    /** From this level up; null is everyone. */
    fromLevelId: id('from_level_id'),
    dose: text('dose').notNull(),
    weight: text('weight', { enum: ['core', 'extend', 'if-time'] }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.fromLevelId], [levels.franchiseId, levels.id]),
    uniqueIndex('plan_steps_position').on(t.franchiseId, t.stationId, t.position),
  ],
);
