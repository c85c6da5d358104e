import { randomBytes } from 'node:crypto';
import pg from 'pg';
import { inject, type ProvidedContext } from 'vitest';
import { createPool } from '../../src/platform/db/pool.ts';
import { createLog } from '../../src/platform/log.ts';

/** A migrated, empty database that belongs to one test file. */
export interface TestDatabase {
  /** The owner's and the service's way in. */
  urls: { owner: string; service: string };
  /** Sees and may do everything: for arranging, and for looking behind the service's back. */
  ownerPool: pg.Pool;
  /** What the service gets: unprivileged, under row security. */
  servicePool: pg.Pool;
  /** Every statement that the service's pool has sent, in order, without its values. */
  statements: string[];
  /** Closes both pools and drops the database. */
  close(): Promise<void>;
}

/** Copies the run's migrated template. Call it in `beforeAll`, and `close` in `afterAll`. */
export async function openTestDatabase(): Promise<TestDatabase> {
  const postgres: ProvidedContext['postgres'] | undefined = inject('postgres');
  if (postgres === undefined) throw new Error('no database was set up; run tests with: npm test -- path/to/file');
  const { ownerUrl, template, serviceUser, servicePassword } = postgres;
  const name = `matside_test_${randomBytes(6).toString('hex')}`;
  await onServer(ownerUrl, `CREATE DATABASE ${name} TEMPLATE ${template} STRATEGY FILE_COPY`);

  const owner = new URL(ownerUrl);
  owner.pathname = `/${name}`;
  const service = new URL(owner);
  service.username = serviceUser;
  service.password = servicePassword;

  const statements: string[] = [];
  const ownerPool = poolFor(owner.href, 'owner');
  const servicePool = poolFor(service.href, 'service');
  servicePool.on('connect', (client) => capture(client, statements));
  return {
    urls: { owner: owner.href, service: service.href },
    ownerPool,
    servicePool,
    statements,
    async close() {
      await Promise.all([ownerPool.end(), servicePool.end()]);
      await onServer(ownerUrl, `DROP DATABASE ${name} WITH (FORCE)`);
    },
  };
}

const poolFor = (url: string, who: string): pg.Pool =>
  createPool({
    url,
    applicationName: `matside test ${who}`,
    max: 10,
    role: null,
    preparedStatements: true,
    log: createLog('silent'),
  });

async function onServer(url: string, statement: string): Promise<void> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    await client.query(statement);
  } finally {
    await client.end();
  }
}

function capture(client: pg.PoolClient, statements: string[]): void {
  client.query = new Proxy(client.query, {
    apply(query, self, [first, ...rest]: unknown[]) {
      const text = typeof first === 'string' ? first : textOf(first);
      if (text !== null) statements.push(text);
      return Reflect.apply(query, self, [first, ...rest]);
    },
  });
}

function textOf(statement: unknown): string | null {
  if (typeof statement !== 'object' || statement === null || !('text' in statement)) return null;
  return typeof statement.text === 'string' ? statement.text : null;
}
