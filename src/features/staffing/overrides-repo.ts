import { and, asc, eq, gt, gte, isNull, lt } from 'drizzle-orm';
import type { CoverLock, GymDay } from '../../enforcement/lock.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { overrides } from '../../tables/index.ts';
import type { Days } from './repo.ts';
import type { NewOverride, Override } from './schema.ts';

export const overrideOnWire = (row: typeof overrides.$inferSelect): Override => ({
  id: row.id,
  unit: { per: row.per, id: row.unitId },
  startsAt: instantOf(row.startsAt),
  endsAt: instantOf(row.endsAt),
  code: row.code,
  ruleId: row.ruleId,
  subjects: row.subjects,
  short: row.short,
  reason: row.reason,
  createdAt: instantOf(row.createdAt),
  createdBy: row.createdBy,
  withdrawnAt: maybeInstant(row.withdrawnAt),
});

export async function insertOverride(
  ctx: Context & { accountId: string },
  _lock: CoverLock,
  { gymId, day }: GymDay,
  override: NewOverride,
) {
  const [row] = await ctx.tx
    .insert(overrides)
    .values({
      franchiseId: ctx.franchiseId,
      id: newId(),
      gymId,
      day,
      per: override.unit.per,
      unitId: override.unit.id,
      startsAt: new Date(override.startsAt),
      endsAt: new Date(override.endsAt),
      code: override.code,
      ruleId: override.ruleId,
      subjects: override.subjects,
      short: override.short,
      reason: override.reason,
      createdAt: ctx.now,
      createdBy: ctx.accountId,
    })
    .returning();
  if (!row) throw new Error('an override was not inserted');
  return row;
}

export async function getOverride(ctx: Context, gymId: string, overrideId: string) {
  const [row] = await ctx.tx
    .select()
    .from(overrides)
    .where(and(ours(ctx, overrides), eq(overrides.gymId, gymId), eq(overrides.id, overrideId)));
  return found(row, 'override');
}

export async function setOverrideWithdrawn(ctx: Context, _lock: CoverLock, overrideId: string) {
  const [row] = await ctx.tx
    .update(overrides)
    .set({ withdrawnAt: ctx.now, withdrawnBy: ctx.accountId })
    .where(and(ours(ctx, overrides), eq(overrides.id, overrideId), isNull(overrides.withdrawnAt)))
    .returning();
  if (!row) throw refuse('conflict', 'That override has been withdrawn already.');
  return row;
}

export async function listOverrides(ctx: Context, gymId: string, { limit, cursor, from, until }: Paging & Days) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(overrides)
    .where(
      and(
        ours(ctx, overrides),
        eq(overrides.gymId, gymId),
        from ? gte(overrides.day, from) : undefined,
        until ? lt(overrides.day, until) : undefined,
        after ? gt(overrides.id, after) : undefined,
      ),
    )
    .orderBy(asc(overrides.id))
    .limit(limit + 1);
  // Why, and about whom, is for those who may accept findings themselves.
  const readsWhy = scopesAt(ctx, 'staffing.override', gymId).size > 0;
  const shown = (row: (typeof rows)[number]) => ({
    ...overrideOnWire(row),
    ...(readsWhy ? {} : { reason: null, subjects: [] }),
  });
  return pageOf(rows, limit, shown, (row) => [row.id]);
}
