import { randomBytes } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import pg from 'pg';
import { inject } from 'vitest';
import { MIGRATIONS } from '../../src/platform/db/migrate.ts';

/** A database of its own, as it was before a migration. */
export interface OlderDatabase {
  /** Signed in as its owner, who is held to the row policies like one that a hosting firm gives out: no superuser. */
  owner: pg.Client;
  /** Signed in as a superuser. */
  root: pg.Client;
  /** Applies that migration, and those after it. */
  migrate(): Promise<void>;
  close(): Promise<void>;
}

/** Makes a database with the migrations before one, which is named without its ending. */
export async function olderThan(migration: string): Promise<OlderDatabase> {
  const run = randomBytes(6).toString('hex');
  const [name, role] = [`matside_test_${run}`, `matside_test_${run}_owner`];
  const { ownerUrl } = inject('postgres');
  const server = await signIn(ownerUrl);
  await server.query(`CREATE ROLE ${role} LOGIN NOSUPERUSER NOBYPASSRLS PASSWORD '${run}'`);
  await server.query(`CREATE DATABASE ${name} OWNER ${role}`);
  const url = new URL(ownerUrl);
  url.pathname = `/${name}`;
  const root = await signIn(url.href);
  url.username = role;
  url.password = run;
  const owner = await signIn(url.href);
  const files = (await readdir(MIGRATIONS)).filter((file) => file.endsWith('.sql')).sort();
  const at = files.indexOf(`${migration}.sql`);
  if (at < 1) throw new Error(`there is no migration ${migration} with others before it`);
  await apply(owner, files.slice(0, at));
  return {
    owner,
    root,
    migrate: () => apply(owner, files.slice(at)),
    async close() {
      await owner.end();
      await root.end();
      await server.query(`DROP DATABASE ${name} WITH (FORCE)`);
      await server.query(`DROP ROLE ${role}`);
      await server.end();
    },
  };
}

async function signIn(connectionString: string): Promise<pg.Client> {
  const client = new pg.Client({ connectionString });
  await client.connect();
  return client;
}

async function apply(client: pg.Client, files: readonly string[]): Promise<void> {
  await client.query('BEGIN');
  for (const file of files) {
    const text = await readFile(join(MIGRATIONS, file), 'utf8');
    for (const statement of text.split('--> statement-breakpoint')) await client.query(statement);
  }
  await client.query('COMMIT');
}
