import { eq, type Placeholder, type SQL } from 'drizzle-orm';
import { drizzle, type NodePgDatabase } from 'drizzle-orm/node-postgres';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { Pool, PoolClient } from 'pg';
import { Problem, refuse } from '../problem.ts';
import { allAnswered } from './pool.ts';
import { together } from './together.ts';

/** Statements in one open transaction. A connection has one of its own, which stays while it does. */
export type Tx = NodePgDatabase & { $client: PoolClient };

const known = new WeakMap<PoolClient, Tx>();

function txOf(client: PoolClient): Tx {
  const tx = known.get(client) ?? drizzle(client);
  known.set(client, tx);
  return tx;
}

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

export interface TransactionOptions {
  /** Reads only, and all of it at one moment. */
  readOnly?: boolean;
  /** What a dry run asks for: do everything, keep nothing. */
  rollback?: boolean;
  /** How long a lock may be waited for, in milliseconds. */
  lockTimeoutMs?: number;
}

async function connect(pool: Pool): Promise<PoolClient> {
  try {
    return await pool.connect();
  } catch {
    throw refuse('busy', 'The database has no connection free at this moment; nothing was changed.');
  }
}

async function inTransaction<T>(
  pool: Pool,
  settings: string[],
  options: TransactionOptions,
  work: (tx: Tx, client: PoolClient) => Promise<T>,
): Promise<T> {
  const client = await connect(pool);
  let broken: Error | undefined;
  let isCommitting = false;
  try {
    const begin = options.readOnly ? 'BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY' : 'BEGIN';
    const begun = Promise.all([begin, ...settings].map((statement) => client.query(statement)));
    // What comes first goes out with them: it arrives behind them, and waits for no answer of theirs.
    const [, result] = await together([begun, work(txOf(client), client)]);
    isCommitting = true;
    const { command } = await client.query(options.rollback ? 'ROLLBACK' : 'COMMIT');
    if (!options.rollback && command !== 'COMMIT')
      throw new Error('a transaction went on after one of its statements failed');
    return result;
  } catch (error) {
    // What went on beside whatever failed still sends its next statement: on this connection, so in this transaction.
    await allAnswered(client);
    await client.query('ROLLBACK').catch((lost: Error) => {
      broken = lost;
    });
    if (broken && !isCommitting && !(error instanceof Problem)) {
      throw refuse('busy', 'The connection to the database was lost; nothing was changed.');
    }
    throw error;
  } finally {
    client.release(broken);
  }
}

/**
 * Runs `work` in one transaction that sees one franchise's rows and no others.
 * The setting is local to the transaction, so it cannot leak through a pooler; it is its own message, so that a
 * distributed database passes it on. Commits when `work` is done, else rolls back and throws what `work` threw.
 */
export function asTenant<T>(
  pool: Pool,
  franchiseId: string,
  options: TransactionOptions,
  work: (tx: Tx) => Promise<T>,
): Promise<T> {
  if (!UUID.test(franchiseId)) throw new Error('a franchise id is a lower-case UUID');
  const settings = [`SET LOCAL app.franchise_id = '${franchiseId}'`];
  if (!options.readOnly) settings.push(`SET LOCAL lock_timeout = '${options.lockTimeoutMs ?? 3000}ms'`);
  return inTransaction(pool, settings, options, work);
}

/**
 * Runs `work` with no tenant: only the global tables (accounts, sign-ins, links) show rows. `why` is for the reader;
 * a test lists the files that may call this.
 */
export function asSystem<T>(pool: Pool, _why: string, work: (tx: Tx) => Promise<T>): Promise<T> {
  return inTransaction(pool, [], {}, work);
}

interface Owned {
  franchiseId: PgColumn;
}

/** The condition that stands in every statement on a tenant table: this franchise's rows. */
export const ours = ({ franchiseId }: { franchiseId: string | Placeholder }, table: Owned): SQL =>
  eq(table.franchiseId, franchiseId);
