import { pino } from 'pino';
import { inject } from 'vitest';
import { createApp } from '../../src/app.ts';
import { createPasswords } from '../../src/platform/auth/passwords.ts';
import { createTokens, type Tokens } from '../../src/platform/auth/tokens.ts';
import { openHints } from '../../src/platform/events/hints.ts';
import { createStreams, type Intervals } from '../../src/platform/http/rooms.ts';
import { drain, listen } from '../../src/platform/http/serve.ts';
import { errorForLog } from '../../src/platform/log.ts';
import type { Fault } from '../../src/platform/problem.ts';
import { routes } from '../../src/routes.ts';
import { tenantTables, withoutFranchise } from './captured-sql.ts';
import { contractOf } from './contract.ts';
import { openTestDatabase, type TestDatabase } from './database.ts';
import { keepSeen } from './seen.ts';

/** What many answers have; for the rest name the schema's type: `get<Gym>('/gyms/…')`. */
export interface AnyBody {
  id: string;
  revision: number;
  items: ({ id: string } & Record<string, unknown>)[];
  next: string | null;
  type: string;
  title: string;
  detail: string;
  errors: Fault[];
  findings: ({ code: string } & Record<string, unknown>)[];
  remedies: Record<string, unknown>[];
  refusals: ({ why: string } & Record<string, unknown>)[];
  [more: string]: unknown;
}

export interface Answer<T = AnyBody> {
  status: number;
  headers: Headers;
  /** Read as JSON where it is; null when empty. */
  body: T;
  text: string;
}

export interface Sending {
  /** The revision that was read, or a whole If-Match header. */
  ifMatch?: number | string;
  /** An Idempotency-Key; `true` makes a new one. */
  key?: string | true;
  dryRun?: true;
  headers?: Record<string, string>;
}

/** Somebody who calls; paths are below /v1. */
export interface Caller {
  get<T = AnyBody>(path: string, sending?: Sending): Promise<Answer<T>>;
  post<T = AnyBody>(path: string, body?: unknown, sending?: Sending): Promise<Answer<T>>;
  put<T = AnyBody>(path: string, body?: unknown, sending?: Sending): Promise<Answer<T>>;
  patch<T = AnyBody>(path: string, body?: unknown, sending?: Sending): Promise<Answer<T>>;
  delete<T = AnyBody>(path: string, sending?: Sending): Promise<Answer<T>>;
}

/** Who a call is made as: enough to make an access token for. */
export interface SignedIn {
  accountId: string;
  franchiseId: string;
  signInId: string;
}

export interface Api {
  /** `http://127.0.0.1:…` */
  url: string;
  database: TestDatabase;
  tokens: Tokens;
  clock: {
    now(): Date;
    set(moment: string | Date): void;
    advance(by: { days?: number; hours?: number; minutes?: number }): void;
  };
  /** Calls as this member, with a token that is good at the clock's moment. */
  as(member: SignedIn): Caller;
  /** Calls without a token. */
  anyone: Caller;
  /** One request as it stands; `path` from the root, `body` sent as it is. */
  send<T = AnyBody>(
    method: string,
    path: string,
    request?: { headers?: Record<string, string>; body?: string | Buffer },
  ): Promise<Answer<T>>;
  /** Operations and the statuses that they were seen to answer: "assignCoach 201". */
  seen: Set<string>;
  /** Fails when a statement forgot the franchise, or an answer broke its contract and nobody heard. */
  close(): Promise<void>;
}

export interface ApiOptions {
  /** A second instance of the service on the database of this one; close it first. */
  beside?: Api;
  /** The clock's first moment: a Monday morning in September, in Dublin and in UTC. */
  now?: string;
  limits?: { requestsAMinute?: number; signInsAMinute?: number };
  /** How many streams there may be, and how often they are looked at unasked: never, when left out. */
  streams?: Partial<Intervals> & { most?: number; anAccount?: number };
  /** A test that breaks the service on purpose: `internal` is then an answer like any other. */
  mayBreak?: true;
  isReady?: () => Promise<boolean>;
  /** What others do while a password is hashed, with no transaction open. */
  whileHashing?: () => Promise<unknown>;
}

const NEVER_MS = 24 * 60 * 60 * 1000;
const UNASKED_NEVER: Intervals = {
  tickMs: NEVER_MS,
  pollMs: NEVER_MS,
  beatMs: NEVER_MS,
  slowestMs: NEVER_MS,
  gapMs: 1,
  againMs: 1,
};

/** `now` signs; both verify. */
export const TOKEN_KEYS = {
  now: { kid: 'test-now', secret: 'a-key-for-tests-that-signs-access-tokens' },
  old: { kid: 'test-old', secret: 'a-key-for-tests-that-signed-them-earlier' },
};

