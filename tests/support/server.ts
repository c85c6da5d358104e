import { createHash } from 'node:crypto';
import { readdir, readFile, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { openEmbedded } from '../../src/platform/db/embedded.ts';
import { MIGRATIONS } from '../../src/platform/db/migrate.ts';
import { createLog } from '../../src/platform/log.ts';

/** A PostgreSQL server for one run of the tests. */
export interface TestServer {
  /** Which one it is, for the first line of the run. */
  kind: string;
  /** URL of a user who may make databases and roles. */
  ownerUrl: string;
  close(): Promise<void>;
}

/** Durability is of no use to data that are thrown away; without it a database is copied in milliseconds. */
const CARELESS = { fsync: 'off', synchronous_commit: 'off', full_page_writes: 'off', max_connections: '200' };

/** The server in TEST_DATABASE_URL, else one in a container, else the embedded one. */
export async function openTestServer(): Promise<TestServer> {
  const given = process.env.TEST_DATABASE_URL;
  if (given) {
    return { kind: 'the server in TEST_DATABASE_URL', ownerUrl: given, close: async () => undefined };
  }
  return (await inContainer()) ?? (await embedded());
}

async function inContainer(): Promise<TestServer | null> {
  try {
    const { getContainerRuntimeClient } = await import('testcontainers');
    await getContainerRuntimeClient();
  } catch {
    return null; // No engine that answers.
  }
  try {
    const { PostgreSqlContainer } = await import('@testcontainers/postgresql');
    const settings = Object.entries(CARELESS).flatMap(([name, value]) => ['-c', `${name}=${value}`]);
    const container = await new PostgreSqlContainer('postgres:18').withCommand(['postgres', ...settings]).start();
    return {
      kind: 'PostgreSQL 18 in a container',
      ownerUrl: container.getConnectionUri(),
      close: async () => void (await container.stop()),
    };
  } catch (error) {
    console.log(`The container engine could not start PostgreSQL (${error instanceof Error ? error.message : error}).`);
    return null;
  }
}

/** Kept between runs, and shared by runs at the same time; one folder for each user, since its files are theirs. */
const folder = fileURLToPath(new URL(`../../.data/tests-${process.getuid?.() ?? 'user'}/postgres`, import.meta.url));

async function embedded(): Promise<TestServer> {
  const open = () => openEmbedded({ folder, log: createLog('warn'), settings: CARELESS });
  // Careless settings may cost the cluster if the machine goes down, or it was made by another PostgreSQL.
  const server = await open().catch(async () => {
    await rm(folder, { recursive: true, force: true });
    return open();
  });
  return { kind: 'the embedded PostgreSQL', ownerUrl: server.ownerUrl('postgres'), close: server.close };
}

/** Changes whenever a migration does. */
export async function hashOfMigrations(): Promise<string> {
  const hash = createHash('sha256');
  const entries = await readdir(MIGRATIONS, { recursive: true, withFileTypes: true });
  const files = entries.filter((entry) => entry.isFile()).map((entry) => join(entry.parentPath, entry.name));
  for (const file of files.sort()) hash.update(file.slice(MIGRATIONS.length)).update(await readFile(file));
  return hash.digest('hex').slice(0, 12);
}
