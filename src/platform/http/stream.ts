import { createHash } from 'node:crypto';
import type { ServerResponse } from 'node:http';
import type { Language } from '../language.ts';

// Server-sent events as the HTML standard has them: https://html.spec.whatwg.org/multipage/server-sent-events.html

/** How long a browser waits until it connects again: not all of them the same, when an instance has stopped. */
const retryMs = () => 1000 + Math.floor(Math.random() * 2000);
const BEAT = Buffer.from(': still here\n\n');

/** One message; encoded once, and the same bytes written to everybody. */
export interface Message {
  id: string;
  bytes: Buffer;
}

/**
 * The state of something as a message. Its id is a digest of the state, so that any instance knows, with no memory of
 * what was sent, whether a reader who comes back has it already.
 *
 * @param asOf the field that says only when the state was read: two that differ in nothing else are the same.
 */
export function stateMessage(event: string, state: Record<string, unknown>, asOf: string): Message {
  const { [asOf]: _, ...lasting } = state;
  const id = createHash('sha256').update(JSON.stringify(lasting)).digest('base64url');
  return { id, bytes: Buffer.from(`id: ${id}\nevent: ${event}\ndata: ${JSON.stringify(state)}\n\n`) };
}

/** The last message of a stream that ends for a reason: the problem document. It has no id, so that none is lost. */
export const closedMessage = (problem: object): Buffer =>
  Buffer.from(`event: closed\ndata: ${JSON.stringify(problem)}\n\n`);

const ID = /^[\w-]{43}$/;

/** The id that a reader says it has; null for none, or one that no message of ours has. */
export const readLastEventId = (value: string | undefined): string | null =>
  value !== undefined && ID.test(value) ? value : null;

/** Where one reader's messages go. */
export interface Sink {
  /** Writes a message; to a reader who has not taken the one before, when they have, and then only the newest. */
  send(bytes: Buffer): void;
  /** Says that the stream is alive, to the reader and to whatever stands between. */
  beat(): void;
  /** Ends the stream, after a last message where one is given. */
  finish(last?: Buffer): void;
}

/**
 * Begins a stream. At most one message waits in memory for a reader beside the one being written; a reader who takes
 * nothing of it for `slowestMs` is cut off.
 *
 * @param onGone called once, when the connection is over, whoever ended it.
 */
export function openSink(response: ServerResponse, language: Language, slowestMs: number, onGone: () => void): Sink {
  let newest: Buffer | null = null;
  let tooSlow: NodeJS.Timeout | undefined;

  const write = (bytes: Buffer) => {
    if (response.writableEnded || response.destroyed || response.write(bytes)) return;
    tooSlow = setTimeout(() => response.destroy(), slowestMs);
    tooSlow.unref();
  };
  response.on('drain', () => {
    clearTimeout(tooSlow);
    tooSlow = undefined;
    const waiting = newest;
    newest = null;
    if (waiting !== null) write(waiting);
  });
  response.on('error', () => undefined); // `close` follows.
  response.once('close', () => {
    clearTimeout(tooSlow);
    onGone();
  });

  response.socket?.setKeepAlive(true, 60_000);
  // The connection serves for nothing after it; a proxy is asked not to hold messages back.
  response.writeHead(200, {
    'Content-Type': 'text/event-stream',
    'Content-Language': language,
    'Cache-Control': 'no-store',
    'X-Accel-Buffering': 'no',
    Connection: 'close',
  });
  response.write(`retry: ${retryMs()}\n\n`);

  return {
    send(bytes) {
      if (tooSlow === undefined) write(bytes);
      else newest = bytes;
    },
    beat() {
      if (tooSlow === undefined) write(BEAT);
    },
    finish(last) {
      if (response.writableEnded) return;
      if (tooSlow !== undefined) return void response.destroy();
      tooSlow = setTimeout(() => response.destroy(), slowestMs);
      tooSlow.unref();
      if (last === undefined) response.end();
      else response.end(last);
    },
  };
}
