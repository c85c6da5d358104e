import { createHash } from 'node:crypto';
import pg from 'pg';
import { errorCode } from '../cannot-start.ts';
import type { Log } from '../log.ts';

export interface PoolOptions {
  url: string;
  /** Shown in `pg_stat_activity`; see `OUR_NAME`. */
  applicationName: string;
  max: number;
  /** A role that every connection takes on before its first statement; null keeps the one that signed in. */
  role: string | null;
  preparedStatements: boolean;
  log: Log;
}

/** What the names of all our connections begin with, by which one instance notices another on the same server. */
export const OUR_NAME = 'matside';

/**
 * A pool of connections that outlives a restart of its server: a connection lost while idle is noted and replaced.
 *
 * The role is asked for in the start-up message rather than by SET ROLE. There it is the session's default, so
 * neither RESET nor DISCARD ALL undoes it, and a pooler that can't pass it on refuses the connection instead of
 * quietly handing out one with the owner's rights.
 */
export function createPool(options: PoolOptions): pg.Pool {
  const pool = new pg.Pool({
    connectionString: options.url,
    application_name: options.applicationName,
    max: options.max,
    connectionTimeoutMillis: 10_000,
    idleTimeoutMillis: 30_000,
    // Statements that do not wait for one another go out together: `Promise.all` is one round trip.
    pipeline: true,
    ...(options.role === null ? {} : { options: `-c role=${options.role}` }),
  });
  const nameOf = options.preparedStatements ? statementNames() : () => undefined;
  // Without a listener a connection lost while idle would end the process; it is noted below, with all others.
  pool.on('error', () => undefined);
  pool.on('connect', (client) => {
    client.on('error', (error) => {
      options.log.warn({ code: errorCode(error), why: error.message }, 'a connection to the database was lost');
    });
    sendTogether(client, nameOf);
  });
  return pool;
}

/** Beyond so many different texts, statements go unnamed: each name is kept by the server on every connection. */
const MOST_NAMES = 500;
/** A text is named when it comes this often: one that is as long as what it asks about takes no other's place. */
const OFTEN = 3;
const MOST_COUNTED = 1000;

type NameOf = (text: string) => string | undefined;

/** Names for the texts of a pool: the same on every connection. */
function statementNames(): NameOf {
  const names = new Map<string, string>();
  const counts = new Map<string, number>();
  return (text) => {
    const known = names.get(text);
    if (known !== undefined || names.size >= MOST_NAMES) return known;
    const count = (counts.get(text) ?? 0) + 1;
    if (count < OFTEN) {
      if (counts.size >= MOST_COUNTED) counts.clear();
      counts.set(text, count);
      return undefined;
    }
    counts.delete(text);
    const name = `m_${createHash('sha256').update(text).digest('base64url').slice(0, 20)}`;
    names.set(text, name);
    return name;
  };
}

/**
 * Writes all that is asked for at one turn of the event loop in one go: each write costs more than encoding what it
 * carries. Statements with parameters that come often get a name made from their text, so that the server parses and
 * plans them once.
 */
function sendTogether(client: pg.PoolClient, nameOf: NameOf): void {
  let isHeld = false;
  const hold = () => {
    if (isHeld) return;
    const { stream } = client.connection;
    isHeld = true;
    stream.cork();
    process.nextTick(() => {
      isHeld = false;
      stream.uncork();
    });
  };
  const sent = new Set<Promise<unknown>>();
  unanswered.set(client, sent);
  client.query = new Proxy(client.query, {
    apply(query, self, [first, ...rest]: unknown[]) {
      hold();
      const asked: unknown = Reflect.apply(query, self, [withName(first, rest[0], nameOf), ...rest]);
      if (asked instanceof Promise) {
        sent.add(asked);
        const answered = () => sent.delete(asked);
        asked.then(answered, answered);
      }
      return asked;
    },
  });
}

const unanswered = new WeakMap<pg.PoolClient, Set<Promise<unknown>>>();

/** Waits until a connection has answered all that was sent on it, and nobody asks more for what it answered. */
export async function allAnswered(client: pg.PoolClient): Promise<void> {
  const sent = unanswered.get(client);
  while (sent !== undefined && sent.size > 0) {
    await Promise.allSettled(sent);
    await new Promise((done) => setImmediate(done));
  }
}

function withName(statement: unknown, values: unknown, nameOf: NameOf): unknown {
  if (typeof statement === 'string') {
    if (!Array.isArray(values) || values.length === 0) return statement;
    return { text: statement, name: nameOf(statement) };
  }
  if (typeof statement !== 'object' || statement === null || 'submit' in statement) return statement;
  if (!('text' in statement) || typeof statement.text !== 'string') return statement;
  if ('name' in statement && statement.name) return statement;
  const parameters = Array.isArray(values) ? values : 'values' in statement ? statement.values : [];
  if (!Array.isArray(parameters) || parameters.length === 0) return statement;
  return { ...statement, name: nameOf(statement.text) };
}
