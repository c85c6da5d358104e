import { sql } from 'drizzle-orm';
import { boolean, check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Code } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { gyms } from './gyms.ts';
import { staffMembers } from './people.ts';
import { blocks, sessions } from './schedule.ts';
import type { StoredRule } from './stored-rule.ts';

/** A staff member at a block, over a session (oversee), or on the premises (a floater). Released, never overwritten. */
export const assignments = tenantTable(
  'assignments',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    personId: id('person_id').notNull(),
    per: text('per', { enum: ['block', 'session', 'premises'] }).notNull(),
    blockId: id('block_id'),
    sessionId: id('session_id'),
    duty: text('duty', { enum: ['lead', 'assist', 'shadow', 'oversee'] }).notNull(),
    day: day('day').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by'),
    releasedAt: instant('released_at'),
    releasedBy: id('released_by'),
    releasedWhy: text('released_why'),
    releasedByAbsenceId: id('released_by_absence_id'),
    /** The place that this one stands in for, given up by an absence. */
    replacesId: id('replaces_id'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    belongsTo([t.franchiseId, t.sessionId], [sessions.franchiseId, sessions.id]),
    index('assignments_day').on(t.franchiseId, t.gymId, t.day),
    index('assignments_person').on(t.franchiseId, t.personId, t.startsAt),
    index('assignments_block').on(t.franchiseId, t.blockId),
    uniqueIndex('assignments_replaced_once').on(t.franchiseId, t.replacesId).where(sql`released_at IS NULL`),
    check('assignments_span', sql`${t.endsAt} > ${t.startsAt}`),
    check(
      'assignments_place',
      sql`(${t.per} = 'block') = (${t.blockId} IS NOT NULL) AND (${t.per} = 'session') = (${t.sessionId} IS NOT NULL)`,
    ),
    check('assignments_oversee', sql`(${t.per} = 'session') = (${t.duty} = 'oversee')`),
  ],
);

/** A finding accepted by name, with a reason. */
export const overrides = tenantTable(
  'overrides',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    per: text('per', { enum: ['block', 'session', 'premises'] }).notNull(),
    unitId: id('unit_id').notNull(),
    day: day('day').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    code: text('code').$type<Code>().notNull(),
    ruleId: id('rule_id'),
    subjects: jsonb('subjects').$type<string[]>().notNull(),
    /** The largest shortfall accepted, as an exact fraction. */
    short: text('short').notNull(),
    reason: text('reason').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by').notNull(),
    withdrawnAt: instant('withdrawn_at'),
    withdrawnBy: id('withdrawn_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    index('overrides_day').on(t.franchiseId, t.gymId, t.day),
  ],
);

/** Somebody on the staff who cannot come. */
export const absences = tenantTable(
  'absences',
  {
    id: id('id').notNull(),
    personId: id('person_id').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by'),
    withdrawnAt: instant('withdrawn_at'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    index('absences_person').on(t.franchiseId, t.personId, t.startsAt),
    check('absences_span', sql`${t.endsAt} > ${t.startsAt}`),
  ],
);

/** A ratio rule, one row a version; a version is immutable, and in force from its day until the next version's. */
export const ratioRules = tenantTable(
  'ratio_rules',
  {
    id: id('id').notNull(),
    version: integer('version').notNull(),
    /** Null: the franchise's. */
    gymId: id('gym_id'),
    name: text('name').notNull(),
    body: jsonb('body').$type<StoredRule>().notNull(),
    from: day('from_day').notNull(),
    until: day('until_day'),
    /** The rule ends with this version: from its day on there is none. */
    retired: boolean('retired').notNull().default(false),
    createdAt: createdAt(),
    createdBy: id('created_by'),
  },
  (t) => [
    key(t.franchiseId, t.id, t.version),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    index('ratio_rules_gym').on(t.franchiseId, t.gymId),
  ],
);

/** Locked first by every change that cover depends on: shared by choices and dated facts, alone by all other facts. */
export const coverHeads = tenantTable('cover_heads', { revision: revision() }, (t) => [key(t.franchiseId)]);

/** One gym's one day: locked by every change to anything in it. */
export const gymDays = tenantTable(
  'gym_days',
  { gymId: id('gym_id').notNull(), day: day('day').notNull(), revision: revision() },
  (t) => [key(t.franchiseId, t.gymId, t.day), belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id])],
);
