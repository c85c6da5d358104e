import { fileURLToPath } from 'node:url';
import { drizzle } from 'drizzle-orm/node-postgres';
import { migrate } from 'drizzle-orm/node-postgres/migrator';
import pg from 'pg';
import { CannotStart, errorCode, messageOf } from '../cannot-start.ts';
import { OUR_NAME } from './pool.ts';

/** Where the migrations are; made by drizzle-kit, finished by hand. */
export const MIGRATIONS = fileURLToPath(new URL('../../../migrations', import.meta.url));

const OLDEST_VERSION = 15;

/** Any number that nobody else in the same database uses for an advisory lock. */
const STARTING = 0x6d617473;

/**
 * Runs `work` on a connection of its own, one process at a time: whoever starts on the same database waits at the
 * door. The lock belongs to the session, so it goes with the process that held it.
 *
 * @param ownerUrl straight to the server; a transaction pooler loses session locks.
 * @throws CannotStart when the server can't be reached, refuses the sign-in, or is older than 15.
 */
export async function oneAtATime<T>(ownerUrl: string, work: (client: pg.Client) => Promise<T>): Promise<T> {
  const client = await connectAsOwner(ownerUrl);
  try {
    await client.query('SELECT pg_advisory_lock($1)', [STARTING]);
    return await work(client);
  } finally {
    await client.end();
  }
}

/**
 * Brings the schema up to date; nothing to do is fine. A failure leaves the database as it was, since all that is
 * missing is applied in one transaction.
 *
 * @throws CannotStart with what the database said.
 */
export async function migrateSchema(client: pg.Client): Promise<void> {
  try {
    await migrate(drizzle(client), { migrationsFolder: MIGRATIONS });
  } catch (error) {
    const said = error instanceof Error && error.cause !== undefined ? error.cause : error;
    throw new CannotStart(`The migrations failed and were undone: ${messageOf(said)}.`, { cause: error });
  }
}

async function connectAsOwner(url: string): Promise<pg.Client> {
  const client = new pg.Client({
    connectionString: url,
    application_name: `${OUR_NAME} migrator`,
    connectionTimeoutMillis: 10_000,
  });
  // A connection that breaks while it is used rejects the query under way; this only keeps Node from ending.
  client.on('error', () => undefined);
  try {
    await client.connect();
  } catch (error) {
    throw unreachable(url, error);
  }
  const { rows } = await client.query<{ version: string; number: number }>(
    "SELECT current_setting('server_version') AS version, current_setting('server_version_num')::int AS number",
  );
  const found = rows[0]!;
  if (found.number < OLDEST_VERSION * 10_000) {
    await client.end();
    throw new CannotStart(
      `The database server at ${placeOf(url)} is PostgreSQL ${found.version}; Matside needs ${OLDEST_VERSION} or later.`,
    );
  }
  return client;
}

/** What a person should read when a connection can't be made. Names the server and the user, never the password. */
export function unreachable(url: string, error: unknown): CannotStart {
  const { username } = new URL(url);
  const code = errorCode(error) ?? '';
  if (code === '3D000') {
    return new CannotStart(`The database server at ${placeOf(url)} has no such database; create it first.`);
  }
  if (code.startsWith('28')) {
    return new CannotStart(
      `The database server at ${placeOf(url)} refuses the user "${decodeURIComponent(username)}": ${messageOf(error)}.`,
    );
  }
  return new CannotStart(
    `The database server at ${placeOf(url)} can't be reached (${code || messageOf(error)}); start it, or mend DATABASE_URL and DATABASE_DIRECT_URL.`,
  );
}

const placeOf = (url: string): string => {
  const { host, pathname } = new URL(url);
  return `${host}${pathname}`;
};
