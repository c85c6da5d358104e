import { createHash } from 'node:crypto';
import type pg from 'pg';
import { type Calling, type Log, replay, type Sent } from './caller.ts';
import { ROWS } from './check-rows.ts';
import type { DurableServer } from './server.ts';
import type { World } from './world.ts';

export interface Checked {
  /** How many times something was held against something. */
  checks: number;
  faults: string[];
}

interface Checking {
  server: DurableServer;
  world: World;
  log: Log;
  /** Transactions before this one were arranged past the service. */
  arranged: number;
  calling: Calling;
  replayEvery: number;
}

interface Event {
  id: string;
  name: string;
  subject: string;
  data: string;
  requestId: string;
  isOurs: boolean;
  transaction: number;
}

/**
 * Holds everything that is stored against everything that was answered: no write that was acknowledged is lost, none is
 * done twice, what was refused left nothing, the events explain every row, and the kept answers are those that were given.
 */
export async function check(checking: Checking): Promise<Checked> {
  const { server, world, log, arranged } = checking;
  const done: Checked = { checks: 0, faults: [] };
  const expect = (holds: boolean, what: () => string) => {
    done.checks += 1;
    if (!holds) done.faults.push(what());
  };
  const { rows: events } = await server.ownerPool.query<Event>(
    `SELECT id, name, subject_id AS subject, data::text, request_id AS "requestId", account_id IS NOT NULL AS "isOurs",
       xmin::text::int AS transaction FROM events WHERE franchise_id = $1 ORDER BY id`,
    [world.f.id],
  );
  checkRequests(events, log, expect);
  await checkKeys(server.ownerPool, world.f.id, events, log, expect);
  for (const { what, sql } of ROWS) {
    const { rows } = await server.ownerPool.query(sql, sql.includes('$2') ? [world.f.id, arranged] : [world.f.id]);
    expect(rows.length === 0, () => `${what}: ${rows.length}, such as ${JSON.stringify(rows[0])}`);
  }
  await checkReplays(checking, expect);
  // The sweep goes on meanwhile, and confirms what it finds covered.
  const again = await server.ownerPool.query(
    `SELECT name, account_id FROM events WHERE franchise_id = $1 AND id <> ALL ($2::uuid[])
       AND NOT (name = 'staffing.confirmed' AND account_id IS NULL)`,
    [world.f.id, events.map(({ id }) => id)],
  );
  expect(again.rows.length === 0, () => `the replays left events: ${JSON.stringify(again.rows.slice(0, 5))}`);
  return done;
}

type Expect = (holds: boolean, what: () => string) => void;

const brief = ({ what, method, path, answer, requestIds }: Sent) =>
  `${what} (${method} ${path}) answered ${answer.status}${answer.replayed ? ' as a replay' : ''}, sent ${requestIds.length} times`;

/** A refusal that may still hide a yes: of a PATCH whose first answer was lost there is no key to ask by. */
const isAmbiguous = ({ key, retried }: Sent) => key === null && retried;

/** Every sending of every request against the events that bear its id. */
function checkRequests(events: readonly Event[], log: Log, expect: Expect): void {
  const byRequest = new Map<string, Event[]>();
  for (const event of events) byRequest.set(event.requestId, [...(byRequest.get(event.requestId) ?? []), event]);
  const asked = new Set<string>();
  for (const sent of log.sent) {
    for (const id of sent.requestIds) asked.add(id);
    const effects = sent.requestIds.flatMap((id) => {
      const its = byRequest.get(id);
      return its ? [its] : [];
    });
    expect(effects.length <= 1, () => `done ${effects.length} times: ${brief(sent)}`);
    if (sent.answer.status >= 300 || sent.dryRun) {
      expect(effects.length === 0 || isAmbiguous(sent), () => `refused or asked only, and yet done: ${brief(sent)}`);
      continue;
    }
    const its = effects.flat();
    for (const [name, id] of sent.told) {
      const found = its.filter(
        (event) => event.name.startsWith(name) && (event.subject === id || event.data.includes(id)),
      );
      expect(found.length >= 1, () => `acknowledged and lost: ${name} of ${id}: ${brief(sent)}`);
    }
  }
  for (const [requestId, its] of byRequest) {
    // The sweep takes a transaction for each day.
    if (its.every(({ name, isOurs }) => name === 'staffing.confirmed' && !isOurs)) continue;
    const transactions = new Set(its.map(({ transaction }) => transaction));
    expect(transactions.size === 1, () => `one request in ${transactions.size} transactions: ${names(its)}`);
    expect(asked.has(requestId), () => `done, and nobody asked for it: ${names(its)} ${requestId}`);
  }
}

const names = (events: readonly Event[]) => events.map(({ name }) => name).join(', ');

/** The kept answers: one for each yes, none for a no, each written in the transaction of what it answers for. */
async function checkKeys(pool: pg.Pool, franchiseId: string, events: readonly Event[], log: Log, expect: Expect) {
  const { rows } = await pool.query<{ hash: string; answered: boolean; transaction: number }>(
    `SELECT encode(key_hash, 'hex') AS hash, answer IS NOT NULL AS answered, xmin::text::int AS transaction
     FROM idempotency_keys WHERE franchise_id = $1`,
    [franchiseId],
  );
  const kept = new Map(rows.map((row) => [row.hash, row]));
  const transactionOf = new Map(events.map(({ requestId, transaction }) => [requestId, transaction]));
  for (const sent of log.sent) {
    if (sent.key === null || sent.dryRun) continue;
    const hash = createHash('sha256').update(sent.key).digest('hex');
    const its = kept.get(hash);
    kept.delete(hash);
    if (sent.answer.status >= 300) {
      expect(its === undefined, () => `refused, and its key is kept: ${brief(sent)}`);
      continue;
    }
    expect(its?.answered === true, () => `acknowledged, and its answer is not kept: ${brief(sent)}`);
    const done = sent.requestIds.flatMap((id) => transactionOf.get(id) ?? []);
    const isTogether = done.every((transaction) => transaction === its?.transaction);
    expect(isTogether, () => `its answer was kept apart from what it did: ${brief(sent)}`);
  }
  expect(kept.size === 0, () => `${kept.size} answers are kept that nobody was given`);
}

/** Sent again with its key, a write is answered as it was the first time, word for word. */
async function checkReplays({ log, calling, replayEvery }: Checking, expect: Expect): Promise<void> {
  const answered = log.sent.filter(({ key, dryRun, answer }) => key !== null && !dryRun && answer.status < 300);
  for (const sent of answered.filter((_, index) => index % replayEvery === 0)) {
    const again = await replay(calling, sent);
    const isSame = again.replayed && again.status === sent.answer.status && again.text === sent.answer.text;
    expect(isSame, () => `a replay was answered otherwise (${again.status}): ${brief(sent)}`);
  }
}
