import { getTableName, is } from 'drizzle-orm';
import { PgTable } from 'drizzle-orm/pg-core';
import type pg from 'pg';
import { afterAll, beforeAll, describe, expect, inject, test } from 'vitest';
import { newId } from '../src/platform/ids.ts';
import * as tables from '../src/tables/index.ts';
import { openTestDatabase, type TestDatabase } from './support/database.ts';
import { aRowOfEveryTable, type Row } from './support/rows.ts';

/** Sign-in comes before the tenant: these are global, and hold nothing of a franchise but its id. */
const GLOBAL = ['accounts', 'account_franchises', 'one_time_links', 'refresh_tokens', 'sign_ins'];

const tenantTables = Object.values(tables)
  .filter((table) => is(table, PgTable))
  .map((table) => getTableName(table))
  .filter((name) => !GLOBAL.includes(name))
  .sort();

let database: TestDatabase;
const ours = newId();
const theirs = newId();
let rows: { ours: Map<string, Row>; theirs: Map<string, Row> };
beforeAll(async () => {
  database = await openTestDatabase();
  rows = {
    ours: await aRowOfEveryTable(database.ownerPool, tenantTables, ours),
    theirs: await aRowOfEveryTable(database.ownerPool, tenantTables, theirs),
  };
});
afterAll(() => database.close());

async function ask<T extends pg.QueryResultRow>(text: string, values: unknown[] = []): Promise<T[]> {
  return (await database.ownerPool.query<T>(text, values)).rows;
}

describe('the catalogue', () => {
  test('has the tables that the source names, and no other', async () => {
    const found = await ask<{ name: string }>(
      `SELECT relname AS name FROM pg_class WHERE relkind IN ('r', 'p', 'v', 'm', 'f') AND relnamespace = 'public'::regnamespace`,
    );
    expect(found.map(({ name }) => name).sort()).toEqual([...tenantTables, ...GLOBAL].sort());
  });

  test.each(tenantTables)(
    '%s is kept apart by forced row security, with one policy on reading and writing',
    async (table) => {
      const [security] = await ask(
        `SELECT c.relrowsecurity AS on, c.relforcerowsecurity AS forced,
         (SELECT json_agg(json_build_object('command', p.polcmd, 'permissive', p.polpermissive, 'roles', p.polroles::int[],
            'using', pg_get_expr(p.polqual, p.polrelid), 'check', pg_get_expr(p.polwithcheck, p.polrelid)))
          FROM pg_policy p WHERE p.polrelid = c.oid) AS policies
       FROM pg_class c WHERE c.oid = $1::regclass`,
        [table],
      );
      const tenant = `(franchise_id = (NULLIF(current_setting('app.franchise_id'::text, true), ''::text))::uuid)`;
      expect(security).toEqual({
        on: true,
        forced: true,
        policies: [{ command: '*', permissive: true, roles: [0], using: tenant, check: tenant }],
      });
    },
  );

  test.each(tenantTables)(
    '%s has a key that begins with the franchise, and the franchise in all that is unique',
    async (table) => {
      const indexes = await ask<{ name: string; primary: boolean; columns: string[] }>(
        `SELECT i.indexrelid::regclass::text AS name, i.indisprimary AS primary,
         array(SELECT a.attname::text FROM unnest(i.indkey) WITH ORDINALITY k (attnum, place)
               JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = k.attnum ORDER BY k.place) AS columns
       FROM pg_index i WHERE i.indrelid = $1::regclass AND (i.indisunique OR i.indisexclusion)`,
        [table],
      );
      expect(indexes.find(({ primary }) => primary)?.columns[0]).toBe('franchise_id');
      expect(indexes.filter(({ columns }) => !columns.includes('franchise_id'))).toEqual([]);
    },
  );

  const referencesOf = (table: string) =>
    ask<{ name: string; table: string; from: string[]; to: string[] }>(
      `SELECT conname AS name, confrelid::regclass::text AS table,
         array(SELECT a.attname::text FROM unnest(conkey) WITH ORDINALITY k (attnum, place)
               JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = k.attnum ORDER BY k.place) AS from,
         array(SELECT a.attname::text FROM unnest(confkey) WITH ORDINALITY k (attnum, place)
               JOIN pg_attribute a ON a.attrelid = confrelid AND a.attnum = k.attnum ORDER BY k.place) AS to
       FROM pg_constraint WHERE contype = 'f' AND conrelid = $1::regclass`,
      [table],
    );

  test.each(tenantTables)('%s refers to nothing across franchises', async (table) => {
    const loose = (await referencesOf(table)).filter(
      ({ from, to }) =>
        from.indexOf('franchise_id') === -1 || from.indexOf('franchise_id') !== to.indexOf('franchise_id'),
    );
    expect(loose).toEqual([]);
  });

  // Who goes with a group is at its session, and at no other: live cover reads a group's blocks by the group alone.
  test.each(['attendance', 'blocks', 'group_members'])('%s refers to a group of its own session', async (table) => {
    const toGroups = (await referencesOf(table)).filter((one) => one.table === 'groups');
    expect(toGroups.map(({ from, to }) => [from, to])).toEqual([
      [
        ['franchise_id', 'session_id', 'group_id'],
        ['franchise_id', 'session_id', 'id'],
      ],
    ]);
  });

  test('lets an exclusion compare franchises by equality alone', async () => {
    const exclusions = await ask<{ name: string; operator: string | null }>(
      `SELECT conname AS name,
         (SELECT o.oprname FROM unnest(conkey, conexclop) k (attnum, operator)
          JOIN pg_attribute a ON a.attrelid = conrelid AND a.attnum = k.attnum JOIN pg_operator o ON o.oid = k.operator
          WHERE a.attname = 'franchise_id') AS operator
       FROM pg_constraint WHERE contype = 'x'`,
    );
    expect(exclusions.map(({ name }) => name)).toEqual(
      expect.arrayContaining(['assignments_one_place', 'group_members_one_place']),
    );
    expect(exclusions.filter(({ operator }) => operator !== '=')).toEqual([]);
  });

  test('gives the service a role that owns nothing and passes no row security by', async () => {
    const [role] = await ask(
      `SELECT rolsuper, rolbypassrls, rolcreaterole, rolcreatedb, rolreplication,
         (SELECT count(*)::int FROM pg_class WHERE relowner = r.oid) AS owned,
         (SELECT count(*)::int FROM pg_proc WHERE proowner = r.oid) AS functions,
         has_schema_privilege(oid, 'public', 'CREATE') AS may_create,
         array(SELECT roleid::regrole::text FROM pg_auth_members WHERE member = r.oid) AS member_of
       FROM pg_roles r WHERE rolname = 'matside_service'`,
    );
    expect(role).toEqual({
      rolsuper: false,
      rolbypassrls: false,
      rolcreaterole: false,
      rolcreatedb: false,
      rolreplication: false,
      owned: 0,
      functions: 0,
      may_create: false,
      member_of: [],
    });
  });

  test('has these tests sign in as a member of that role alone', async () => {
    const { rows: me } = await database.servicePool.query(
      `SELECT current_user AS me, rolsuper OR rolbypassrls AS bypasses,
         array(SELECT roleid::regrole::text FROM pg_auth_members WHERE member = r.oid) AS member_of
       FROM pg_roles r WHERE rolname = current_user`,
    );
    expect(me).toEqual([{ me: inject('postgres').serviceUser, bypasses: false, member_of: ['matside_service'] }]);
  });
});

