import { createHash } from 'node:crypto';
import { and, eq, sql } from 'drizzle-orm';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import { type Context, mayOrRefuse } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import type { Caller } from '../../platform/http/route.ts';
import { notFound, Problem, refuse } from '../../platform/problem.ts';
import { offlineItems } from '../../tables/attendance.ts';
import { getGym } from '../gyms/repo.ts';
import { doItem } from './offline-items.ts';
import type { Item, ItemOutcome } from './offline-schema.ts';

/**
 * Takes a batch that a device recorded, in the order of its own times, each item in a transaction of its own. What was
 * taken before is not done twice; what is refused is kept with why, and listed until somebody settles it.
 */
export async function takeBatch(caller: Caller, gymId: string, items: readonly Item[]): Promise<ItemOutcome[]> {
  await caller.transact((ctx) => enter(ctx, gymId));
  const outcomes = new Map<Item, ItemOutcome>();
  for (const item of [...items].sort((a, b) => Date.parse(a.at) - Date.parse(b.at))) {
    outcomes.set(item, await takeItem(caller, gymId, item));
  }
  return items.map((item) => outcomes.get(item) ?? outcomeOf(item, 'try-again'));
}

async function takeItem(caller: Caller, gymId: string, item: Item): Promise<ItemOutcome> {
  try {
    return await caller.transact((ctx) => takeOnce(ctx, gymId, item));
  } catch (error) {
    if (!(error instanceof Problem)) throw error;
    if (error.problem === 'busy') return outcomeOf(item, 'try-again', { problem: 'busy', detail: error.message });
    const why = { problem: error.problem, detail: detailOf(error) };
    return caller.transact((ctx) => keepRefused(ctx, gymId, item, why));
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
  if (before) return seenBefore(ctx, item, before);
  const told = await doItem(ctx, gymId, item, await isTakenBack(ctx, item.clientId));
  await insertItem(ctx, gymId, item, 'recorded', told);
  return outcomeOf(item, 'recorded', { ...told, conflict: await conflictOf(ctx, item.clientId) });
}

async function keepRefused(ctx: Context, gymId: string, item: Item, why: Told): Promise<ItemOutcome> {
  await enter(ctx, gymId);
  await oneAtATime(ctx);
  if (await findItem(ctx, item.clientId)) return outcomeOf(item, 'refused', why);
  await insertItem(ctx, gymId, item, 'refused', why);
  const data = { clientId: item.clientId, kind: item.kind, problem: why.problem ?? '' };
  await ctx.record('attendance.item-refused', { subjectId: item.clientId, gymId }, data);
  return outcomeOf(item, 'refused', why);
}

/** One account's items go one by one: what takes another back may be under way beside it. */
const oneAtATime = (ctx: Context) =>
  ctx.tx.execute(sql`SELECT FROM members WHERE franchise_id = ${ctx.franchiseId} AND account_id = ${ctx.accountId}
    FOR NO KEY UPDATE`);

type Row = typeof offlineItems.$inferSelect;
export interface Told {
  problem: string | null;
  detail: string | null;
}

async function findItem(ctx: Context, clientId: string): Promise<Row | undefined> {
  const [row] = await ctx.tx
    .select()
    .from(offlineItems)
    .where(and(ours(ctx, offlineItems), eq(offlineItems.clientId, clientId)));
  return row;
}

async function seenBefore(ctx: Context, item: Item, before: Row): Promise<ItemOutcome> {
  if (before.fingerprint !== fingerprintOf(item)) {
    const detail = 'Another item had that client id. Make a new one for each.';
    return outcomeOf(item, 'refused', { problem: 'already-exists', detail });
  }
  const { problem, detail } = before;
  const conflict = await conflictOf(ctx, item.clientId);
  return { ...outcomeOf(item, before.outcome, { problem, detail, conflict }), again: true };
}

async function insertItem(ctx: Context, gymId: string, item: Item, outcome: Row['outcome'], why: Told): Promise<void> {
  try {
    await ctx.tx.insert(offlineItems).values({
      franchiseId: ctx.franchiseId,
      clientId: item.clientId,
      gymId,
      kind: item.kind,
      fingerprint: fingerprintOf(item),
      at: new Date(item.at),
      recordedAt: ctx.now,
      recordedBy: ctx.accountId,
      outcome,
      ...why,
      about: item.kind === 'undo' ? item.undoes : item.kind === 'outing-back' ? item.outing : null,
    });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'Somebody else’s item has that client id.');
    throw error;
  }
}

async function isTakenBack(ctx: Context, clientId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: offlineItems.clientId })
    .from(offlineItems)
    .where(
      and(
        ours(ctx, offlineItems),
        eq(offlineItems.about, clientId),
        eq(offlineItems.kind, 'undo'),
        eq(offlineItems.outcome, 'recorded'),
      ),
    );
  return rows.length > 0;
}

async function conflictOf(ctx: Context, id: string): Promise<string | null> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<{ conflict: string }>(sql`
    SELECT conflict FROM attendance_marks WHERE franchise_id = ${us} AND id = ${id} AND conflict IS NOT NULL
    UNION ALL SELECT conflict FROM staff_marks WHERE franchise_id = ${us} AND id = ${id} AND conflict IS NOT NULL`);
  return rows[0]?.conflict ?? null;
}

const fingerprintOf = (item: Item) => createHash('sha256').update(JSON.stringify(item)).digest('base64url');

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
