import { type BuildExtraConfigColumns, sql } from 'drizzle-orm';
import {
  type AnyPgColumn,
  customType,
  date,
  foreignKey,
  integer,
  type PgColumnBuilderBase,
  type PgTableExtraConfigValue,
  pgPolicy,
  pgTable,
  primaryKey,
  timestamp,
  uuid,
} from 'drizzle-orm/pg-core';

/** A UUID column. */
export const id = (name: string) => uuid(name);
/** A moment, stored with its zone resolved; read as a Date. */
export const instant = (name: string) => timestamp(name, { withTimezone: true, mode: 'date' });
/** A calendar day in the gym's zone, as an ISO date. */
export const day = (name: string) => date(name, { mode: 'string' });
/** Counts the writes to a row: its ETag, and the order of its events. */
export const revision = () => integer('revision').notNull().default(1);
export const createdAt = () => instant('created_at').notNull().defaultNow();

/** Binary kept as it is. */
export const bytes = customType<{ data: Buffer }>({ dataType: () => 'bytea' });

const tenantColumns = () => ({ franchiseId: uuid('franchise_id').notNull() });
type TenantColumns = ReturnType<typeof tenantColumns>;

const ofThisTenant = sql`franchise_id = nullif(current_setting('app.franchise_id', true), '')::uuid`;

/**
 * A table whose rows belong to one franchise: the franchise column comes first, the row policy shows only the franchise
 * that the transaction was told (none told: no rows). `extra` names the primary key with `key(t.franchiseId, …)` and
 * whatever else the table needs.
 */
export const tenantTable = <N extends string, C extends Record<string, PgColumnBuilderBase>>(
  name: N,
  columns: C,
  extra: (t: BuildExtraConfigColumns<N, TenantColumns & C, 'pg'>) => PgTableExtraConfigValue[],
) =>
  pgTable(name, { ...tenantColumns(), ...columns } as TenantColumns & C, (t) => [
    pgPolicy('of_this_tenant', { for: 'all', using: ofThisTenant, withCheck: ofThisTenant }),
    ...extra(t),
  ]);

/** The primary key of a tenant table; begins with the franchise. */
export const key = (first: AnyPgColumn, ...rest: AnyPgColumn[]) => primaryKey({ columns: [first, ...rest] });

/** A reference that cannot cross tenants: both sides carry the franchise. */
export const belongsTo = (columns: [AnyPgColumn, ...AnyPgColumn[]], to: [AnyPgColumn, ...AnyPgColumn[]]) =>
  foreignKey({ columns, foreignColumns: to });