/** What the database says to one statement of the service, in a transaction that is rolled back. */
async function asService(franchiseId: string | null, text: string, values: unknown[] = []): Promise<unknown> {
  const client = await database.servicePool.connect();
  try {
    await client.query('BEGIN');
    if (franchiseId !== null) await client.query(`SET LOCAL app.franchise_id = '${franchiseId}'`);
    const { rowCount } = await client.query(text, values);
    return rowCount;
  } catch (error) {
    if (error instanceof Error) return error.message;
    throw error;
  } finally {
    await client.query('ROLLBACK');
    client.release();
  }
}

const BY_POLICY = /^new row violates row-level security policy/;
/** Nothing is touched, or the service may not touch such rows at all. */
const NOTHING = expect.toSatisfy(
  (said: unknown) => said === 0 || /^permission denied for table/.test(String(said)),
  'nothing touched',
);

describe.each(tenantTables)('%s', (table) => {
  const copy = (row: Row | undefined) => [JSON.stringify(row)] as const;
  const insert = `INSERT INTO ${table} SELECT * FROM json_populate_record(NULL::${table}, $1::json)`;

  test('shows a franchise its own rows, and no other’s', async () => {
    expect(await asService(ours, `SELECT FROM ${table}`)).toBe(1);
    expect(await asService(ours, `SELECT FROM ${table} WHERE franchise_id = $1`, [theirs])).toBe(0);
  });

  test('takes no row for another franchise', async () => {
    expect(await asService(ours, insert, [...copy(rows.theirs.get(table))])).toMatch(BY_POLICY);
  });

  test('lets no row of another franchise be changed or removed', async () => {
    expect(
      await asService(ours, `UPDATE ${table} SET franchise_id = franchise_id WHERE franchise_id = $1`, [theirs]),
    ).toEqual(NOTHING);
    expect(await asService(ours, `DELETE FROM ${table} WHERE franchise_id = $1`, [theirs])).toEqual(NOTHING);
  });

  test('lets no row be handed over', async () => {
    const said = await asService(ours, `UPDATE ${table} SET franchise_id = $1`, [theirs]);
    expect(said).toMatch(/^new row violates row-level security policy|^permission denied for table/);
  });

  test.each([
    ['no franchise', null],
    ['a franchise that there is none of', newId()],
  ])('shows and takes nothing while the transaction has been told of %s', async (_, franchiseId) => {
    expect(await asService(franchiseId, `SELECT FROM ${table}`)).toBe(0);
    expect(await asService(franchiseId, `UPDATE ${table} SET franchise_id = franchise_id`)).toEqual(NOTHING);
    expect(await asService(franchiseId, `DELETE FROM ${table}`)).toEqual(NOTHING);
    expect(await asService(franchiseId, insert, [...copy(rows.theirs.get(table))])).toMatch(BY_POLICY);
  });
});

test('what franchise a transaction was told does not outlive it', async () => {
  const client = await database.servicePool.connect();
  try {
    await client.query('BEGIN');
    await client.query(`SET LOCAL app.franchise_id = '${ours}'`);
    await client.query('COMMIT');
    expect((await client.query('SELECT FROM gyms')).rowCount).toBe(0);
  } finally {
    client.release();
  }
});

test.each([
  'SET row_security = off',
  'ALTER TABLE gyms DISABLE ROW LEVEL SECURITY',
  'DROP POLICY of_this_tenant ON gyms',
  'TRUNCATE gyms',
])('the service cannot get round it: %s', async (statement) => {
  const client = await database.servicePool.connect();
  try {
    await client.query('BEGIN');
    await expect(client.query(statement).then(() => client.query('SELECT FROM gyms'))).rejects.toThrow(
      /must be owner|permission denied|row-level security/,
    );
  } finally {
    await client.query('ROLLBACK');
    client.release();
  }
});