/** The service on a port of its own over an empty database, as the unprivileged role. Call `close` in `afterAll`. */
export async function openApi(options: ApiOptions = {}): Promise<Api> {
  const database = options.beside?.database ?? (await openTestDatabase());
  let now = new Date(options.now ?? '2026-09-07T08:00:00Z');
  const tokens = createTokens([TOKEN_KEYS.now, TOKEN_KEYS.old], () => now);
  const passwords = createPasswords(4);
  const contract = contractOf(routes);
  /** What broke and was not yet thrown at a caller. */
  const broken: string[] = [];
  const log = pino(
    { level: 'error', serializers: { err: errorForLog } },
    { write: (line: string) => void (options.mayBreak || broken.push(line)) },
  );
  const hints = await openHints({ ways: [{ url: database.urls.service, role: null }], log });
  const { most = 5000, anAccount = 1000, ...intervals } = options.streams ?? {};
  const streams = createStreams({
    pool: database.servicePool,
    now: () => now,
    log,
    hints,
    limits: { streams: most, streamsAnAccount: anAccount },
    intervals: { ...UNASKED_NEVER, ...intervals },
  });
  const app = createApp({
    pool: database.servicePool,
    tell: hints.tell,
    streams,
    now: () => now,
    log,
    tokens,
    passwords: {
      ...passwords,
      async hash(password) {
        await options.whileHashing?.();
        return passwords.hash(password);
      },
    },
    publicUrl: () => url,
    limits: { requestsAMinute: 1_000_000, signInsAMinute: 1_000_000, ...options.limits },
    isReady: options.isReady ?? (async () => true),
    trustedProxies: 0,
    onAnswer: (route, reply) => {
      const fault = contract.faultInReply(route, reply);
      if (fault) broken.push(fault);
    },
  });
  const { server, url } = await listen(app, 0, '127.0.0.1');

  const send: Api['send'] = async (method, path, { headers = {}, body } = {}) => {
    const response = await fetch(`${url}${path}`, { method, headers, ...(body === undefined ? {} : { body }) });
    const text = await (isStream(response) ? firstMessage(response) : response.text());
    const type = response.headers.get('Content-Type') ?? '';
    const read =
      text === '' && (type === '' || method === 'HEAD') ? null : /[/+]json\b/.test(type) ? JSON.parse(text) : text;
    const { status } = response;
    const fault = contract.faultInAnswer({
      method: method.toLowerCase(),
      path: path.split('?')[0] ?? path,
      status,
      type,
      body: read,
    });
    const faults = [...broken.splice(0), ...(fault ? [fault] : [])];
    if (faults.length > 0) throw new Error(`${method} ${path} (${status}):\n${faults.map(readable).join('\n')}`);
    return { status, headers: response.headers, body: read, text };
  };

  const callerWith = (authorization: () => Record<string, string>): Caller => {
    const call = <T>(method: string, path: string, body: unknown, sending: Sending = {}) => {
      const { ifMatch, key, dryRun } = sending;
      const headers = {
        ...authorization(),
        ...(body === undefined ? {} : { 'Content-Type': 'application/json' }),
        ...(ifMatch === undefined ? {} : { 'If-Match': typeof ifMatch === 'number' ? `"r${ifMatch}"` : ifMatch }),
        ...(key === undefined ? {} : { 'Idempotency-Key': key === true ? crypto.randomUUID() : key }),
        ...sending.headers,
      };
      const asked = dryRun ? `${path}${path.includes('?') ? '&' : '?'}dryRun=true` : path;
      return send<T>(method, `/v1${asked}`, { headers, ...(body === undefined ? {} : { body: JSON.stringify(body) }) });
    };
    return {
      get: (path, sending) => call('GET', path, undefined, sending),
      post: (path, body, sending) => call('POST', path, body, sending),
      put: (path, body, sending) => call('PUT', path, body, sending),
      patch: (path, body, sending) => call('PATCH', path, body, sending),
      delete: (path, sending) => call('DELETE', path, undefined, sending),
    };
  };

  return {
    url,
    database,
    tokens,
    clock: {
      now: () => now,
      set: (moment) => {
        now = new Date(moment);
      },
      advance: ({ days = 0, hours = 0, minutes = 0 }) => {
        now = new Date(now.getTime() + ((days * 24 + hours) * 60 + minutes) * 60_000);
      },
    },
    as: (member) => callerWith(() => ({ Authorization: `Bearer ${tokens.issue(member)}` })),
    anyone: callerWith(() => ({})),
    send,
    seen: contract.seen,
    async close() {
      await Promise.all([drain(server), streams.stop()]);
      await hints.close();
      const unsent = [...broken];
      const forgetful = withoutFranchise(database.statements, await tenantTables(database.ownerPool));
      if (!options.beside) await database.close();
      await keepSeen(inject('seen'), contract.seen);
      if (unsent.length > 0) throw new Error(`It broke, and no caller heard:\n${unsent.map(readable).join('\n')}`);
      if (forgetful.length > 0) throw new Error(`These statements do not name the franchise:\n${forgetful.join('\n')}`);
    },
  };
}

const isStream = (response: Response) => response.headers.get('Content-Type') === 'text/event-stream';

/** Of a stream, what it sends until its first message is whole; then it is let go. */
async function firstMessage({ body }: Response): Promise<string> {
  let text = '';
  for await (const chunk of body?.pipeThrough(new TextDecoderStream()) ?? []) {
    text += chunk;
    if (/^data: .*\n\n/m.test(text)) break;
  }
  return text;
}

/** A log line's error, with its stack, as people read it; anything else as it is. */
function readable(line: string): string {
  if (!line.startsWith('{')) return line;
  const { err } = JSON.parse(line);
  const lines: string[] = [];
  for (let error = err; error; error = error.cause) {
    lines.push(`${error.type} ${error.code ?? ''} ${error.constraint ?? ''}: ${error.message}`, ...error.stack);
  }
  return lines.join('\n');
}
