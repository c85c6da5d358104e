import { randomBytes } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type Config, readConfig } from '../src/config.ts';
import { openDatabase } from '../src/platform/db/open.ts';
import { createLog } from '../src/platform/log.ts';
import { openTestDatabase, type TestDatabase } from './support/database.ts';

let database: TestDatabase;
let name: string;
beforeEach(async () => {
  database = await openTestDatabase();
  name = `matside_test_${randomBytes(6).toString('hex')}`;
});
afterEach(async () => {
  const { rowCount } = await database.ownerPool.query('SELECT FROM pg_roles WHERE rolname = $1', [name]);
  if (rowCount !== 0) {
    await database.ownerPool.query(`REASSIGN OWNED BY ${name} TO CURRENT_USER`);
    await database.ownerPool.query(`DROP OWNED BY ${name} CASCADE; DROP ROLE ${name}`);
  }
  await database.close();
});

const configFor = (urls: { DATABASE_URL: string; DATABASE_DIRECT_URL?: string }): Config =>
  readConfig('database', urls);
const open = (config: Config) => openDatabase(config, createLog('silent'));

function urlAs(user: string): string {
  const url = new URL(database.urls.owner);
  url.username = user;
  url.password = 'secret';
  return url.href;
}

/** A user as a hosting company gives it: owns the database, no superuser. */
async function anOwner(rights: string): Promise<string> {
  await database.ownerPool.query('DROP SCHEMA public CASCADE');
  await database.ownerPool.query('DROP SCHEMA drizzle CASCADE');
  await database.ownerPool.query(`CREATE ROLE ${name} LOGIN PASSWORD 'secret' ${rights}`);
  await database.ownerPool.query(`CREATE SCHEMA public AUTHORIZATION ${name}`);
  await database.ownerPool.query(
    `DO $$ BEGIN EXECUTE format('ALTER DATABASE %I OWNER TO ${name}', current_database()); END $$`,
  );
  return urlAs(name);
}

describe('one URL for everything', () => {
  test('a superuser’s: requests run as the service role, and nothing resets that', async () => {
    const opened = await open(configFor({ DATABASE_URL: database.urls.owner }));
    const client = await opened.pool.connect();
    for (const attempt of ['SELECT 1', 'RESET ROLE', 'RESET ALL', 'DISCARD ALL']) {
      await client.query(attempt);
      const { rows } = await client.query('SELECT current_user AS user');
      expect(rows).toEqual([{ user: 'matside_service' }]);
    }
    client.release();
    await expect(opened.pool.query('CREATE TABLE mine ()')).rejects.toThrow('permission denied for schema public');
    await opened.close();
  });

  test('an ordinary owner’s who may act as the service role: migrates, then steps down', async () => {
    const url = await anOwner('NOSUPERUSER');
    await database.ownerPool.query(`GRANT matside_service TO ${name} WITH ADMIN OPTION`);
    const opened = await open(configFor({ DATABASE_URL: url }));
    const { rows } = await opened.pool.query(
      "SELECT current_user AS user, pg_get_userbyid(relowner) AS owner FROM pg_class WHERE oid = 'gyms'::regclass",
    );
    expect(rows).toEqual([{ user: 'matside_service', owner: name }]);
    await opened.close();
  });

  test('an ordinary owner’s who may not: says what an administrator has to run', async () => {
    const url = await anOwner('NOSUPERUSER');
    await expect(open(configFor({ DATABASE_URL: url }))).rejects.toThrow(
      `The database user "${name}" may not act as matside_service; have an administrator run: GRANT matside_service TO "${name}".`,
    );
  });
});

describe('a URL for requests and one for the owner', () => {
  const urls = () => ({ DATABASE_URL: urlAs(name), DATABASE_DIRECT_URL: database.urls.owner });

  test('the requests’ user becomes a member of the service role', async () => {
    await database.ownerPool.query(`CREATE ROLE ${name} LOGIN PASSWORD 'secret'`);
    const opened = await open(configFor(urls()));
    const { rows } = await opened.pool.query('SELECT current_user AS user, count(*)::int AS gyms FROM gyms');
    expect(rows).toEqual([{ user: name, gyms: 0 }]);
    await opened.close();
  });

  test.each([
    ['has the attribute itself', 'BYPASSRLS', 'may bypass row security'],
    ['is a superuser', 'SUPERUSER', 'may bypass row security'],
  ])('is refused when the requests’ user %s', async (_, rights, why) => {
    await database.ownerPool.query(`CREATE ROLE ${name} LOGIN PASSWORD 'secret' ${rights}`);
    await expect(open(configFor(urls()))).rejects.toThrow(`"${name}", who ${why},`);
  });

  test('is refused when the requests’ user owns a table', async () => {
    await database.ownerPool.query(`CREATE ROLE ${name} LOGIN PASSWORD 'secret'`);
    await database.ownerPool.query(`CREATE TABLE own (); ALTER TABLE own OWNER TO ${name}`);
    await expect(open(configFor(urls()))).rejects.toThrow(`"${name}", who owns the tables,`);
  });

  test('an unknown user is named, and the password is not', async () => {
    const refused = open(configFor(urls()));
    await expect(refused).rejects.toThrow(`refuses the user "${name}"`);
    await expect(refused).rejects.not.toThrow('secret');
  });
});
