import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createApp } from '../../src/app.ts';
import { createPasswords } from '../../src/platform/auth/passwords.ts';
import { createTokens } from '../../src/platform/auth/tokens.ts';
import { createPool } from '../../src/platform/db/pool.ts';
import { openHints } from '../../src/platform/events/hints.ts';
import { createStreams } from '../../src/platform/http/rooms.ts';
import { drain, listen } from '../../src/platform/http/serve.ts';
import { createLog } from '../../src/platform/log.ts';
import type { Member } from '../support/a-franchise.ts';
import { type Program, startProgram, startService } from '../support/service.ts';
import { fill, type GymDay, type Size } from './fill.ts';
import { type Call, type Side, sendOrFail } from './load.ts';
import type { Played } from './raw-server.ts';
import { recordStatements, type Sent } from './recording.ts';
import { type BenchDatabase, type BenchServer, TOKEN_KEY } from './server.ts';

export const POOL_MAX = 10;
const tokens = createTokens([TOKEN_KEY], () => new Date());

/** A filled database with the service on it, in a process of its own. */
export interface House {
  database: BenchDatabase;
  gymDay: GymDay;
  service: Program & { url: string };
  /** The service, called by somebody; by the measured gym's desk when left out. Good for a quarter of an hour. */
  as(member?: Member): Side;
  close(): Promise<void>;
}

const SERVICE = { SWEEP: 'off', REQUESTS_A_MINUTE: '1000000', STREAMS: '5000', STREAMS_AN_ACCOUNT: '1000' };
/** The service as anybody starts it, but that it can be asked for its memory. */
const ASKABLE = ['--expose-gc', '--import', 'tsx', '--import', './tests/bench/memory-on-signal.ts'];

export async function openHouse(server: BenchServer, name: string, size: Size): Promise<House> {
  const database = await server.openDatabase(name);
  const gymDay = await fill(database, size, new Date());
  const addresses = { DATABASE_URL: database.urls.service, DATABASE_DIRECT_URL: database.urls.owner };
  const keys = { TOKEN_KEYS: `${TOKEN_KEY.kid}:${TOKEN_KEY.secret}` };
  const service = await startService({ ...addresses, ...keys, ...SERVICE, POOL_MAX: String(POOL_MAX) }, ASKABLE);
  return {
    database,
    gymDay,
    service,
    as: (member = gymDay.desk) => ({
      url: service.url,
      headers: { Authorization: `Bearer ${tokens.issue(member)}` },
    }),
    async close() {
      service.child.kill('SIGTERM');
      await service.ended;
    },
  };
}

export const checkInCall = ({ gym }: GymDay, { athleteId, sessionId }: GymDay['expected'][number]): Call => ({
  method: 'POST',
  path: `/v1/gyms/${gym.id}/check-ins`,
  body: { arrivals: [{ athleteId, sessionId }] },
});

export const boardCall = ({ gym }: GymDay): Call => ({ method: 'GET', path: `/v1/gyms/${gym.id}/board` });

export interface Raw {
  side: Side;
  /** How many statements it sends for a request. */
  statements: number;
  close(): Promise<void>;
}

/** A bare server on the house's database that plays that script. */
export async function openRaw({ database }: House, played: Played): Promise<Raw> {
  const folder = await mkdtemp(join(tmpdir(), 'matside-bench-script-'));
  const file = join(folder, 'script.json');
  await writeFile(file, JSON.stringify(played));
  const program = startProgram('tests/bench/raw-server.ts', {
    DATABASE_URL: database.urls.service,
    POOL_MAX: String(POOL_MAX),
    SCRIPT: file,
  });
  const [, url = ''] = await program.printed(/listening at (http:\S+)/);
  return {
    side: { url, headers: {} },
    statements: played.script.statements.length,
    async close() {
      program.child.kill('SIGTERM');
      await program.ended;
      await rm(folder, { recursive: true });
    },
  };
}

/** Asks the service inside this process, where its pool can be listened to; gives what each call sent and answered. */
export async function listenIn(
  { database, as }: House,
  calls: readonly Call[],
): Promise<{ sent: Sent[]; answer: unknown }[]> {
  const log = createLog('warn');
  const pool = createPool({
    url: database.urls.service,
    applicationName: 'matside bench',
    max: 1,
    role: null,
    preparedStatements: true,
    log,
  });
  const recording = recordStatements(pool);
  const now = () => new Date();
  const hints = await openHints({ ways: [], log });
  const streams = createStreams({ pool, now, log, hints, limits: { streams: 1, streamsAnAccount: 1 } });
  const app = createApp({
    pool,
    now,
    log,
    tokens,
    passwords: createPasswords(),
    publicUrl: () => '',
    tell: () => undefined,
    streams,
    limits: { requestsAMinute: 1000, signInsAMinute: 1 },
    isReady: async () => true,
    trustedProxies: 0,
  });
  const { server, url } = await listen(app, 0, '127.0.0.1');
  try {
    const heard: { sent: Sent[]; answer: unknown }[] = [];
    for (const call of calls) {
      const { text } = await sendOrFail({ ...as(), url }, call);
      heard.push({ sent: recording.take(), answer: JSON.parse(text) });
    }
    return heard;
  } finally {
    await Promise.all([drain(server), streams.stop()]);
    await hints.close();
    await pool.end();
  }
}
