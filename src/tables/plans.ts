import { sql } from 'drizzle-orm';
import { boolean, check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Spotting } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { drills, levels, programmes } from './curriculum.ts';
import { apparatus } from './gyms.ts';
import { skills } from './people.ts';
import type { StoredDiagram } from './stored-diagram.ts';

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
    /** The Monday from which classes are taught from it, unless it is named; null is at once. */
    effectiveWeek: day('effective_week'),
    /** What the lead tells the coaches about it. */
    note: text('note').notNull().default(''),
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

export const STANDINGS = ['new', 'continuing', 'returning'] as const;

/** What a version is about on one apparatus. */
export const planFocuses = tenantTable(
  'plan_focuses',
  {
    id: id('id').notNull(),
    planVersionId: id('plan_version_id').notNull(),
    position: integer('position').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** One line on what comes next week. */
    nextWeek: text('next_week'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
    uniqueIndex('plan_focuses_apparatus').on(t.franchiseId, t.planVersionId, t.apparatusId),
  ],
);

export const planFocusSkills = tenantTable(
  'plan_focus_skills',
  {
    focusId: id('focus_id').notNull(),
    skillId: id('skill_id').notNull(),
    position: integer('position').notNull(),
    standing: text('standing', { enum: STANDINGS }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.focusId, t.skillId),
    belongsTo([t.franchiseId, t.focusId], [planFocuses.franchiseId, planFocuses.id]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
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

/** How the children stand or move: round the coach, one behind another, side by side in lanes, at stations, round a circuit. */
export const FORMATIONS = ['circle', 'file', 'lanes', 'stations', 'circuit'] as const;

export const planBlocks = tenantTable(
  'plan_blocks',
  {
    id: id('id').notNull(),
    planVersionId: id('plan_version_id').notNull(),
    position: integer('position').notNull(),
    title: text('title').notNull(),
    activity: text('activity', { enum: ACTIVITIES }).notNull(),
    minutes: integer('minutes').notNull(),
    formation: text('formation', { enum: FORMATIONS }).notNull().default('stations'),
    /** 1 is what to keep when time runs out; apart from the teaching order. */
    importance: integer('importance').notNull().default(1),
    classRule: text('class_rule').notNull(),
    /** Everybody drinks before it begins, in its minutes. */
    waterFirst: boolean('water_first').notNull().default(false),
    /** Side by side, all stations run for the whole block; in turn, they share its minutes out evenly. */
    stationsRun: text('stations_run', { enum: ['side-by-side', 'in-turn'] }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    uniqueIndex('plan_blocks_position').on(t.franchiseId, t.planVersionId, t.position),
  ],
);

/** What a block is taught on, one or several; written down apart from its stations, which may still be missing. */
export const planBlockApparatus = tenantTable(
  'plan_block_apparatus',
  {
    planBlockId: id('plan_block_id').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    position: integer('position').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.planBlockId, t.apparatusId),
    belongsTo([t.franchiseId, t.planBlockId], [planBlocks.franchiseId, planBlocks.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
  ],
);

export const planStations = tenantTable(
  'plan_stations',
  {
    id: id('id').notNull(),
    planBlockId: id('plan_block_id').notNull(),
    position: integer('position').notNull(),
    name: text('name').notNull(),
    /** The set-up in words. */
    setUp: text('set_up').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** How many pieces of that apparatus it takes. */
    items: integer('items').notNull(),
    /** How many are under way at once; null is as many as its drills allow. */
    places: integer('places'),
    /** The set-up seen from above. */
    diagram: jsonb('diagram').$type<StoredDiagram>(),
    /** The set-up may stay for the next block. */
    staysUp: boolean('stays_up').notNull().default(false),
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

export const JOBS = ['landing', 'raise', 'slope', 'target', 'keep-off', 'keep-back'] as const;

/** A piece of a station's set-up beside the apparatus itself; `choice` 0 is what is meant, later ones will do instead. */
export const planPieces = tenantTable(
  'plan_pieces',
  {
    stationId: id('station_id').notNull(),
    position: integer('position').notNull(),
    choice: integer('choice').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    amount: integer('amount').notNull(),
    job: text('job', { enum: JOBS }).notNull(),
    /** Put in only for those whom the set-up does not fit: a raise. */
    forMixedSizes: boolean('for_mixed_sizes').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.stationId, t.position, t.choice),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
  ],
);

export const DOSE_UNITS = ['turns', 'times', 'rounds', 'laps', 'lengths', 'counts', 'seconds', 'holds'] as const;

export const planSteps = tenantTable(
  'plan_steps',
  {
    id: id('id').notNull(),
    stationId: id('station_id').notNull(),
    position: integer('position').notNull(),
    /** What to choose by, where it has several drills to choose one of. */
    chooseBy: text('choose_by'),
    /** From this level up; null is everyone. */
    fromLevelId: id('from_level_id'),
    doseAmount: integer('dose_amount'),
    doseUnit: text('dose_unit', { enum: DOSE_UNITS }),
    doseSets: integer('dose_sets').notNull().default(1),
    doseEachSide: boolean('dose_each_side').notNull().default(false),
    /** The dose, or more about it, in words. */
    doseNote: text('dose'),
    weight: text('weight', { enum: ['core', 'extend', 'if-time'] }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    belongsTo([t.franchiseId, t.fromLevelId], [levels.franchiseId, levels.id]),
    uniqueIndex('plan_steps_position').on(t.franchiseId, t.stationId, t.position),
    check('plan_steps_dose', sql`(${t.doseAmount} IS NULL) = (${t.doseUnit} IS NULL)`),
  ],
);

/** A step's drill; several: one of them is done. */
export const planStepDrills = tenantTable(
  'plan_step_drills',
  {
    stepId: id('step_id').notNull(),
    drillId: id('drill_id').notNull(),
    position: integer('position').notNull(),
    /** What the drill asks of its spotter: written when the plan is published, and then it stays. */
    spotting: jsonb('spotting').$type<Spotting>(),
  },
  (t) => [
    key(t.franchiseId, t.stepId, t.drillId),
    belongsTo([t.franchiseId, t.stepId], [planSteps.franchiseId, planSteps.id]),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
  ],
);
