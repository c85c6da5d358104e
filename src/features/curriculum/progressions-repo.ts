import { and, asc, eq, or, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { progressions } from '../../tables/curriculum.ts';
import type { Progression } from './schema.ts';

/** Nobody else draws or rubs out a progression until this transaction ends: two steps could close a circle together. */
export async function lockProgressions(ctx: Context): Promise<void> {
  await ctx.tx.execute(sql`SELECT FROM franchises WHERE franchise_id = ${ctx.franchiseId} FOR NO KEY UPDATE`);
}

const columns = { easierId: progressions.easierId, harderId: progressions.harderId, kind: progressions.kind };

/** The whole graph: hold it with `lockProgressions` first where a step depends on it. */
export const allProgressions = (ctx: Context): Promise<Progression[]> =>
  ctx.tx.select(columns).from(progressions).where(ours(ctx, progressions));

/** Refuses a step that is there already, and drills that are not. */
export async function insertProgressions(ctx: Context, steps: readonly Progression[]): Promise<void> {
  if (steps.length === 0) return;
  try {
    await ctx.tx.insert(progressions).values(steps.map((step) => ({ franchiseId: ctx.franchiseId, ...step })));
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'That drill leads to that one already.');
    if (violates(error, 'reference')) throw invalid('', 'One of these is no drill of the franchise.');
    throw error;
  }
}

/** Refuses as not found where there is no such step. */
export async function deleteProgression(
  ctx: Context,
  { easierId, harderId }: Pick<Progression, 'easierId' | 'harderId'>,
): Promise<void> {
  const rows = await ctx.tx
    .delete(progressions)
    .where(and(ours(ctx, progressions), eq(progressions.easierId, easierId), eq(progressions.harderId, harderId)))
    .returning(columns);
  found(rows[0], 'progression');
}

/** Rubs out every step that leads to one of these drills. */
export async function deleteStepsTo(ctx: Context, drillIds: readonly string[]): Promise<void> {
  if (drillIds.length === 0) return;
  const them = sql`${JSON.stringify(drillIds)}::jsonb`;
  await ctx.tx
    .delete(progressions)
    .where(
      and(ours(ctx, progressions), sql`${progressions.harderId}::text IN (SELECT jsonb_array_elements_text(${them}))`),
    );
}

/** In the order of their ids; only the steps from or to a drill, or of a kind, where that is asked. */
export async function listProgressions(
  ctx: Context,
  { limit, cursor }: Paging,
  { drillId, kind }: { drillId?: string | undefined; kind?: Progression['kind'] | undefined },
) {
  const after = readCursor(cursor, 2);
  const rows = await ctx.tx
    .select(columns)
    .from(progressions)
    .where(
      and(
        ours(ctx, progressions),
        drillId ? or(eq(progressions.easierId, drillId), eq(progressions.harderId, drillId)) : undefined,
        kind ? eq(progressions.kind, kind) : undefined,
        after
          ? sql`(${progressions.easierId}::text, ${progressions.harderId}::text) > (${after[0]}, ${after[1]})`
          : undefined,
      ),
    )
    .orderBy(asc(sql`${progressions.easierId}::text`), asc(sql`${progressions.harderId}::text`))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): Progression => row,
    (row) => [row.easierId, row.harderId],
  );
}
