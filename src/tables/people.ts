import { sql } from 'drizzle-orm';
import { boolean, check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Test } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { apparatus, gyms } from './gyms.ts';

/** Somebody: staff, athlete and guardian may be one and the same. Names, contacts and health stand apart, so that they can be erased. */
export const persons = tenantTable(
  'persons',
  { id: id('id').notNull(), createdAt: createdAt(), revision: revision() },
  (t) => [key(t.franchiseId, t.id)],
);

const personal = { personId: id('person_id').notNull() };

export const personNames = tenantTable(
  'person_names',
  { ...personal, given: text('given').notNull(), family: text('family').notNull() },
  (t) => [key(t.franchiseId, t.personId), belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id])],
);

export const personContacts = tenantTable(
  'person_contacts',
  { ...personal, email: text('email'), phone: text('phone') },
  (t) => [key(t.franchiseId, t.personId), belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id])],
);

export const personHealth = tenantTable('person_health', { ...personal, alerts: text('alerts').notNull() }, (t) => [
  key(t.franchiseId, t.personId),
  belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id]),
]);

export const staffMembers = tenantTable(
  'staff_members',
  { ...personal, born: day('born').notNull(), createdAt: createdAt(), revision: revision() },
  (t) => [key(t.franchiseId, t.personId), belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id])],
);

/** Days are half-open: `until` is the first day that is out. */
export const employments = tenantTable(
  'employments',
  {
    id: id('id').notNull(),
    ...personal,
    gymId: id('gym_id').notNull(),
    from: day('from_day').notNull(),
    until: day('until_day'),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    index('employments_gym').on(t.franchiseId, t.gymId),
    index('employments_person').on(t.franchiseId, t.personId),
    check('employments_days', sql`${t.until} IS NULL OR ${t.until} >= ${t.from}`),
  ],
);

/** What a kind of qualification is good for. What it demands of a duty or a ratio is said by rules, which name the kind. */
export const COUNTS_FOR = ['leading', 'assisting', 'spotting', 'first-aid', 'screening', 'other'] as const;

export const qualificationKinds = tenantTable(
  'qualification_kinds',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    countsFor: text('counts_for', { enum: COUNTS_FOR }).array().notNull(),
    /** The names of its grades, lowest first; grade 1 is the first. */
    grades: text('grades').array().notNull(),
    /** From this day on it counts for nothing, whoever holds it. */
    until: day('until_day'),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId, t.id), uniqueIndex('qualification_kinds_name').on(t.franchiseId, sql`lower(${t.name})`)],
);

export const qualifications = tenantTable(
  'qualifications',
  {
    id: id('id').notNull(),
    ...personal,
    kindId: id('kind_id').notNull(),
    grade: integer('grade').notNull(),
    from: day('from_day').notNull(),
    until: day('until_day'),
    evidence: text('evidence').notNull(),
    createdAt: createdAt(),
    /** Revoked: no longer held from this day on. */
    revokedFrom: day('revoked_from_day'),
    revokedWhy: text('revoked_why'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    belongsTo([t.franchiseId, t.kindId], [qualificationKinds.franchiseId, qualificationKinds.id]),
    index('qualifications_person').on(t.franchiseId, t.personId),
    check('qualifications_days', sql`${t.until} IS NULL OR ${t.until} > ${t.from}`),
  ],
);

/** Who may do a duty at all: what no cover can excuse. */
export const dutyRules = tenantTable(
  'duty_rules',
  {
    duty: text('duty', { enum: ['lead', 'assist', 'shadow', 'oversee'] }).notNull(),
    who: jsonb('who').$type<Test>().notNull(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId, t.duty)],
);

export const families = tenantTable('families', { id: id('id').notNull(), createdAt: createdAt() }, (t) => [
  key(t.franchiseId, t.id),
]);

export const athletes = tenantTable(
  'athletes',
  {
    ...personal,
    gymId: id('gym_id').notNull(),
    /** Unknown is allowed, and rules with age bands then speak. */
    born: day('born'),
    familyId: id('family_id'),
    /** A load that is not one head's, as an exact fraction: "3/2". */
    countsAs: text('counts_as').notNull().default('1'),
    createdAt: createdAt(),
    leftAt: instant('left_at'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.personId),
    belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.familyId], [families.franchiseId, families.id]),
    index('athletes_gym').on(t.franchiseId, t.gymId),
  ],
);

/** The last height that somebody took, and when. */
export const athleteStatures = tenantTable(
  'athlete_statures',
  { ...personal, cm: integer('cm').notNull(), measuredOn: day('measured_on').notNull() },
  (t) => [
    key(t.franchiseId, t.personId),
    belongsTo([t.franchiseId, t.personId], [athletes.franchiseId, athletes.personId]),
  ],
);

const ofAthlete = { id: id('id').notNull(), athleteId: id('athlete_id').notNull() };
const days = { from: day('from_day').notNull(), until: day('until_day') };

export const athleteTraits = tenantTable(
  'athlete_traits',
  { ...ofAthlete, trait: text('trait').notNull(), ...days, createdAt: createdAt() },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('athlete_traits_athlete').on(t.franchiseId, t.athleteId),
  ],
);

/** Days on which an athlete needs a one-to-one helper. */
export const athleteSupports = tenantTable(
  'athlete_supports',
  { ...ofAthlete, ...days, createdAt: createdAt() },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    index('athlete_supports_athlete').on(t.franchiseId, t.athleteId),
  ],
);

/** Who may be that helper. */
export const athleteHelpers = tenantTable(
  'athlete_helpers',
  { ...ofAthlete, helperId: id('helper_id').notNull(), ...days, createdAt: createdAt() },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.helperId], [staffMembers.franchiseId, staffMembers.personId]),
    index('athlete_helpers_athlete').on(t.franchiseId, t.athleteId),
  ],
);

export const guardianships = tenantTable(
  'guardianships',
  {
    athleteId: id('athlete_id').notNull(),
    guardianId: id('guardian_id').notNull(),
    relation: text('relation').notNull(),
    mayCollect: boolean('may_collect').notNull().default(true),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.athleteId, t.guardianId),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.guardianId], [persons.franchiseId, persons.id]),
    index('guardianships_guardian').on(t.franchiseId, t.guardianId),
  ],
);

/** Which skills somebody may spot, and how far that was watched. */
export const signOffs = tenantTable(
  'sign_offs',
  {
    id: id('id').notNull(),
    ...personal,
    skillId: id('skill_id').notNull(),
    level: text('level', { enum: ['watched', 'helped', 'alone'] }).notNull(),
    byPersonId: id('by_person_id'),
    ...days,
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
    belongsTo([t.franchiseId, t.byPersonId], [persons.franchiseId, persons.id]),
    index('sign_offs_person').on(t.franchiseId, t.personId),
  ],
);

/** Something an athlete learns, and a spotter is signed off for. */
export const skills = tenantTable(
  'skills',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
    uniqueIndex('skills_name').on(t.franchiseId, t.apparatusId, sql`lower(${t.name})`),
  ],
);
