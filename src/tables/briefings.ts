import { index, text } from 'drizzle-orm/pg-core';
import { belongsTo, createdAt, id, instant, key, tenantTable } from '../platform/db/columns.ts';
import { members } from './identity.ts';
import { planVersions } from './plans.ts';

/** Who has seen a published version's briefing, and when first. */
export const briefingReaders = tenantTable(
  'briefing_readers',
  {
    planVersionId: id('plan_version_id').notNull(),
    accountId: id('account_id').notNull(),
    seenAt: instant('seen_at').notNull(),
  },
  (t) => [
    key(t.franchiseId, t.planVersionId, t.accountId),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    belongsTo([t.franchiseId, t.accountId], [members.franchiseId, members.accountId]),
  ],
);

/** A question about a published version, and its answer once there is one. */
export const briefingQuestions = tenantTable(
  'briefing_questions',
  {
    id: id('id').notNull(),
    planVersionId: id('plan_version_id').notNull(),
    askedBy: id('asked_by').notNull(),
    askedAt: instant('asked_at').notNull(),
    question: text('question').notNull(),
    answeredBy: id('answered_by'),
    answeredAt: instant('answered_at'),
    answer: text('answer'),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.planVersionId], [planVersions.franchiseId, planVersions.id]),
    belongsTo([t.franchiseId, t.askedBy], [members.franchiseId, members.accountId]),
    belongsTo([t.franchiseId, t.answeredBy], [members.franchiseId, members.accountId]),
    index('briefing_questions_version').on(t.franchiseId, t.planVersionId),
  ],
);
