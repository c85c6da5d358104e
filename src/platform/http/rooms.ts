import { setMaxListeners } from 'node:events';
import { setTimeout as delay } from 'node:timers/promises';
import type { Response } from 'express';
import type { Pool } from 'pg';
import type { Claims } from '../auth/tokens.ts';
import { asTenant } from '../db/tenant.ts';
import type { Hints } from '../events/hints.ts';
import { lookForUnseen, type Seen } from '../events/unseen.ts';
import type { Language } from '../language.ts';
import type { Log } from '../log.ts';
import { Problem, refuse } from '../problem.ts';
import { createTurns } from '../turns.ts';
import { problemDocument } from './answer.ts';
import { type Reader, readerKey, type Showing, showAll } from './showing.ts';
import { closedMessage, openSink, type Sink } from './stream.ts';

/** How often things are done that no hint asks for. */
export interface Intervals {
  /** Each state is read again, and each reader's permission with it, as often as this at the least. */
  tickMs: number;
  /** Events are counted, for what no hint told. */
  pollMs: number;
  beatMs: number;
  /** What changes within this time is read once. */
  gapMs: number;
  /** What could not be read is read again after this. */
  againMs: number;
  /** How long a reader may take nothing. */
  slowestMs: number;
}

const INTERVALS: Intervals = {
  tickMs: 15_000,
  pollMs: 3000,
  beatMs: 20_000,
  gapMs: 250,
  againMs: 2000,
  slowestMs: 30_000,
};
/** Then a stream ends, and its reader comes back with a token that is valid. */
const LONGEST_MS = 12 * 60 * 60 * 1000;
/** After so many failures in a row its readers are sent away: a state that is no longer read must not look alive. */
const MOST_FAILURES = 3;

export interface StreamsOptions {
  pool: Pool;
  now: () => Date;
  log: Log;
  hints: Hints;
  limits: { streams: number; streamsAnAccount: number };
  intervals?: Partial<Intervals>;
}

/** Somebody who opens a stream. */
export interface Opening extends Reader {
  requestId: string;
  lastEventId: string | null;
  response: Response;
}

export interface Streams {
  /** Adds a reader, whom the caller has let in; refuses one too many. */
  open(showing: Showing, reader: Opening): void;
  /** Ends every stream, so that its reader comes back to another instance, and takes no more. */
  stop(): Promise<void>;
}

interface Listener {
  claims: Claims;
  language: Language;
  requestId: string;
  sink: Sink;
  openedAt: number;
  has: string | null;
}

interface Room extends Showing {
  listeners: Set<Listener>;
  /** Something may have changed since the last look began. */
  stale: boolean;
  looking: Promise<void> | null;
  failures: number;
}

/**
 * The rooms of this instance: everybody in one reads the same state of the same gym. A room is looked at when a hint
 * says so, when events were counted that no hint told of, and with the clock; never twice at once, and in one
 * transaction, which reads every reader's permission and, once for all who may see the same, the state. Between looks
 * it holds no connection.
 */
