import { sql } from 'drizzle-orm';
import { boolean, check, integer, text, uniqueIndex } from 'drizzle-orm/pg-core';
import { belongsTo, createdAt, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';

/** What a check-in over a limit meets: admitted with an alert, or put on hold until somebody lets the child in. */
export const DOORS = ['admit', 'hold'] as const;

export const gyms = tenantTable(
  'gyms',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    zone: text('zone').notNull(),
    /** Blocks nearer than this many days are confirmed by the sweep once they are covered. */
    confirmWindowDays: integer('confirm_window_days').notNull().default(7),
    door: text('door', { enum: DOORS }).notNull().default('admit'),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId, t.id), check('gyms_window', sql`${t.confirmWindowDays} BETWEEN 0 AND 60`)],
);

/** A kind of apparatus or equipment, shared by the franchise: floor, vault, bars, beam; a wedge, a barrel of one size. */
export const apparatus = tenantTable(
  'apparatus',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    /** What a drill on it takes a turn, with the way back, where nobody says otherwise. */
    secondsATurn: integer('seconds_a_turn').notNull().default(20),
    /** The size of one, as it stands in use, in whole centimetres; null where nobody has measured. */
    lengthCm: integer('length_cm'),
    widthCm: integer('width_cm'),
    heightCm: integer('height_cm'),
    /** What is done on it hangs or leans on the arms: plans keep such blocks apart. */
    armHeavy: boolean('arm_heavy').notNull().default(false),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId, t.id), uniqueIndex('apparatus_name').on(t.franchiseId, sql`lower(${t.name})`)],
);

/** A part of a gym's hall. */
export const areas = tenantTable(
  'areas',
  {
    id: id('id').notNull(),
    gymId: id('gym_id').notNull(),
    name: text('name').notNull(),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    uniqueIndex('areas_name').on(t.franchiseId, t.gymId, sql`lower(${t.name})`),
  ],
);

export const areaApparatus = tenantTable(
  'area_apparatus',
  {
    areaId: id('area_id').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    /** How many of it stand there. */
    items: integer('items').notNull().default(1),
  },
  (t) => [
    key(t.franchiseId, t.areaId, t.apparatusId),
    belongsTo([t.franchiseId, t.areaId], [areas.franchiseId, areas.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
  ],
);

/** How many of what stands in an area may not be used for the time being: they leave the gym's stock. */
export const outOfUse = tenantTable(
  'out_of_use',
  {
    areaId: id('area_id').notNull(),
    apparatusId: id('apparatus_id').notNull(),
    items: integer('items').notNull(),
    why: text('why').notNull(),
    since: instant('since').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.areaId, t.apparatusId),
    belongsTo([t.franchiseId, t.areaId], [areas.franchiseId, areas.id]),
    belongsTo([t.franchiseId, t.apparatusId], [apparatus.franchiseId, apparatus.id]),
  ],
);
