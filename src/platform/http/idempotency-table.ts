import { index } from 'drizzle-orm/pg-core';
import { bytes, day, id, key, tenantTable } from '../db/columns.ts';

/** What was answered to a POST, so that a retry after a lost answer is not a second change. Sealed with the client's key. */
export const idempotencyKeys = tenantTable(
  'idempotency_keys',
  {
    accountId: id('account_id').notNull(),
    keyHash: bytes('key_hash').notNull(),
    fingerprint: bytes('fingerprint').notNull(),
    answer: bytes('answer'),
    usedOn: day('used_on').notNull(),
  },
  (t) => [key(t.franchiseId, t.accountId, t.keyHash), index('idempotency_keys_age').on(t.franchiseId, t.usedOn)],
);
