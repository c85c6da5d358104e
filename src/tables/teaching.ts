import { sql } from 'drizzle-orm';
import { check, index, integer, jsonb, text, uniqueIndex } from 'drizzle-orm/pg-core';
import type { Spotting } from '../cover/types.ts';
import { belongsTo, createdAt, day, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { drills, levels } from './curriculum.ts';
import { gyms } from './gyms.ts';
import { athletes, skills, staffMembers } from './people.ts';
import { planStations } from './plans.ts';
import { blocks } from './schedule.ts';

export const ADAPTED_FOR = ['gym', 'class', 'session', 'block'] as const;

/**
 * A plan's station taught otherwise, at a gym, in a class, a session or one block: who, and why. One of a kind stands for
 * each, a step and a piece. Another drill also has a row a block in `block_step_downs`, which is what cover reads. Taken
 * back, never overwritten.
 */
export const adaptations = tenantTable(
  'adaptations',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    per: text('per', { enum: ADAPTED_FOR }).notNull(),
    /** The gym, class, session or block. */
    unitId: id('unit_id').notNull(),
    stationId: id('station_id').notNull(),
    kind: text('kind', { enum: ['drill', 'drop-step', 'set-up'] }).notNull(),
    direction: text('direction', { enum: ['easier', 'harder'] }),
    drillId: id('drill_id'),
    /** What the station asks of its spotter with that drill, as the drills were on that day. */
    spotting: jsonb('spotting').$type<Spotting>(),
    /** The step that is dropped, counted from 1. */
    step: integer('step'),
    /** The piece of the set-up, and which of its choices is used instead, both counted from 1. */
    piece: integer('piece'),
    choice: integer('choice'),
    reason: text('reason').notNull(),
    createdAt: createdAt(),
    createdBy: id('created_by'),
    undoneAt: instant('undone_at'),
    undoneBy: id('undone_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    belongsTo([t.franchiseId, t.drillId], [drills.franchiseId, drills.id]),
    index('adaptations_gym').on(t.franchiseId, t.gymId, t.id),
    index('adaptations_station').on(t.franchiseId, t.stationId),
    uniqueIndex('adaptations_one')
      .on(t.franchiseId, t.per, t.unitId, t.stationId, t.kind, sql`coalesce(${t.step}, ${t.piece}, 0)`)
      .where(sql`undone_at IS NULL`),
  ],
);

export const ANSWERS = ['worked', 'too-hard', 'too-easy', 'no-kit', 'unsure'] as const;

/** How a station went, in one tap and a line: one a coach, block and station; the newest tap counts. */
export const stationFeedback = tenantTable(
  'station_feedback',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    blockId: id('block_id').notNull(),
    stationId: id('station_id').notNull(),
    answer: text('answer', { enum: ANSWERS }).notNull(),
    line: text('line'),
    answeredAt: instant('answered_at').notNull(),
    answeredBy: id('answered_by').notNull(),
    reply: text('reply'),
    repliedAt: instant('replied_at'),
    repliedBy: id('replied_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    uniqueIndex('station_feedback_one').on(t.franchiseId, t.blockId, t.stationId, t.answeredBy),
    index('station_feedback_station').on(t.franchiseId, t.stationId),
  ],
);

/** "Please pair me": somebody asks to be watched at a skill, and only those who plan see it. */
export const pairRequests = tenantTable(
  'pair_requests',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    personId: id('person_id').notNull(),
    skillId: id('skill_id').notNull(),
    note: text('note'),
    askedAt: instant('asked_at').notNull(),
    settledAt: instant('settled_at'),
    settledBy: id('settled_by'),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.personId], [staffMembers.franchiseId, staffMembers.personId]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
    uniqueIndex('pair_requests_open').on(t.franchiseId, t.gymId, t.personId, t.skillId).where(sql`settled_at IS NULL`),
  ],
);

export const OUTCOMES = ['done', 'skipped', 'adapted'] as const;

/** What became of a station of a block. */
export const taughtStations = tenantTable(
  'taught_stations',
  {
    blockId: id('block_id').notNull(),
    stationId: id('station_id').notNull(),
    outcome: text('outcome', { enum: OUTCOMES }).notNull(),
    why: text('why'),
    tickedAt: instant('ticked_at').notNull(),
    tickedBy: id('ticked_by'),
  },
  (t) => [
    key(t.franchiseId, t.blockId, t.stationId),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    belongsTo([t.franchiseId, t.stationId], [planStations.franchiseId, planStations.id]),
    check('taught_stations_why', sql`${t.outcome} NOT IN ('skipped', 'adapted') OR ${t.why} IS NOT NULL`),
  ],
);

/** How far somebody is with a skill, least first. */
export const SHOWN = ['working', 'with-help', 'alone', 'steady'] as const;

/** A skill as an athlete showed it in one block. */
export const skillsShown = tenantTable(
  'skills_shown',
  {
    gymId: id('gym_id').notNull(),
    athleteId: id('athlete_id').notNull(),
    skillId: id('skill_id').notNull(),
    blockId: id('block_id').notNull(),
    day: day('day').notNull(),
    how: text('how', { enum: SHOWN }).notNull(),
    seenAt: instant('seen_at').notNull(),
    seenBy: id('seen_by'),
  },
  (t) => [
    key(t.franchiseId, t.athleteId, t.skillId, t.blockId),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
    belongsTo([t.franchiseId, t.blockId], [blocks.franchiseId, blocks.id]),
    index('skills_shown_block').on(t.franchiseId, t.blockId),
  ],
);

/** What it takes to move up from a level: these skills, on so many days, and who signs. */
export const levelCriteria = tenantTable(
  'level_criteria',
  {
    levelId: id('level_id').notNull(),
    onDays: integer('on_days').notNull(),
    signedBy: text('signed_by', { enum: ['gym', 'franchise'] }).notNull(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.levelId),
    belongsTo([t.franchiseId, t.levelId], [levels.franchiseId, levels.id]),
    check('level_criteria_days', sql`${t.onDays} BETWEEN 1 AND 10`),
  ],
);

export const levelCriterionSkills = tenantTable(
  'level_criterion_skills',
  { levelId: id('level_id').notNull(), skillId: id('skill_id').notNull() },
  (t) => [
    key(t.franchiseId, t.levelId, t.skillId),
    belongsTo([t.franchiseId, t.levelId], [levelCriteria.franchiseId, levelCriteria.levelId]),
    belongsTo([t.franchiseId, t.skillId], [skills.franchiseId, skills.id]),
  ],
);

/** Signed: somebody has what it takes to move up from a level. */
export const levelMoves = tenantTable(
  'level_moves',
  {
    athleteId: id('athlete_id').notNull(),
    levelId: id('level_id').notNull(),
    gymId: id('gym_id').notNull(),
    signedAt: instant('signed_at').notNull(),
    signedBy: id('signed_by'),
  },
  (t) => [
    key(t.franchiseId, t.athleteId, t.levelId),
    belongsTo([t.franchiseId, t.athleteId], [athletes.franchiseId, athletes.personId]),
    belongsTo([t.franchiseId, t.levelId], [levels.franchiseId, levels.id]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
  ],
);
