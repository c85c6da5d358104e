import { sql } from 'drizzle-orm';
import { check, index, integer, text } from 'drizzle-orm/pg-core';
import { belongsTo, createdAt, day, id, key, revision, tenantTable } from '../platform/db/columns.ts';
import { programmes } from './curriculum.ts';
import { skills } from './people.ts';
import { lessonPlans } from './plans.ts';

/** A programme's sequence of weeks. A class goes through it at its own pace. */
export const terms = tenantTable(
  'terms',
  {
    id: id('id').notNull(),
    programmeId: id('programme_id').notNull(),
    title: text('title').notNull(),
    /** The Monday of its first week. */
    startsOn: day('starts_on').notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.programmeId], [programmes.franchiseId, programmes.id]),
    index('terms_programme').on(t.franchiseId, t.programmeId),
  ],
);

export const termWeeks = tenantTable(
  'term_weeks',
  {
    termId: id('term_id').notNull(),
    /** 1 is the first. */
    number: integer('number').notNull(),
    planId: id('plan_id'),
    note: text('note').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.termId, t.number),
    belongsTo([t.franchiseId, t.termId], [terms.franchiseId, terms.id]),
    belongsTo([t.franchiseId, t.planId], [lessonPlans.franchiseId, lessonPlans.id]),
    check('term_weeks_number', sql`${t.number} >= 1`),
  ],
);

export const TERM_STANDINGS = ['new', 'continuing', 'revise', 'test'] as const;

export const termSkills = tenantTable(
  'term_skills',
  {
    termId: id('term_id').notNull(),
    number: integer('number').notNull(),
    skillId: id('skill_id').notNull(),
    standing: text('standing', { enum: TERM_STANDINGS }).notNull(),
  },
  (t) => [
    key(t.franchiseId, t.termId, t.number, t.skillId),
    belongsTo([t.franchiseId, t.termId, t.number], [termWeeks.franchiseId, termWeeks.termId, termWeeks.number]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
  ],
);
