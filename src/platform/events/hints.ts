import { randomBytes } from 'node:crypto';
import pg from 'pg';
import { errorCode } from '../cannot-start.ts';
import { OUR_NAME } from '../db/pool.ts';
import type { Log } from '../log.ts';

/** Says where something has just happened, once it is committed; null is at no gym in particular. */
export type Tell = (franchiseId: string, gymIds: Iterable<string | null>) => void;

/** Hears where something happened. No gym: anywhere in the franchise; no franchise: hints were missed, so anywhere. */
export type Heard = (franchiseId: string | null, gymId: string | null) => void;

/** What instances say to one another: look there. The tables are the truth; a hint that is lost costs time, nothing else. */
export interface Hints {
  /** This instance's own listeners hear it at once, the other instances' a moment later. */
  tell: Tell;
  /** Calls `heard` until the function that it gives is called. */
  hear(heard: Heard): () => void;
  close(): Promise<void>;
}

/** An address straight to the server, and the role that the connection takes on, where it has to step down. */
export interface WayIn {
  url: string;
  role: string | null;
}

export interface HintsOptions {
  /** Tried in this order, each of them unprivileged. */
  ways: readonly WayIn[];
  log: Log;
}

const CHANNEL = 'matside_changed';
/** What happens within this time is told together. */
const TOGETHER_MS = 50;
/** PostgreSQL takes less than 8,000 bytes in one notification; a gym with its franchise is 73 of them, and a comma. */
const PLACES_AT_ONCE = 100;
const LEAST_WAIT_MS = 250;
const LONGEST_WAIT_MS = 30_000;

const UUID = '[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}';
const PLACE = new RegExp(`^(${UUID})/(${UUID}|\\*)$`);

/**
 * Listens and notifies on one connection of its own, never in a request's transaction, where it would make commits wait
 * for one another. Comes back after the first try to connect; a connection that cannot be had, or is lost, is tried
 * again with growing pauses, and then everybody is told that hints were missed.
 */
export async function openHints({ ways, log }: HintsOptions): Promise<Hints> {
  const self = randomBytes(6).toString('hex');
  const listeners = new Set<Heard>();
  let client: pg.Client | null = null;
  let untold = new Set<string>();
  let telling: NodeJS.Timeout | undefined;
  let trying: NodeJS.Timeout | undefined;
  let closed = false;

  const announce: Heard = (franchiseId, gymId) => {
    for (const heard of listeners) heard(franchiseId, gymId);
  };

  function receive(payload: string): void {
    const [from, places = ''] = payload.split(' ');
    if (from === self) return;
    for (const place of places.split(',')) {
      const [, franchiseId, gymId] = PLACE.exec(place) ?? [];
      if (franchiseId && gymId) announce(franchiseId, gymId === '*' ? null : gymId);
    }
  }

  async function connect(wait: number): Promise<void> {
    for (const way of ways) {
      const opened = await connectBy(way, receive);
      if ('fault' in opened) {
        log.warn({ code: errorCode(opened.fault) }, 'the database cannot be listened to for hints');
        continue;
      }
      if (closed) return opened.client.end();
      client = opened.client;
      client.once('end', () => {
        client = null;
        if (closed) return;
        log.warn('the connection that hints come by was lost');
        again(LEAST_WAIT_MS);
      });
      return;
    }
    again(wait);
  }

  function again(wait: number): void {
    if (closed) return;
    trying = setTimeout(async () => {
      await connect(Math.min(wait * 2, LONGEST_WAIT_MS));
      if (client !== null) announce(null, null);
    }, wait);
    trying.unref();
  }

  async function flush(): Promise<void> {
    const places = [...untold];
    untold = new Set();
    clearTimeout(telling);
    telling = undefined;
    if (client === null || places.length === 0) return;
    const payloads = [];
    for (let from = 0; from < places.length; from += PLACES_AT_ONCE) {
      payloads.push(`${self} ${places.slice(from, from + PLACES_AT_ONCE).join(',')}`);
    }
    const notify = 'SELECT pg_notify($1, payload) FROM unnest($2::text[]) AS payload';
    // Lost with its connection; whoever waits for it looks for themselves.
    await client.query(notify, [CHANNEL, payloads]).catch(() => undefined);
  }

  await connect(LEAST_WAIT_MS);
  return {
    tell(franchiseId, gymIds) {
      for (const gymId of gymIds) {
        announce(franchiseId, gymId);
        untold.add(`${franchiseId}/${gymId ?? '*'}`);
      }
      if (untold.size > 0) telling ??= setTimeout(flush, TOGETHER_MS).unref();
    },
    hear(heard) {
      listeners.add(heard);
      return () => void listeners.delete(heard);
    },
    async close() {
      await flush();
      closed = true;
      clearTimeout(trying);
      await client?.end().catch(() => undefined);
    },
  };
}

/** A connection that listens; or why there is none. */
async function connectBy(
  { url, role }: WayIn,
  receive: (payload: string) => void,
): Promise<{ client: pg.Client } | { fault: unknown }> {
  const client = new pg.Client({
    connectionString: url,
    application_name: `${OUR_NAME} hints`,
    connectionTimeoutMillis: 10_000,
    keepAlive: true,
    ...(role === null ? {} : { options: `-c role=${role}` }),
  });
  client.on('error', () => undefined); // `end` follows, and is heard.
  client.on('notification', ({ payload }) => receive(payload ?? ''));
  try {
    await client.connect();
    await client.query(`LISTEN ${CHANNEL}`);
    return { client };
  } catch (fault) {
    await client.end().catch(() => undefined);
    return { fault };
  }
}
