import { sql } from 'drizzle-orm';
import { check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import { belongsTo, createdAt, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { apparatus } from './gyms.ts';
import { qualificationKinds, skills } from './people.ts';
import type { StoredDiagram } from './stored-diagram.ts';

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

/** The rungs of a height ladder, lowest first. */
export const HEIGHTS = ['floor', 'low', 'full'] as const;

/** What a size has to match on a body; all but stature are reckoned from it. */
export const BODY_MEASURES = ['stature', 'chin', 'shoulder', 'hip'] as const;

/** One thing to look at: when, how it should be, how it goes wrong, and what to say then. */
export interface LookFor {
  phase: string;
  right: string;
  wrong: string;
  say: string;
}

export const drills = tenantTable(
  'drills',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** What the coach says before anybody moves. */
    sayFirst: text('say_first').notNull(),
    /** What everybody does when it goes wrong. */
    ifItGoesWrong: text('if_it_goes_wrong').notNull().default(''),
    lookFors: jsonb('look_fors').$type<LookFor[]>().notNull().default([]),
    spottingMode: text('spotting_mode', { enum: SPOTTING_MODES }).notNull(),
    spottingKindId: id('spotting_kind_id'),
    spottingGrade: integer('spotting_grade'),
    /** One turn, with the way back. */
    secondsATurn: integer('seconds_a_turn').notNull(),
    /** How many are on their turn at once at one set-up: side by side, or under way one after another. */
    places: integer('places').notNull(),
    placesAre: text('places_are', { enum: ['side-by-side', 'under-way'] })
      .notNull()
      .default('side-by-side'),
    /** Which rung of a height ladder it is; null is on none. */
    height: text('height', { enum: HEIGHTS }),
    /** The franchise's own demonstration, elsewhere. */
    demonstration: text('demonstration'),
    diagram: jsonb('diagram').$type<StoredDiagram>(),
    /** Retired: out of the library, though what was planned with it still names it. */
    retiredAt: instant('retired_at'),
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
    index('drill_skills_skill').on(t.franchiseId, t.skillId),
  ],
);

/** The levels of a programme that a drill is for, both ends included. A drill without any is for everyone. */
export const drillLevels = tenantTable(
  'drill_levels',
  {
    drillId: id('drill_id').notNull(),
    programmeId: id('programme_id').notNull(),
    fromLevelId: id('from_level_id').notNull(),
    toLevelId: id('to_level_id').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.drillId, t.programmeId),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.programmeId], [programmes.franchiseId, programmes.id]),
    belongsTo([t.franchiseId, t.fromLevelId], [levels.franchiseId, levels.id]),
    belongsTo([t.franchiseId, t.toLevelId], [levels.franchiseId, levels.id]),
  ],
);

/** What a drill needs beside the apparatus it is done on, in the order of `position`. */
export const drillEquipment = tenantTable(
  'drill_equipment',
  {
    drillId: id('drill_id').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    position: integer('position').notNull(),
    amount: integer('amount').notNull(),
    /** The measure of the body that the piece's height has to match; null is whatever size. */
    fitsMeasure: text('fits_measure', { enum: BODY_MEASURES }),
    /** How much lower, and how much higher, than that measure will still do. */
    lowerByCm: integer('lower_by_cm'),
    higherByCm: integer('higher_by_cm'),
    /** What bridges the rest: laid under the piece, or under the child. */
    raiseId: id('raise_id'),
    raiseUnder: text('raise_under', { enum: ['piece', 'child'] }),
  },
  (t) => [
    key(t.franchiseId, t.drillId, t.apparatusId),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
    belongsTo([t.franchiseId, t.raiseId], [apparatus.franchiseId, apparatus.id]),
    check('drill_equipment_fit', sql`num_nulls(${t.fitsMeasure}, ${t.lowerByCm}, ${t.higherByCm}) IN (0, 3)`),
    check('drill_equipment_raise', sql`num_nulls(${t.raiseId}, ${t.raiseUnder}) IN (0, 2)`),
  ],
);

/** A step in difficulty, or the same thing a rung higher. */
export const PROGRESSION_KINDS = ['skill', 'height'] as const;

/** The easier drill leads to the harder one; there is no way round in a circle. */
export const progressions = tenantTable(
  'progressions',
  {
    easierId: id('easier_id').notNull(),
    harderId: id('harder_id').notNull(),
    kind: text('kind', { enum: PROGRESSION_KINDS }).notNull().default('skill'),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.easierId, t.harderId),
    belongsTo([t.franchiseId, t.easierId], [drills.franchiseId, drills.id]),
    belongsTo([t.franchiseId, t.harderId], [drills.franchiseId, drills.id]),
    index('progressions_harder').on(t.franchiseId, t.harderId),
  ],
);
