import { and, eq, type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { areaApparatus, outOfUse } from '../../tables/gyms.ts';
import type { AreaRef, Equipment, OutOfUse } from './schema.ts';

/**
 * A gym's stock as a subquery: `apparatus_id`, `items` over all its areas, and `in_use`, what is left of them when what
 * is out of use is taken away, area by area.
 */
export const stockOf = (ctx: Context, gymId: string | SQL) => sql`(
  SELECT s.apparatus_id, sum(s.items)::int AS items,
    sum(greatest(0, s.items - coalesce(o.items, 0)))::int AS in_use
  FROM areas a JOIN area_apparatus s ON s.franchise_id = ${ctx.franchiseId} AND s.area_id = a.id
  LEFT JOIN out_of_use o ON o.franchise_id = ${ctx.franchiseId} AND o.area_id = a.id AND o.apparatus_id = s.apparatus_id
  WHERE a.franchise_id = ${ctx.franchiseId} AND a.gym_id = ${gymId} GROUP BY s.apparatus_id)`;

/** What stands at a gym, and how much of it may be used; in the order in which the kinds were made. */
export async function listStock(ctx: Context, gymId: string, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const { rows } = await ctx.tx.execute<Omit<Equipment, 'short'> & Record<string, unknown>>(sql`
    SELECT k.id AS "apparatusId", k.name, s.items, s.items - s.in_use AS "outOfUse", s.in_use AS "inUse"
    FROM ${stockOf(ctx, gymId)} s JOIN apparatus k ON k.franchise_id = ${ctx.franchiseId} AND k.id = s.apparatus_id
    WHERE ${after ? sql`k.id > ${after}` : sql`true`} ORDER BY k.id LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    ({ apparatusId, name, items, outOfUse, inUse }): Omit<Equipment, 'short'> => ({
      apparatusId,
      name,
      items,
      outOfUse,
      inUse,
    }),
    (row) => [row.apparatusId],
  );
}

/** How many of an apparatus stand in an area; 0 where there are none. */
export async function itemsIn(ctx: Context, areaId: string, apparatusId: string): Promise<number> {
  const [row] = await ctx.tx
    .select({ items: areaApparatus.items })
    .from(areaApparatus)
    .where(and(ours(ctx, areaApparatus), eq(areaApparatus.areaId, areaId), eq(areaApparatus.apparatusId, apparatusId)));
  return row?.items ?? 0;
}

/** Writes how many are out of use there from now on; the last word counts. */
export async function setOutOfUse(ctx: Context, { areaId }: AreaRef, said: OutOfUse): Promise<void> {
  const { apparatusId, items, why } = said;
  if (items === 0) {
    await ctx.tx
      .delete(outOfUse)
      .where(and(ours(ctx, outOfUse), eq(outOfUse.areaId, areaId), eq(outOfUse.apparatusId, apparatusId)));
    return;
  }
  const row = { items, why, since: ctx.now };
  await ctx.tx
    .insert(outOfUse)
    .values({ franchiseId: ctx.franchiseId, areaId, apparatusId, ...row })
    .onConflictDoUpdate({ target: [outOfUse.franchiseId, outOfUse.areaId, outOfUse.apparatusId], set: row });
}
