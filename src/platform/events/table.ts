import { index, integer, jsonb, text } from 'drizzle-orm/pg-core';
import { id, instant, key, tenantTable } from '../db/columns.ts';

/** What happened: audit, integrators and boards read it. Written beside the change, in its transaction; never changed. */
export const events = tenantTable(
  'events',
  {
    id: id('id').notNull(),
    name: text('name').notNull(),
    gymId: id('gym_id'),
    subjectId: id('subject_id').notNull(),
    /** Of the row it is about, where that row counts its writes: the order of its events. */
    subjectRevision: integer('subject_revision'),
    data: jsonb('data').$type<Record<string, unknown>>().notNull(),
    accountId: id('account_id'),
    requestId: text('request_id').notNull(),
    at: instant('at').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    index('events_subject').on(t.franchiseId, t.subjectId),
    index('events_gym').on(t.franchiseId, t.gymId, t.id),
  ],
);
