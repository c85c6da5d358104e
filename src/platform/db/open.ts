import { join } from 'node:path';
import type pg from 'pg';
import type { Config } from '../../config.ts';
import type { WayIn } from '../events/hints.ts';
import type { Log } from '../log.ts';
import { type EmbeddedServer, openEmbedded } from './embedded.ts';
import { migrateSchema, oneAtATime } from './migrate.ts';
import { createPool, OUR_NAME } from './pool.ts';
import { admitOwnerAsService, admitServiceUser, giveServicePassword, refusePrivileged, SERVICE_ROLE } from './roles.ts';

/** A migrated database, and the service's unprivileged way in. */
export interface OpenDatabase {
  pool: pg.Pool;
  /** The owner's URL, straight to the server. */
  ownerUrl: string;
  /** Unprivileged ways straight to the server, for what must not go through a pooler; the first that opens will do. */
  direct: readonly WayIn[];
  /** Closes the pool, and stops the server if it is ours and nobody else uses it. */
  close(): Promise<void>;
}

const DATABASE = 'matside';

/**
 * Starts or finds the server, migrates, and opens the service's pool. Of several processes that start at once, one
 * migrates and prepares while the others wait.
 *
 * @param prepare what has to be done once before anybody is served, such as loading the demo; run under the same lock.
 * @throws CannotStart for what an operator can mend.
 */
export async function openDatabase(
  config: Config,
  log: Log,
  prepare: (pool: pg.Pool) => Promise<void> = async () => undefined,
): Promise<OpenDatabase> {
  const embedded =
    config.database.kind === 'embedded' ? await openEmbedded({ folder: join(config.dataDir, 'postgres'), log }) : null;
  const { ownerUrl, serviceUrl, role, direct, admit } = await waysIn(config, embedded);
  const pool = createPool({
    url: serviceUrl,
    role,
    applicationName: `${OUR_NAME} service`,
    max: config.poolMax,
    preparedStatements: config.preparedStatements,
    log,
  });
  const close = async () => {
    await pool.end();
    await embedded?.close();
  };
  try {
    await oneAtATime(ownerUrl, async (owner) => {
      await migrateSchema(owner);
      await admit(owner);
      await refusePrivileged(pool, serviceUrl);
      await prepare(pool);
    });
  } catch (error) {
    await close();
    throw error;
  }
  return { pool, ownerUrl, direct, close };
}

interface WaysIn {
  ownerUrl: string;
  serviceUrl: string;
  /** What the service's connections step down to; null where they sign in unprivileged. */
  role: string | null;
  direct: readonly WayIn[];
  /** What the owner does, after migrating, so that the service can sign in. */
  admit(owner: pg.Client): Promise<void>;
}

async function waysIn({ database }: Config, embedded: EmbeddedServer | null): Promise<WaysIn> {
  if (embedded !== null) {
    const password = embedded.servicePassword;
    await embedded.ensureDatabase(DATABASE);
    const serviceUrl = embedded.urlFor(SERVICE_ROLE, password, DATABASE);
    return {
      ownerUrl: embedded.ownerUrl(DATABASE),
      serviceUrl,
      role: null,
      direct: [{ url: serviceUrl, role: null }],
      admit: (owner) => giveServicePassword(owner, password),
    };
  }
  if (database.kind === 'embedded') throw new Error('the embedded server was not opened');
  const { ownerUrl, serviceUrl, shared } = database;
  return {
    ownerUrl,
    serviceUrl,
    role: shared ? SERVICE_ROLE : null,
    direct: [
      ...(shared ? [] : [{ url: signingInAs(serviceUrl, ownerUrl), role: null }]),
      { url: ownerUrl, role: SERVICE_ROLE },
    ],
    admit: (owner) => (shared ? admitOwnerAsService(owner) : admitServiceUser(owner, serviceUrl)),
  };
}

/** The service's user and password at the owner's address; the service's own may lead to a pooler. */
function signingInAs(serviceUrl: string, ownerUrl: string): string {
  const url = new URL(ownerUrl);
  const { username, password } = new URL(serviceUrl);
  url.username = username;
  url.password = password;
  return url.href;
}
