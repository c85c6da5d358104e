import { and, eq, inArray, isNull } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import type { Caller } from '../../platform/http/route.ts';
import { Problem } from '../../platform/problem.ts';
import { offlineItems } from '../../tables/attendance.ts';
import { members, memberships } from '../../tables/identity.ts';
import { follow, type Told, WAITING } from './offline-items.ts';

type Row = typeof offlineItems.$inferSelect;
export type Followed = Told & Pick<Row, 'outcome'>;

/**
 * Does what waited for some items, now that they may have come. It runs after they were committed, and after those that
 * wait were: whichever of two comes last, at two instances at once, finds the other.
 *
 * @param ids client ids, of items that came and of those that others are about
 * @returns what became of each that waited, by its client id
 */
export async function followUp(caller: Caller, gymId: string, ids: readonly string[]): Promise<Map<string, Followed>> {
  const isWaiting = and(eq(offlineItems.gymId, gymId), inArray(offlineItems.about, some(ids)), waits);
  const waiting = await caller.transact((ctx) =>
    ctx.tx
      .select({ clientId: offlineItems.clientId })
      .from(offlineItems)
      .where(and(ours(ctx, offlineItems), isWaiting))
      .orderBy(offlineItems.at, offlineItems.clientId),
  );
  const followed = new Map<string, Followed>();
  for (const { clientId } of waiting) {
    const told = await caller.transact((ctx) => followOne(ctx, gymId, clientId));
    if (told) followed.set(clientId, told);
  }
  return followed;
}

const waits = and(eq(offlineItems.outcome, 'recorded'), eq(offlineItems.problem, WAITING.problem));

async function followOne(ctx: Context, gymId: string, clientId: string): Promise<Followed | null> {
  const itself = and(ours(ctx, offlineItems), eq(offlineItems.clientId, clientId));
  const [row] = await ctx.tx.select().from(offlineItems).where(and(itself, waits)).for('no key update');
  if (!row) return null;
  const told = await outcomeOf(await as(ctx, row.recordedBy), gymId, row);
  if (told) await ctx.tx.update(offlineItems).set(told).where(itself);
  return told;
}

async function outcomeOf(who: Context, gymId: string, row: Row): Promise<Followed | null> {
  try {
    const told = await follow(who, gymId, row);
    return told && { ...told, outcome: 'recorded' };
  } catch (error) {
    // Whoever may not, or what cannot be, is refused before anything is written.
    if (!(error instanceof Problem)) throw error;
    return { problem: error.problem, detail: error.message, outcome: 'refused' };
  }
}

/** The same transaction as it is for whoever recorded something earlier: with what they may do now. */
async function as(ctx: Context, accountId: string | null): Promise<Context> {
  if (accountId === null || accountId === ctx.accountId) return ctx;
  const [member] = await ctx.tx
    .select({ personId: members.personId })
    .from(members)
    .where(and(ours(ctx, members), eq(members.accountId, accountId), isNull(members.deactivatedAt)));
  const roles = await ctx.tx
    .select({ role: memberships.role, gymId: memberships.gymId })
    .from(memberships)
    .where(and(ours(ctx, memberships), eq(memberships.accountId, accountId)));
  return { ...ctx, accountId, personId: member?.personId ?? null, roles: member ? roles : [] };
}
