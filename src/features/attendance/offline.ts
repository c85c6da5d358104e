import { createHash } from 'node:crypto';
import { and, eq, sql } from 'drizzle-orm';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import type { Caller } from '../../platform/http/route.ts';
import type { Log } from '../../platform/log.ts';
import { notFound, Problem, refuse } from '../../platform/problem.ts';
import { offlineItems } from '../../tables/attendance.ts';
import { getGym } from '../gyms/repo.ts';
import { aboutOf, doItem, type Told } from './offline-items.ts';
import { followUp } from './offline-late.ts';
import type { Item, ItemOutcome } from './offline-schema.ts';
import { FAST_CLOCK_MS } from './repo.ts';

/**
 * Takes a batch that a device recorded, in the order of its own times, each item in a transaction of its own. What was
 * taken before is not done twice; what is refused is kept with why, listed until somebody settles it, and judged anew
 * when it comes again. What breaks, or is ahead of this clock, is for another time, and keeps nothing else from going on.
 */
export async function takeBatch(
  caller: Caller,
  gymId: string,
  items: readonly Item[],
  log: Log,
): Promise<ItemOutcome[]> {
  await caller.transact((ctx) => enter(ctx, gymId));
  const outcomes = new Map<Item, ItemOutcome>();
  for (const item of [...items].sort((a, b) => Date.parse(a.at) - Date.parse(b.at))) {
    outcomes.set(item, await takeItem(caller, gymId, item, log));
  }
  const followed = await followUp(
    caller,
    gymId,
    items.flatMap((item) => [item.clientId, aboutOf(item) ?? item.clientId]),
  );
  return items.map((item) => ({
    ...(outcomes.get(item) ?? outcomeOf(item, 'try-again')),
    ...followed.get(item.clientId),
  }));
}

async function takeItem(caller: Caller, gymId: string, item: Item, log: Log): Promise<ItemOutcome> {
  try {
    return await caller
      .transact((ctx) => takeOnce(ctx, gymId, item))
      .catch((error: unknown) => {
        if (!(error instanceof Problem) || error.problem === 'busy') throw error;
        const why = { problem: error.problem, detail: detailOf(error) };
        return caller.transact((ctx) => keepRefused(ctx, gymId, item, why));
      });
  } catch (error) {
    if (error instanceof Problem && error.problem !== 'busy') throw error;
    if (error instanceof Problem) return outcomeOf(item, 'try-again', { problem: 'busy', detail: error.message });
    log.error({ err: error, kind: item.kind }, 'an item from a device could not be taken');
    return outcomeOf(item, 'try-again', { problem: 'internal', detail: 'Something broke on our side.' });
  }
}

/** Refuses whoever may not write attendance at that gym, as every route that names a gym does. */
async function enter(ctx: Context, gymId: string): Promise<void> {
  if (!belongsToGym(ctx.roles, gymId)) throw notFound('gym');
  await getGym(ctx, gymId);
  mayOrRefuse(ctx, 'attendance.write', gymId, ['franchise', 'gym', 'own-blocks']);
}

async function takeOnce(ctx: Context, gymId: string, item: Item): Promise<ItemOutcome> {
  await enter(ctx, gymId);
  await oneAtATime(ctx);
  const before = await findItem(ctx, item.clientId);
  const isOther = before !== undefined && before.fingerprint !== fingerprintOf(gymId, item);
  if (before?.outcome === 'recorded' || isOther) return seenBefore(ctx, item, before, isOther);
  if (isAhead(ctx, item)) {
    const detail = 'The device’s clock is ahead: send it again when that time has come.';
    return outcomeOf(item, 'try-again', { problem: 'invalid-request', detail });
  }
  const told = await doItem(ctx, gymId, item);
  await keepItem(ctx, gymId, item, 'recorded', told);
  return outcomeOf(item, 'recorded', { ...told, conflict: await conflictOf(ctx, item.clientId) });
}

