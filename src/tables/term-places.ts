import { index, integer, text } from 'drizzle-orm/pg-core';
import { belongsTo, day, id, instant, key, tenantTable } from '../platform/db/columns.ts';
import { members } from './identity.ts';
import { classes } from './schedule.ts';
import { terms } from './terms.ts';

/**
 * Where somebody put a class in a term by hand, and why: from `fromDay` on it is at `week`, and goes on from there. On a day
 * the one with the latest `fromDay` counts; of one day, the newest. All stay on record.
 */
export const termPlaces = tenantTable(
  'term_places',
  {
    id: id('id').notNull(),
    termId: id('term_id').notNull(),
    classId: id('class_id').notNull(),
    fromDay: day('from_day').notNull(),
    week: integer('week').notNull(),
    reason: text('reason').notNull(),
    setBy: id('set_by'),
    setAt: instant('set_at').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.termId], [terms.franchiseId, terms.id]),
    belongsTo([t.franchiseId, t.classId], [classes.franchiseId, classes.id]),
    belongsTo([t.franchiseId, t.setBy], [members.franchiseId, members.accountId]),
    index('term_places_class').on(t.franchiseId, t.termId, t.classId),
  ],
);
