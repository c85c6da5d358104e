import { setTimeout as delay } from 'node:timers/promises';
import pg from 'pg';
import { createTokens } from '../../src/platform/auth/tokens.ts';
import { messageOf } from '../../src/platform/cannot-start.ts';
import { look } from '../support/look.ts';
import { type Random, random } from '../support/random.ts';
import { type Act, type Client, peopleActs, staffingActs } from './acts.ts';
import { doorActs } from './acts-door.ts';
import { scheduleActs } from './acts-schedule.ts';
import { type Calling, callerAs, type Log } from './caller.ts';
import { type Checked, check } from './check.ts';
import { type Instances, openInstances } from './instances.ts';
import { type DurableServer, openDurableServer } from './server.ts';
import { aWorld, fillWorld, type World } from './world.ts';

export interface TortureOptions {
  seed: number;
  services: number;
  clients: number;
  /** Whether the clients go on: asked before each thing that one does, with how many were done, for how long, and what broke. */
  goesOn: (acts: number, forMs: number, breaks: number) => boolean;
  /** After how many acts something breaks next, and what: null for never again. */
  nextBreak: (chance: Random, breaks: number) => { afterActs: number; what: Break } | null;
  /** Every so many writes are sent again at the end. */
  replayEvery: number;
}
export type Break = 'kill' | 'stop database' | 'both';

export interface Tortured extends Checked {
  log: Log;
  kills: number;
  restarts: number;
  databaseStops: number;
  looks: number;
  /** Confirmed blocks in all looks together. */
  blocksJudged: number;
  seconds: number;
}

const KEY = { kid: 'torture', secret: 'a-key-that-signs-tokens-for-a-torture' };
const LONGEST_JITTER_MS = 40;
/** The watcher leaves the machine to those whom it watches for a while. */
const BETWEEN_LOOKS_MS = 30;
/** An answer that was under way when something broke may still come for so long. */
const AFTERMATH_MS = 5_000;

const ACTS: Act[] = [...staffingActs, ...peopleActs, ...scheduleActs, ...doorActs];
const ALL_WEIGHTS = ACTS.reduce((sum, [weight]) => sum + weight, 0);

function anAct({ chance }: Client): Act[1] {
  let at = chance.below(ALL_WEIGHTS);
  for (const [weight, act] of ACTS) {
    if (at < weight) return act;
    at -= weight;
  }
  throw new Error('the weights do not add up');
}

/**
 * Many clients at several instances of the service at once, while instances are killed and the database is stopped;
 * a watcher judges snapshots all the while, and at the end everything stored is held against everything answered.
 */
export async function torture(options: TortureOptions): Promise<Tortured> {
  const began = Date.now();
  const server = await openDurableServer();
  let instances: Instances | null = null;
  try {
    instances = await openInstances(options.services, {
      DATABASE_URL: server.urls.service,
      DATABASE_DIRECT_URL: server.urls.owner,
      TOKEN_KEYS: `${KEY.kid}:${KEY.secret}`,
    });
    const done = await run(options, server, instances);
    return { ...done, seconds: Math.round((Date.now() - began) / 1000) };
  } catch (error) {
    const [first] = instances?.faultsLogged() ?? [];
    throw new Error(`it could not go on; first that a service logged: ${first?.text ?? 'nothing'}`, { cause: error });
  } finally {
    await instances?.close();
    await server.close();
  }
}