async function keepRefused(ctx: Context, gymId: string, item: Item, why: Told): Promise<ItemOutcome> {
  await enter(ctx, gymId);
  await oneAtATime(ctx);
  if (await findItem(ctx, item.clientId)) return { ...outcomeOf(item, 'refused', why), again: true };
  await keepItem(ctx, gymId, item, 'refused', why);
  const data = { clientId: item.clientId, kind: item.kind, problem: why.problem ?? '' };
  await ctx.record('attendance.item-refused', { subjectId: item.clientId, gymId }, data);
  return outcomeOf(item, 'refused', why);
}

/** One account's items go one by one: the same one may be under way at another instance. */
const oneAtATime = (ctx: Context) =>
  ctx.tx.execute(sql`SELECT FROM members WHERE franchise_id = ${ctx.franchiseId} AND account_id = ${ctx.accountId}
    FOR NO KEY UPDATE`);

type Row = typeof offlineItems.$inferSelect;

/** May what it says still come true by itself, once that time has come? */
const isAhead = ({ now }: Context, item: Item) =>
  [item.at, (item.kind === 'outing' && item.backAt) || item.at].some(
    (at) => Date.parse(at) - now.getTime() > FAST_CLOCK_MS,
  );

async function findItem(ctx: Context, clientId: string): Promise<Row | undefined> {
  const [row] = await ctx.tx
    .select()
    .from(offlineItems)
    .where(and(ours(ctx, offlineItems), eq(offlineItems.clientId, clientId)));
  return row;
}

async function seenBefore(ctx: Context, item: Item, before: Row, isOther: boolean): Promise<ItemOutcome> {
  if (isOther) {
    const detail = 'Another item had that client id. Make a new one for each.';
    return outcomeOf(item, 'refused', { problem: 'already-exists', detail });
  }
  const { problem, detail } = before;
  const conflict = await conflictOf(ctx, item.clientId);
  return { ...outcomeOf(item, before.outcome, { problem, detail, conflict }), again: true };
}

/** Keeps what became of an item; one that was refused before may have become true. */
async function keepItem(ctx: Context, gymId: string, item: Item, outcome: Row['outcome'], why: Told): Promise<void> {
  const said = {
    franchiseId: ctx.franchiseId,
    clientId: item.clientId,
    gymId,
    kind: item.kind,
    fingerprint: fingerprintOf(gymId, item),
    at: new Date(item.at),
    about: aboutOf(item),
  };
  const became = { outcome, ...why, recordedAt: ctx.now, recordedBy: ctx.accountId, settledAt: null, settledBy: null };
  const { rowCount } = await ctx.tx
    .insert(offlineItems)
    .values({ ...said, ...became })
    .onConflictDoUpdate({
      target: [offlineItems.franchiseId, offlineItems.clientId],
      set: became,
      setWhere: sql`${offlineItems.outcome} = 'refused' AND ${offlineItems.fingerprint} = ${said.fingerprint}`,
    });
  if (rowCount === 0) throw refuse('already-exists', 'Somebody else’s item has that client id.');
}

async function conflictOf(ctx: Context, id: string): Promise<string | null> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<{ conflict: string }>(sql`
    SELECT conflict FROM attendance_marks WHERE franchise_id = ${us} AND id = ${id} AND conflict IS NOT NULL
    UNION ALL SELECT conflict FROM staff_marks WHERE franchise_id = ${us} AND id = ${id} AND conflict IS NOT NULL`);
  return rows[0]?.conflict ?? null;
}

const fingerprintOf = (gymId: string, item: Item) =>
  createHash('sha256')
    .update(JSON.stringify([gymId, item]))
    .digest('base64url');

function outcomeOf(
  { clientId }: Item,
  outcome: ItemOutcome['outcome'],
  { problem = null, detail = null, conflict = null }: Partial<Told & { conflict: string | null }> = {},
): ItemOutcome {
  return { clientId, outcome, again: false, conflict, problem, detail };
}

/** What a refusal said: of a value that cannot be used, where it is too. */
function detailOf({ message, extras }: Problem): string {
  const faults = Array.isArray(extras.errors) ? extras.errors : [];
  const said = faults.map(({ pointer = '', detail }) => `${pointer} ${detail}`.trim());
  return (said.length > 0 ? said.join(' ') : message).slice(0, 1000);
}