export function createStreams(options: StreamsOptions): Streams {
  const { pool, now, log, hints, limits } = options;
  const intervals = { ...INTERVALS, ...options.intervals };
  const rooms = new Map<string, Room>();
  const seen = new Map<string, Seen>();
  const perAccount = new Map<string, number>();
  /** Those who look leave most connections to requests. */
  const inTurn = createTurns(Math.max(1, Math.floor((pool.options.max ?? 10) / 4)), Number.POSITIVE_INFINITY);
  const stopping = new AbortController();
  const { signal } = stopping;
  setMaxListeners(0, signal); // Every room waits for it.
  let open = 0;

  const wake = (room: Room) => {
    room.stale = true;
    if (!signal.aborted) room.looking ??= lookWhileStale(room);
  };
  const wakeAt = (franchiseId: string | null, gymId: string | null) => {
    for (const room of rooms.values()) {
      const isThere = franchiseId === null || room.franchiseId === franchiseId;
      if (isThere && (gymId === null || room.gymId === gymId)) wake(room);
    }
  };

  async function lookWhileStale(room: Room): Promise<void> {
    while (room.stale && room.listeners.size > 0 && !signal.aborted) {
      room.stale = false;
      try {
        await look(room);
        room.failures = 0;
      } catch (fault) {
        room.stale = true;
        room.failures += 1;
        const level = fault instanceof Problem ? 'warn' : 'error';
        log[level]({ err: fault, failures: room.failures }, 'a stream could not be brought up to date');
        if (room.failures >= MOST_FAILURES) for (const { sink } of room.listeners) sink.finish();
      }
      const pause = room.failures > 0 ? intervals.againMs : intervals.gapMs;
      await delay(pause, undefined, { ref: false, signal }).catch(() => undefined);
    }
    room.looking = null;
  }

  async function look(room: Room): Promise<void> {
    const listeners = [...room.listeners];
    const byReader = await inTurn(() =>
      asTenant(pool, room.franchiseId, { readOnly: true }, (tx) => showAll(room, listeners, tx, now())),
    );
    for (const listener of listeners) {
      const shown = byReader.get(readerKey(listener));
      if (shown instanceof Problem) {
        listener.sink.finish(closedMessage(problemDocument(listener.requestId, shown)));
      } else if (shown && shown.id !== listener.has) {
        listener.has = shown.id;
        listener.sink.send(shown.bytes);
      }
    }
  }

  async function poll(franchiseId: string): Promise<void> {
    const last = seen.get(franchiseId) ?? null;
    const found = await inTurn(() =>
      asTenant(pool, franchiseId, { readOnly: true }, (tx) => lookForUnseen(tx, franchiseId, last)),
    );
    seen.set(franchiseId, found.seen);
    // What happened before the first count was not counted.
    for (const gymId of last === null ? [null] : found.at) wakeAt(franchiseId, gymId);
  }

  /** Repeats `work` until the end, `wait` after it is done. */
  async function repeat(wait: () => number, work: () => Promise<void> | void): Promise<void> {
    for (;;) {
      await delay(wait(), undefined, { ref: false, signal }).catch(() => undefined);
      if (signal.aborted) return;
      await work();
    }
  }

  const repeating = [
    // By the clock's quarter-minutes, so that what begins at a whole minute shows at that minute.
    repeat(
      () => intervals.tickMs - (now().getTime() % intervals.tickMs),
      () => {
        for (const room of rooms.values()) {
          for (const { sink, openedAt } of room.listeners) if (now().getTime() - openedAt > LONGEST_MS) sink.finish();
          wake(room);
        }
      },
    ),
    repeat(
      () => intervals.pollMs,
      async () => {
        const watched = new Set([...rooms.values()].map(({ franchiseId }) => franchiseId));
        for (const franchiseId of seen.keys()) if (!watched.has(franchiseId)) seen.delete(franchiseId);
        for (const franchiseId of watched) {
          await poll(franchiseId).catch((fault) => log.warn({ err: fault }, 'events could not be counted'));
        }
      },
    ),
    repeat(
      () => intervals.beatMs,
      () => {
        for (const { listeners } of rooms.values()) for (const { sink } of listeners) sink.beat();
      },
    ),
  ];
  const unhear = hints.hear(wakeAt);

  function admitOneMore(accountId: string): void {
    if (signal.aborted) throw refuse('busy', 'This instance is about to stop; connect again.');
    if (open >= limits.streams) throw refuse('busy', `This instance has ${open} streams open, and takes no more.`);
    const own = perAccount.get(accountId) ?? 0;
    if (own >= limits.streamsAnAccount) {
      throw refuse('too-many-streams', `You have ${own} streams open; close one first.`);
    }
    open += 1;
    perAccount.set(accountId, own + 1);
  }

  function leave(accountId: string): void {
    open -= 1;
    const own = (perAccount.get(accountId) ?? 1) - 1;
    if (own > 0) perAccount.set(accountId, own);
    else perAccount.delete(accountId);
  }

  return {
    open(showing, { claims, language, requestId, lastEventId, response }) {
      if (response.destroyed) return; // Gone while being let in.
      admitOneMore(claims.accountId);
      const key = `${showing.franchiseId} ${showing.name}`;
      const room = rooms.get(key) ?? { ...showing, listeners: new Set(), stale: true, looking: null, failures: 0 };
      rooms.set(key, room);
      const sink = openSink(response, language, intervals.slowestMs, () => {
        leave(claims.accountId);
        room.listeners.delete(listener);
        if (room.listeners.size === 0 && rooms.get(key) === room) rooms.delete(key);
      });
      const listener: Listener = { claims, language, requestId, sink, openedAt: now().getTime(), has: lastEventId };
      room.listeners.add(listener);
      wake(room);
    },
    async stop() {
      stopping.abort();
      unhear();
      const open = [...rooms.values()];
      for (const { listeners } of open) for (const { sink } of listeners) sink.finish();
      await Promise.all([...repeating, ...open.map(({ looking }) => looking)]);
    },
  };
}
