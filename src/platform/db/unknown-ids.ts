import { and, inArray } from 'drizzle-orm';
import type { PgColumn, PgTable } from 'drizzle-orm/pg-core';
import type { Context } from '../context.ts';
import { ours } from './tenant.ts';

/** Which of these ids name nothing in that table of the franchise: one statement, however many there are. */
export async function unknownIds(
  ctx: Context,
  table: PgTable & { franchiseId: PgColumn; id: PgColumn },
  ids: Iterable<string>,
): Promise<Set<string>> {
  const unknown = new Set(ids);
  if (unknown.size === 0) return unknown;
  const rows = await ctx.tx
    .select({ id: table.id })
    .from(table)
    .where(and(ours(ctx, table), inArray(table.id, [...unknown])));
  for (const { id } of rows) unknown.delete(String(id));
  return unknown;
}
