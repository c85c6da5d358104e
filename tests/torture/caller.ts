import { setTimeout as delay } from 'node:timers/promises';
import type { Tokens } from '../../src/platform/auth/tokens.ts';
import type { AnyBody, SignedIn } from '../support/api.ts';
import type { Random } from '../support/random.ts';

/** What a yes claims to have stored: the event by the start of its name, and an id that it carries. */
export type Told = readonly [event: string, id: string];

/** One write, from its first sending to its definite answer. */
export interface Sent {
  what: string;
  as: SignedIn;
  method: 'POST' | 'PATCH';
  path: string;
  body: unknown;
  ifMatch: number | null;
  /** Null for a PATCH: only its If-Match keeps it from being done twice. */
  key: string | null;
  dryRun: boolean;
  /** One for each time that it was sent. */
  requestIds: string[];
  /** Whether an answer to it was lost, so that an earlier sending may have been done. */
  retried: boolean;
  /** Whether a yes came and was thrown away, as if it had been lost on the way. */
  dropped: boolean;
  answer: Answered;
  told: Told[];
}

export interface Answered {
  status: number;
  text: string;
  body: AnyBody;
  replayed: boolean;
}

export interface Fault {
  what: string;
  requestId: string;
}

/** All that was sent, and what became of it. */
export interface Log {
  sent: Sent[];
  /** Of every request, reads as well, by what it was and how it was answered. */
  answers: Map<string, number>;
  lost: number;
  /** Answers that came, and were thrown away as if they had not. */
  dropped: number;
  busy: number;
  /** Sent again after a 500. */
  broken: Fault[];
  /** Broken although nothing was disturbed. */
  unexplained: Fault[];
  /** Answered otherwise when asked again, or never. */
  stuck: string[];
}

export interface Sending {
  ifMatch?: number;
  dryRun?: true;
  method?: 'POST' | 'PATCH';
  told?: (body: AnyBody) => Told[];
}

/** Somebody who calls any of the instances, and asks again until there is a definite answer. */
export interface Caller {
  read(path: string): Promise<AnyBody | null>;
  write(what: string, path: string, body: unknown, sending?: Sending): Promise<Answered>;
}

export interface Calling {
  tokens: Tokens;
  urls: readonly string[];
  log: Log;
  chance: Random;
  /** Whether a 500 at this moment has an excuse. */
  isDisturbed: () => boolean;
}

const RETRY_MS = 60;
/** A client that gives up while its request still waits could not tell a late yes from a no. */
const LONGEST_MS = 120_000;
const MOST_TRIES = 500;
const DROPS_ONE_IN = 10;
/** Of the same 500 without an excuse. */
const MOST_BROKEN = 5;

