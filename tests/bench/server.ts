import { randomBytes } from 'node:crypto';
import { chmod, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { openEmbedded } from '../../src/platform/db/embedded.ts';
import { migrateSchema } from '../../src/platform/db/migrate.ts';
import { createPool } from '../../src/platform/db/pool.ts';
import { giveServicePassword, SERVICE_ROLE } from '../../src/platform/db/roles.ts';
import { createLog } from '../../src/platform/log.ts';

/** A migrated database of the bench's own server. */
export interface BenchDatabase {
  urls: { owner: string; service: string };
  /** Past row security, for filling and clearing. */
  ownerPool: pg.Pool;
}

export interface BenchServer {
  openDatabase(name: string): Promise<BenchDatabase>;
  close(): Promise<void>;
}

/**
 * Durable unless said otherwise: then a commit waits for the disk on both sides. Vacuuming is done between the rounds,
 * by hand, so that none begins in the middle of one.
 */
const SETTINGS = { autovacuum: 'off', max_connections: '100', shared_buffers: '256MB', max_wal_size: '4GB' };
const CARELESS = { fsync: 'off', synchronous_commit: 'off', full_page_writes: 'off' };
export const SETTINGS_TOLD = ['fsync', 'synchronous_commit', 'autovacuum', 'shared_buffers'];

/** An embedded PostgreSQL in a folder that is removed afterwards. */
export async function openBenchServer({ careless }: { careless: boolean }): Promise<BenchServer> {
  const parent = await mkdtemp(join(tmpdir(), 'matside-bench-'));
  await chmod(parent, 0o755); // The server may run as another user.
  const settings = careless ? { ...SETTINGS, ...CARELESS } : SETTINGS;
  const server = await openEmbedded({ folder: join(parent, 'postgres'), log: createLog('warn'), settings });
  const pools: pg.Pool[] = [];
  return {
    async openDatabase(name) {
      await server.ensureDatabase(name);
      const ownerUrl = server.ownerUrl(name);
      const client = new pg.Client({ connectionString: ownerUrl });
      await client.connect();
      await migrateSchema(client);
      await giveServicePassword(client, server.servicePassword);
      await client.end();
      const ownerPool = createPool({
        url: ownerUrl,
        applicationName: 'matside bench',
        max: 4,
        role: null,
        preparedStatements: true,
        log: createLog('warn'),
      });
      pools.push(ownerPool);
      const service = server.urlFor(SERVICE_ROLE, server.servicePassword, name);
      return { urls: { owner: ownerUrl, service }, ownerPool };
    },
    async close() {
      await Promise.all(pools.map((pool) => pool.end()));
      await server.close();
      await rm(parent, { recursive: true, force: true });
    },
  };
}

export const TOKEN_KEY = { kid: 'bench', secret: randomBytes(32).toString('hex') };
