import { randomUUID } from 'node:crypto';
import { z } from 'zod';
import { type Listener, listenTo } from './listener.ts';
import { type Told, TourStops } from './told.ts';

export interface Asked {
  method: 'GET' | 'POST' | 'PUT';
  /** Below the service's address: `/v1/…`. */
  path: string;
  body?: unknown;
  /** The revision that was read. */
  ifMatch?: number;
}

export const get = (path: string): Asked => ({ method: 'GET', path: `/v1${path}` });
export const post = (path: string, body?: unknown, ifMatch?: number): Asked => ({
  method: 'POST',
  path: `/v1${path}`,
  body,
  ...(ifMatch === undefined ? {} : { ifMatch }),
});
export const put = (path: string, body: unknown, ifMatch: number): Asked => ({
  method: 'PUT',
  path: `/v1${path}`,
  body,
  ifMatch,
});

/** What the tour reads of a refusal. */
const Refusal = z.looseObject({
  type: z.string(),
  title: z.string(),
  detail: z.string(),
  findings: z.array(z.looseObject({ code: z.string(), sentence: z.string() })).default([]),
  refusals: z.array(z.looseObject({ why: z.string(), sentence: z.string() })).default([]),
  remedies: z
    .array(z.object({ sentence: z.string(), request: z.object({ path: z.string(), body: z.unknown() }).nullable() }))
    .default([]),
});

const SignedIn = z.object({ accessToken: z.string() });

/** Somebody who takes part, by their role. */
export interface Player {
  who: string;
  /** Asks and hears yes; `answer` says what it was, in words. Anything else ends the tour. */
  does<T extends z.ZodType>(
    what: string,
    asked: Asked,
    as: T,
    answer: (body: z.output<T>) => string,
  ): Promise<z.output<T>>;
  /** Asks and is refused by that problem; every sentence of the refusal is told. Anything else ends the tour. */
  isRefused(what: string, asked: Asked, problem: string): Promise<z.output<typeof Refusal>>;
  /** The same as the step before once more, so nothing is told of it. */
  quietly<T extends z.ZodType>(asked: Asked, as: T): Promise<z.output<T>>;
  /** Reads, and tells nothing. */
  reads<T extends z.ZodType>(path: string, as: T): Promise<z.output<T>>;
  /** Opens a stream of boards, which are told as they are heard. */
  listens(what: string, path: string): Promise<Listener>;
}

/** Somebody who calls the service at `url`, signed in. */
export async function signIn(
  { url, told, step }: { url: string; told: Told; step: () => number },
  who: string,
  credentials: { email: string; password: string },
): Promise<Player> {
  const opened = await send(url, null, post('/sign-in', credentials));
  if (opened.status !== 200) {
    throw new TourStops(
      `The demo's sign-in ${credentials.email} does not work at ${url} (${opened.status}): the tour plays on the demo franchise; load it with npm run db:seed.`,
    );
  }
  const { accessToken } = SignedIn.parse(opened.body);
  const ask = (asked: Asked) => send(url, accessToken, asked);
  const hears = async <T extends z.ZodType>(what: string, asked: Asked, as: T): Promise<z.output<T>> => {
    const { status, body } = await ask(asked);
    const read = as.safeParse(body);
    if (status >= 300 || !read.success) throw differs(`${who} ${what}`, 'a yes as it is told', status, body);
    return read.data;
  };
  const head = (what: string) => told.line(`\n${String(step()).padStart(2)}. ${who} ${what}.`);

  return {
    who,
    async does(what, asked, as, answer) {
      head(what);
      const heard = await hears(what, asked, as);
      told.line(`    Yes: ${answer(heard)}`);
      return heard;
    },
    async isRefused(what, asked, problem) {
      head(what);
      const { status, body } = await ask(asked);
      const read = Refusal.safeParse(body);
      if (status < 400 || !read.success || read.data.type !== `/problems/${problem}`) {
        throw differs(`${who} ${what}`, `the refusal ${problem}`, status, body);
      }
      const { title, detail, findings, refusals, remedies } = read.data;
      const reasons = [...refusals, ...findings].map(({ sentence }) => sentence);
      told.line(`    No (${status} ${problem}): ${title}.`);
      for (const reason of reasons.length > 0 ? new Set(reasons) : [detail]) told.line(`      - ${reason}`);
      for (const { sentence } of remedies.slice(0, 3)) told.line(`      What would help: ${sentence}`);
      return read.data;
    },
    quietly: (asked, as) => hears(`asks ${asked.method} ${asked.path}`, asked, as),
    reads: (path, as) => hears(`reads ${path}`, get(path), as),
    listens(what, path) {
      head(what);
      return listenTo(`${url}/v1${path}`, accessToken, { who, told });
    },
  };
}

const differs = (what: string, expected: string, status: number, body: unknown) =>
  new TourStops(
    `The tour differs from what it says. When ${what}, the answer was to be ${expected}; it was ${status}: ${JSON.stringify(body)?.slice(0, 2000)}`,
  );

async function send(url: string, token: string | null, { method, path, body, ifMatch }: Asked) {
  const headers: Record<string, string> = { Accept: 'application/json' };
  if (token !== null) headers.Authorization = `Bearer ${token}`;
  if (body !== undefined) headers['Content-Type'] = 'application/json';
  if (ifMatch !== undefined) headers['If-Match'] = `"r${ifMatch}"`;
  if (method === 'POST' && token !== null) headers['Idempotency-Key'] = randomUUID();
  let response: Response;
  try {
    response = await fetch(`${url}${path}`, {
      method,
      headers,
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
    });
  } catch {
    throw new TourStops(
      `No service answers at ${url}: start it with npm start, or give its address: npm run tour -- http://…`,
    );
  }
  const text = await response.text();
  return { status: response.status, body: readJson(text) };
}

/** Null for an empty answer; text that is no JSON as it is, for the sentence that it ends the tour with. */
function readJson(text: string): unknown {
  if (text === '') return null;
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}
