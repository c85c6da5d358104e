import { randomBytes } from 'node:crypto';
import pg from 'pg';
import type { TestProject } from 'vitest/node';
import { migrateSchema } from '../../src/platform/db/migrate.ts';
import { SERVICE_ROLE } from '../../src/platform/db/roles.ts';
import { hashOfMigrations, openTestServer } from './server.ts';

declare module 'vitest' {
  interface ProvidedContext {
    postgres: { ownerUrl: string; template: string; serviceUser: string; servicePassword: string };
  }
}

/** Held while templates are made or things of earlier runs removed. */
const SETTING_UP = 0x6d617475;
/** Held shared for as long as a run lasts. */
const RUNNING = 0x6d617476;

/** Finds a server, makes the migrated template that each test file's database is copied from, and tells both. */
export default async function setUp(project: TestProject): Promise<() => Promise<void>> {
  const server = await openTestServer();
  const client = new pg.Client({ connectionString: server.ownerUrl, application_name: 'matside tests' });
  client.on('error', () => undefined);
  await client.connect();
  const run = randomBytes(6).toString('hex');
  const serviceUser = `matside_test_${run}`;
  const servicePassword = randomBytes(16).toString('hex');
  const template = `matside_template_${await hashOfMigrations()}`;

  await client.query('SELECT pg_advisory_lock($1)', [SETTING_UP]);
  await removeWhatEarlierRunsLeft(client, template);
  await client.query('SELECT pg_advisory_lock_shared($1)', [RUNNING]);
  await ensureTemplate(client, server.ownerUrl, template);
  await client.query(`CREATE ROLE ${serviceUser} LOGIN PASSWORD '${servicePassword}' IN ROLE ${SERVICE_ROLE}`);
  await client.query('SELECT pg_advisory_unlock($1)', [SETTING_UP]);

  const { rows } = await client.query<{ version: string }>("SELECT current_setting('server_version') AS version");
  console.log(`Tests run on ${server.kind}, version ${rows[0]?.version}.`);
  project.provide('postgres', { ownerUrl: server.ownerUrl, template, serviceUser, servicePassword });

  return async () => {
    await client.query(`DROP ROLE ${serviceUser}`);
    await client.end();
    await server.close();
  };
}

async function removeWhatEarlierRunsLeft(client: pg.Client, template: string): Promise<void> {
  const { rows } = await client.query<{ alone: boolean }>('SELECT pg_try_advisory_lock($1) AS alone', [RUNNING]);
  if (rows[0]?.alone !== true) return;
  const databases = await client.query<{ name: string }>(
    "SELECT datname AS name FROM pg_database WHERE datname ~ '^matside_(test|template)_' AND datname <> $1",
    [template],
  );
  for (const { name } of databases.rows) await client.query(`DROP DATABASE ${name} WITH (FORCE)`);
  const roles = await client.query<{ name: string }>(
    "SELECT rolname AS name FROM pg_roles WHERE rolname ~ '^matside_test_'",
  );
  for (const { name } of roles.rows) await client.query(`DROP ROLE ${name}`);
  await client.query('SELECT pg_advisory_unlock($1)', [RUNNING]);
}

/** Made under another name and renamed, so that a run which is killed half-way leaves no half template. */
async function ensureTemplate(client: pg.Client, ownerUrl: string, template: string): Promise<void> {
  const { rowCount } = await client.query('SELECT FROM pg_database WHERE datname = $1', [template]);
  if (rowCount !== 0) return;
  const draft = `${template}_draft`;
  await client.query(`DROP DATABASE IF EXISTS ${draft} WITH (FORCE)`);
  await client.query(`CREATE DATABASE ${draft}`);
  const url = new URL(ownerUrl);
  url.pathname = `/${draft}`;
  const migrator = new pg.Client({ connectionString: url.href });
  await migrator.connect();
  try {
    await migrateSchema(migrator);
  } finally {
    await migrator.end();
  }
  await client.query(`ALTER DATABASE ${draft} RENAME TO ${template}`);
}
