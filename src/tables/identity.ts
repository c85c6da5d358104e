import { sql } from 'drizzle-orm';
import { check, index, integer, pgTable, primaryKey, text, uniqueIndex, uuid } from 'drizzle-orm/pg-core';
import { ROLES } from '../platform/auth/permissions.ts';
import { belongsTo, bytes, createdAt, id, instant, key, revision, tenantTable } from '../platform/db/columns.ts';
import { gyms } from './gyms.ts';
import { persons } from './people.ts';

// Sign-in comes before the tenant: these five are global, and hold nothing of a franchise but its id.

export const accounts = pgTable(
  'accounts',
  {
    id: uuid('id').primaryKey(),
    email: text('email').notNull(),
    passwordHash: text('password_hash'),
    createdAt: createdAt(),
  },
  (t) => [uniqueIndex('accounts_email').on(sql`lower(${t.email})`)],
);

/** Where an account may sign in to; what it may do there is in `memberships`. */
export const accountFranchises = pgTable(
  'account_franchises',
  { accountId: id('account_id').notNull(), franchiseId: id('franchise_id').notNull() },
  (t) => [primaryKey({ columns: [t.accountId, t.franchiseId] })],
);

/** One sign-in: the family of refresh tokens that rotate from it. */
export const signIns = pgTable(
  'sign_ins',
  {
    id: uuid('id').primaryKey(),
    accountId: id('account_id')
      .notNull()
      .references(() => accounts.id),
    franchiseId: id('franchise_id').notNull(),
    createdAt: createdAt(),
    endedAt: instant('ended_at'),
    endedWhy: text('ended_why', { enum: ['signed-out', 'token-reused', 'password-changed', 'deactivated'] }),
  },
  (t) => [index('sign_ins_account').on(t.accountId)],
);

export const refreshTokens = pgTable(
  'refresh_tokens',
  {
    tokenHash: bytes('token_hash').primaryKey(),
    signInId: id('sign_in_id')
      .notNull()
      .references(() => signIns.id),
    expiresAt: instant('expires_at').notNull(),
    usedAt: instant('used_at'),
  },
  (t) => [index('refresh_tokens_sign_in').on(t.signInId)],
);

export const oneTimeLinks = pgTable(
  'one_time_links',
  {
    tokenHash: bytes('token_hash').primaryKey(),
    accountId: id('account_id')
      .notNull()
      .references(() => accounts.id),
    franchiseId: id('franchise_id').notNull(),
    purpose: text('purpose', { enum: ['invitation', 'password-reset', 'operator-reset'] }).notNull(),
    createdAt: createdAt(),
    expiresAt: instant('expires_at').notNull(),
    usedAt: instant('used_at'),
    revokedAt: instant('revoked_at'),
  },
  (t) => [index('one_time_links_account').on(t.accountId)],
);

export const franchises = tenantTable(
  'franchises',
  {
    name: text('name').notNull(),
    leapDay: text('leap_day', { enum: ['03-01', '02-28'] })
      .notNull()
      .default('03-01'),
    /** What it takes to get from any of its gyms to another. */
    travelMinutes: integer('travel_minutes').notNull().default(30),
    createdAt: createdAt(),
    revision: revision(),
  },
  (t) => [key(t.franchiseId)],
);

/** An account in a franchise. Deactivating it there leaves its other franchises alone. */
export const members = tenantTable(
  'members',
  {
    accountId: id('account_id').notNull(),
    personId: id('person_id'),
    createdAt: createdAt(),
    deactivatedAt: instant('deactivated_at'),
    revision: revision(),
  },
  (t) => [
    key(t.franchiseId, t.accountId),
    belongsTo([t.franchiseId], [franchises.franchiseId]),
    belongsTo([t.franchiseId, t.personId], [persons.franchiseId, persons.id]),
    uniqueIndex('members_person').on(t.franchiseId, t.personId),
  ],
);

/** A role, for the whole franchise (no gym) or for one gym. */
export const memberships = tenantTable(
  'memberships',
  {
    id: id('id').notNull(),
    accountId: id('account_id').notNull(),
    role: text('role', { enum: ROLES }).notNull(),
    gymId: id('gym_id'),
    createdAt: createdAt(),
  },
  (t) => [
    key(t.franchiseId, t.id),
    belongsTo([t.franchiseId, t.accountId], [members.franchiseId, members.accountId]),
    belongsTo([t.franchiseId, t.gymId], [gyms.franchiseId, gyms.id]),
    uniqueIndex('memberships_once').on(
      t.franchiseId,
      t.accountId,
      t.role,
      sql`coalesce(${t.gymId}, '00000000-0000-0000-0000-000000000000'::uuid)`,
    ),
    check('memberships_franchise_wide', sql`${t.role} NOT IN ('owner', 'programme_lead') OR ${t.gymId} IS NULL`),
  ],
);
