import { jsonb } from 'drizzle-orm/pg-core';
import { key, revision, tenantTable } from '../platform/db/columns.ts';

/** What a franchise measures its plans by, where it said so: one row, or none. */
export const curriculumSettings = tenantTable(
  'curriculum_settings',
  {
    /** Read through the schema that it was written through. */
    limits: jsonb('limits').$type<Record<string, unknown>>().notNull(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId)],
);