async function run(options: TortureOptions, server: DurableServer, instances: Instances) {
  const { seed } = options;
  const log: Log = {
    sent: [],
    answers: new Map(),
    lost: 0,
    dropped: 0,
    busy: 0,
    broken: [],
    unexplained: [],
    stuck: [],
  };
  const breaking = breaker(server, instances);
  const tokens = createTokens([KEY], () => new Date());
  const calling = (n: number): Calling => ({
    ...{ tokens, log, urls: instances.urls, chance: random(seed + 1_000 * n), isDisturbed: breaking.isDisturbed },
  });
  const world = await aWorld(server, new Date());
  const arranged = await transactionsSoFar(server.ownerPool);
  await fillWorld(world, callerAs(world.f.owner, calling(0)));

  const began = Date.now();
  let acts = 0;
  let breaks = 0;
  let working = true;
  const watching = watch(server, world, () => working, breaking.isDisturbed);
  const goesOn = () =>
    watching.seen.faults.length + log.unexplained.length === 0 && options.goesOn(acts, Date.now() - began, breaks);
  const clients = Array.from({ length: options.clients }, async (_, n) => {
    const client = aClient(world, calling(n + 1), random(seed + n));
    while (goesOn()) {
      acts += 1;
      await anAct(client)(client).catch((error: unknown) => log.stuck.push(`it went no further: ${messageOf(error)}`));
    }
  });
  const everybody = Promise.all(clients);
  const breakings = (async () => {
    const chance = random(seed - 1);
    for (; ; breaks += 1) {
      const next = options.nextBreak(chance, breaks);
      if (next === null) return;
      const from = acts;
      while (acts < from + next.afterActs) {
        if (!goesOn()) return;
        await delay(5);
      }
      await delay(chance.below(LONGEST_JITTER_MS));
      await breaking.breakOne(next.what, chance);
    }
  })();
  await Promise.race([everybody, watching.done]);
  await Promise.all([everybody, breakings]);
  working = false;
  const { looks, blocksJudged, faults } = await watching.done;
  const checked = await check({ server, world, log, arranged, calling: calling(0), replayEvery: options.replayEvery });
  const logged = instances.faultsLogged();
  const why = (requestId: string) => logged.find((one) => one.requestId === requestId)?.text ?? 'nothing was logged';
  return {
    ...{ log, looks, blocksJudged, ...breaking.counts },
    checks: checked.checks,
    faults: [
      ...faults,
      ...checked.faults,
      ...log.stuck,
      ...log.unexplained.map(({ what, requestId }) => `broke with nothing disturbed: ${what}: ${why(requestId)}`),
    ],
  };
}

function aClient(world: World, calling: Calling, chance: Random): Client {
  return {
    ...{ world, chance },
    owner: callerAs(world.f.owner, calling),
    deskAt: (gymId) => callerAs(world.f.deskOf(world.f.gyms.find(({ id }) => id === gymId)!), calling),
  };
}

/** Breaks one thing at a time and mends it. */
function breaker(server: DurableServer, instances: Instances) {
  const counts = { kills: 0, restarts: 0, databaseStops: 0 };
  let broken = false;
  let mendedAt = 0;
  const killed = async (chance: Random, meanwhile: () => Promise<void>) => {
    const index = chance.below(instances.urls.length);
    await instances.kill(index);
    counts.kills += 1;
    await meanwhile();
    await instances.start(index);
    counts.restarts += 1;
  };
  const stopped = async () => {
    await server.stopAtOnce();
    counts.databaseStops += 1;
    await server.start();
  };
  const nothing = async () => undefined;
  return {
    counts,
    isDisturbed: () => broken || Date.now() - mendedAt < AFTERMATH_MS,
    async breakOne(what: Break, chance: Random) {
      broken = true;
      if (what === 'stop database') await stopped();
      else await killed(chance, what === 'both' ? stopped : nothing);
      mendedAt = Date.now();
      broken = false;
    },
  };
}

/** Looks again and again, on a connection of its own, which it opens anew when the database was stopped. */
function watch(server: DurableServer, { f }: World, isWorking: () => boolean, isDisturbed: () => boolean) {
  const seen: { looks: number; blocksJudged: number; faults: string[] } = { looks: 0, blocksJudged: 0, faults: [] };
  const lookOn = async (client: pg.Client) => {
    while (seen.faults.length === 0) {
      const last = !isWorking();
      const { faults, confirmed } = await look(client, f.id, new Date());
      seen.looks += 1;
      seen.blocksJudged += confirmed;
      seen.faults.push(...faults.map((fault) => `at look ${seen.looks}, ${new Date().toISOString()}: ${fault}`));
      if (last) return;
      await delay(BETWEEN_LOOKS_MS);
    }
  };
  const watching = async () => {
    for (;;) {
      const client = new pg.Client({ connectionString: server.urls.owner });
      client.on('error', () => undefined);
      try {
        await client.connect();
        await lookOn(client);
        return seen;
      } catch (error) {
        if (!isDisturbed()) throw error;
        await delay(50);
      } finally {
        await client.end().catch(() => undefined);
      }
    }
  };
  return { seen, done: watching() };
}

/** Where the database's count of transactions stands: what has a lower number was arranged, not asked for. */
async function transactionsSoFar(pool: pg.Pool): Promise<number> {
  const { rows } = await pool.query<{ now: string }>('SELECT pg_current_xact_id()::text AS now');
  return Number(rows[0]?.now);
}
