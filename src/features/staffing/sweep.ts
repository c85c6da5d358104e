import { and, eq, gt, isNull, lte, or, sql } from 'drizzle-orm';
import type { Pool } from 'pg';
import { type Floor, localDay, newlyUncovered, uncoveredBlocks } from '../../cover/index.ts';
import { asChoice } from '../../enforcement/choice.ts';
import { loadFloor } from '../../enforcement/load-floor.ts';
import { type GymDay, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { withRetries } from '../../platform/db/retries.ts';
import { asSystem, ours } from '../../platform/db/tenant.ts';
import type { Tell } from '../../platform/events/hints.ts';
import { newId } from '../../platform/ids.ts';
import { inFranchise } from '../../platform/in-franchise.ts';
import { DAY_MS } from '../../platform/time.ts';
import { accountFranchises, blocks, enrolments, groupMembers, gyms, sessions } from '../../tables/index.ts';
import { confirmBlocks } from './confirm.ts';
import { asIfConfirmed } from './cover.ts';

/**
 * Confirms, in every franchise, the blocks that have entered their gym's window: covered, with athletes, every enrolled
 * child in a group, and not held back by hand. One transaction a gym-day, so that it keeps nobody waiting for long; a
 * day that fails is told to `onFault` and holds up no other. Gives how many it confirmed.
 */
export async function sweep(
  pool: Pool,
  now: Date,
  onFault: (fault: unknown) => void,
  tell: Tell = () => undefined,
): Promise<number> {
  const franchises = await asSystem(pool, 'the sweep visits every franchise', (tx) =>
    tx.selectDistinct({ id: accountFranchises.franchiseId }).from(accountFranchises),
  );
  let confirmed = 0;
  for (const { id } of franchises) {
    const acting = { pool, now: () => now, franchiseId: id, requestId: newId(), tell };
    const looking = { ...acting, readOnly: true };
    const sweepOne = async (day: GymDay) => {
      try {
        const ready = await inFranchise(looking, (ctx) => confirmableOn(ctx, day));
        return ready.length === 0 ? 0 : await withRetries(() => inFranchise(acting, (ctx) => sweepDay(ctx, day)));
      } catch (fault) {
        onFault(fault);
        return 0;
      }
    };
    try {
      for (const day of await inFranchise(looking, daysInWindow)) {
        confirmed += await sweepOne(day);
      }
    } catch (fault) {
      onFault(fault);
    }
  }
  return confirmed;
}

/** The gym-days with something that the sweep might confirm. */
async function daysInWindow(ctx: Context): Promise<GymDay[]> {
  const rows = await ctx.tx
    .selectDistinct({ gymId: blocks.gymId, day: blocks.day, zone: gyms.zone, window: gyms.confirmWindowDays })
    .from(blocks)
    .innerJoin(gyms, and(ours(ctx, gyms), eq(gyms.id, blocks.gymId)))
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId)))
    .where(
      and(
        ours(ctx, blocks),
        isNull(blocks.confirmedAt),
        isNull(blocks.heldWhy),
        isNull(blocks.supersededAt),
        gt(blocks.endsAt, ctx.now),
        lte(blocks.day, sql`${ctx.now.toISOString().slice(0, 10)}::date + ${gyms.confirmWindowDays} + 1`),
        isNull(sessions.cancelledAt),
      ),
    )
    .orderBy(blocks.day, blocks.gymId);
  return rows.filter(({ zone, window, day }) => day <= lastDay(ctx.now, zone, window) && window > 0);
}

const lastDay = (now: Date, zone: string, window: number) => localDay(zone, now.getTime() + window * DAY_MS);

/** Confirms what can be confirmed on one gym-day. */
export async function sweepDay(ctx: Context, day: GymDay): Promise<number> {
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [day] }));
  const ids = await confirmableOn(ctx, day);
  if (ids.length === 0) return 0;
  const { done } = await asChoice(ctx, lock, () => confirmBlocks(ctx, lock, ids, 'sweep'));
  return done.length;
}

async function confirmableOn(ctx: Context, day: GymDay): Promise<string[]> {
  const ungrouped = await sessionsWithUngrouped(ctx, day);
  const held = await heldBlocks(ctx, day);
  const { floor } = await loadFloor(ctx, day);
  const ready = floor.blocks
    .filter(({ id, confirmed, session, span }) => {
      const isAhead = !confirmed && span.to > ctx.now.getTime();
      return isAhead && !ungrouped.has(session) && !held.has(id);
    })
    .filter(({ id }) => floor.athletes.some(({ at }) => at.some(({ unit }) => unit.id === id)))
    .map(({ id }) => id);
  return confirmable(floor, ready);
}

/** The blocks that are covered when confirmed together, without uncovering one that is confirmed already. */
function confirmable(floor: Floor, ready: readonly string[]): string[] {
  for (let ids = [...ready]; ids.length > 0; ) {
    const after = asIfConfirmed(floor, ...ids);
    const short = new Set(uncoveredBlocks(after).map(({ block }) => block));
    const left = ids.filter((id) => !short.has(id));
    if (left.length < ids.length) ids = left;
    else if (newlyUncovered(floor, after).length === 0) return ids;
    else ids = ids.slice(0, -1);
  }
  return [];
}

async function heldBlocks(ctx: Context, { gymId, day }: GymDay): Promise<Set<string>> {
  const rows = await ctx.tx
    .select({ id: blocks.id })
    .from(blocks)
    .where(and(ours(ctx, blocks), eq(blocks.gymId, gymId), eq(blocks.day, day), sql`${blocks.heldWhy} IS NOT NULL`));
  return new Set(rows.map(({ id }) => id));
}

/** The sessions of a day in which somebody enrolled has no group yet. */
async function sessionsWithUngrouped(ctx: Context, { gymId, day }: GymDay): Promise<Set<string>> {
  const rows = await ctx.tx
    .selectDistinct({ id: sessions.id })
    .from(sessions)
    .innerJoin(enrolments, and(ours(ctx, enrolments), eq(enrolments.classId, sessions.classId)))
    .where(
      and(
        ours(ctx, sessions),
        eq(sessions.gymId, gymId),
        eq(sessions.day, day),
        lte(enrolments.from, day),
        or(isNull(enrolments.until), gt(enrolments.until, day)),
        sql`NOT EXISTS (SELECT FROM ${groupMembers} WHERE ${ours(ctx, groupMembers)}
          AND ${groupMembers.sessionId} = ${sessions.id} AND ${groupMembers.athleteId} = ${enrolments.athleteId}
          AND ${groupMembers.releasedAt} IS NULL)`,
      ),
    );
  return new Set(rows.map(({ id }) => id));
}
