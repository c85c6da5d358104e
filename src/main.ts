import { join } from 'node:path';
import type pg from 'pg';
import { createApp } from './app.ts';
import { type BannerFacts, banner } from './banner.ts';
import { type Config, readConfig } from './config.ts';
import { seedDemo } from './demo/seed.ts';
import { keepDemoFacts, keptDemoFacts } from './demo-facts.ts';
import { keptTokenKey } from './keys.ts';
import { createPasswords } from './platform/auth/passwords.ts';
import { createTokens } from './platform/auth/tokens.ts';
import { openDatabase } from './platform/db/open.ts';
import { type Hints, openHints } from './platform/events/hints.ts';
import { createStreams } from './platform/http/rooms.ts';
import { drain, listen } from './platform/http/serve.ts';
import { createLog, type Log } from './platform/log.ts';
import { runProgram, stopSignal } from './platform/process.ts';
import { startUpkeep } from './upkeep.ts';

const now = () => new Date();

await runProgram(async () => {
  const asked = stopSignal();
  const config = readConfig('serve');
  const log = createLog(config.logLevel);
  const database = await openDatabase(config, log, (pool) => seedFirstStart(config, log, pool));
  try {
    const hints = await openHints({ ways: database.direct, log });
    await serve(config, log, database.pool, hints, asked).finally(hints.close);
  } finally {
    await database.close();
  }
  log.info('stopped');
});

/** Answers requests until `asked`, then turns unready, takes no more of them, and finishes those under way. */
async function serve(
  config: Config,
  log: Log,
  pool: pg.Pool,
  hints: Hints,
  asked: Promise<NodeJS.Signals>,
): Promise<void> {
  const keys = config.tokenKeys.length > 0 ? config.tokenKeys : [await keptTokenKey(config.dataDir)];
  const streams = createStreams({ pool, now, log, hints, limits: config.streamLimits });
  let draining = false;
  let url = '';
  const app = createApp({
    pool,
    now,
    log,
    tokens: createTokens(keys, now),
    passwords: createPasswords(),
    publicUrl: () => url,
    tell: hints.tell,
    streams,
    limits: config.limits,
    trustedProxies: config.trustedProxies,
    isReady: async () => !draining && (await answers(pool)),
  });
  const listening = await listen(app, config.port, config.host);
  const upkeep = config.sweep ? startUpkeep(pool, now, log, hints.tell) : null;
  try {
    url = config.publicUrl ?? listening.url;
    console.log(banner(await factsOf(config, url)));
    log.info({ signal: await asked }, 'stopping');
  } finally {
    draining = true;
    // First the door, so that a reader whose stream ends comes back to another instance.
    await Promise.all([drain(listening.server), streams.stop()]);
    await upkeep?.stop();
  }
}

function answers(pool: pg.Pool): Promise<boolean> {
  return pool.query('SELECT 1').then(
    () => true,
    () => false,
  );
}

/** Only a database of our own, and only an empty one, gets the demo without being asked. */
async function seedFirstStart(config: Config, log: Log, pool: pg.Pool): Promise<void> {
  if (config.database.kind !== 'embedded') return;
  const { rows } = await pool.query<{ used: boolean }>('SELECT EXISTS (SELECT FROM account_franchises) AS used');
  if (rows[0]?.used !== false) return;
  log.info('loading the demo franchise');
  await keepDemoFacts(config.dataDir, await seedDemo({ pool, log, now }));
}

async function factsOf({ database, dataDir }: Config, url: string): Promise<BannerFacts> {
  if (database.kind === 'given') {
    return { url, database: { kind: 'given', host: new URL(database.serviceUrl).host }, demo: null };
  }
  return { url, database: { kind: 'embedded', folder: join(dataDir, 'postgres') }, demo: await keptDemoFacts(dataDir) };
}