export function callerAs(as: SignedIn, calling: Calling): Caller {
  const { tokens, log, chance, urls } = calling;

  /** One sending: what came back, or null when it is not known what became of it. */
  const attempt = async (
    method: string,
    path: string,
    requestId: string,
    headers: Record<string, string>,
    body: unknown,
  ): Promise<Answered | 'busy' | null> => {
    const wasDisturbed = calling.isDisturbed();
    const url = chance.pick(urls);
    try {
      const response = await fetch(`${url}/v1${path}`, {
        method,
        headers: {
          Authorization: `Bearer ${tokens.issue(as)}`,
          'X-Request-Id': requestId,
          ...(body === undefined ? {} : { 'Content-Type': 'application/json' }),
          ...headers,
        },
        ...(body === undefined ? {} : { body: JSON.stringify(body) }),
        signal: AbortSignal.timeout(LONGEST_MS),
      });
      const text = await response.text();
      const { status } = response;
      if (status === 503) {
        log.busy += 1;
        return 'busy';
      }
      if (status >= 500) {
        const fault = { what: `${method} ${url}${path} ${status}`, requestId };
        log.broken.push(fault);
        if (!wasDisturbed && !calling.isDisturbed()) log.unexplained.push(fault);
        return null;
      }
      const read = text === '' ? {} : JSON.parse(text);
      return { status, text, body: read, replayed: response.headers.get('Idempotency-Replay') === 'true' };
    } catch {
      log.lost += 1;
      return null;
    }
  };

  const isBroken = (requestIds: readonly string[]) =>
    log.unexplained.filter(({ requestId }) => requestIds.includes(requestId)).length >= MOST_BROKEN;
  const note = (what: string, { status, body }: Answered) => {
    const name = `${what} ${status}${status >= 400 ? ` ${String(body.type).replace('/problems/', '')}` : ''}`;
    log.answers.set(name, (log.answers.get(name) ?? 0) + 1);
  };

  return {
    async read(path) {
      for (let tries = 0; tries < MOST_TRIES; tries += 1) {
        const answer = await attempt('GET', path, crypto.randomUUID(), {}, undefined);
        if (answer !== null && answer !== 'busy') {
          note('read', answer);
          return answer.status === 200 ? answer.body : null;
        }
        await delay(RETRY_MS);
      }
      throw new Error(`no answer to GET ${path}`);
    },
    async write(what, path, body, { ifMatch, dryRun, method = 'POST', told } = {}) {
      const key = method === 'POST' ? crypto.randomUUID() : null;
      const asked = dryRun ? `${path}?dryRun=true` : path;
      const headers = {
        ...(key === null ? {} : { 'Idempotency-Key': key }),
        ...(ifMatch === undefined ? {} : { 'If-Match': `"r${ifMatch}"` }),
      };
      const requestIds: string[] = [];
      let retried = false;
      let dropped: string | null = null;
      for (let tries = 0; tries < MOST_TRIES && !isBroken(requestIds); tries += 1) {
        const requestId = crypto.randomUUID();
        requestIds.push(requestId);
        const answer = await attempt(method, asked, requestId, headers, body);
        if (answer !== null && answer !== 'busy') {
          if (key !== null && dropped === null && answer.status < 300 && chance.below(DROPS_ONE_IN) === 0) {
            log.dropped += 1;
            dropped = answer.text;
            continue;
          }
          if (dropped !== null && !(dryRun || (answer.replayed && answer.text === dropped))) {
            log.stuck.push(`asked again, and answered otherwise: ${what}, ${answer.status}, ${requestId}`);
          }
          note(what, answer);
          log.sent.push({
            ...{ what, as, method, path: asked, body, ifMatch: ifMatch ?? null, key, requestIds, retried, answer },
            dryRun: dryRun ?? false,
            dropped: dropped !== null,
            told: answer.status < 300 && told && !dryRun ? told(answer.body) : [],
          });
          return answer;
        }
        retried ||= answer === null;
        await delay(RETRY_MS);
      }
      throw new Error(`no definite answer to ${method} ${asked}, last as ${requestIds.at(-1)}`);
    },
  };
}

/** Sends a write again as it was, with its key. */
export async function replay({ tokens, urls }: Pick<Calling, 'tokens' | 'urls'>, sent: Sent): Promise<Answered> {
  const response = await fetch(`${urls[0]}/v1${sent.path}`, {
    method: sent.method,
    headers: {
      Authorization: `Bearer ${tokens.issue(sent.as)}`,
      ...(sent.body === undefined ? {} : { 'Content-Type': 'application/json' }),
      ...(sent.key === null ? {} : { 'Idempotency-Key': sent.key }),
      ...(sent.ifMatch === null ? {} : { 'If-Match': `"r${sent.ifMatch}"` }),
    },
    ...(sent.body === undefined ? {} : { body: JSON.stringify(sent.body) }),
  });
  const text = await response.text();
  const body = text === '' ? {} : JSON.parse(text);
  return { status: response.status, text, body, replayed: response.headers.get('Idempotency-Replay') === 'true' };
}
