import { sql } from 'drizzle-orm';
import { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { Id, PageQuery } from '../../platform/http/wire.ts';
import { csvOf } from './drill-csv.ts';
import { rowOf } from './drill-rows.ts';
import { drillsById, listBriefly } from './drills-repo.ts';
import type { FORMATS } from './file-schema.ts';
import { linesOf } from './json-lines.ts';
import { allProgressions } from './progressions-repo.ts';
import { vocabularyOf } from './vocabulary.ts';

export const ExportQuery = z.strictObject({ cursor: PageQuery.cursor, apparatusId: Id.optional() });

/** So that an ordinary part of a library fits into a request when it is imported again. */
const MOST = 400;

/**
 * The drills in use, by apparatus and name, as the text of a file; 400 at the most, then `next` says where to go on. A
 * drill leads from another in the file only where that is in use too.
 */
export async function exportDrills(
  ctx: Context,
  format: (typeof FORMATS)[number],
  { cursor, apparatusId }: z.output<typeof ExportQuery>,
): Promise<{ text: string; next: string | null }> {
  const after = readCursor(cursor, 2);
  // By the bytes of its letters, so that the same library makes the same file on every database.
  const { rows } = await ctx.tx.execute<{ id: string; place: string; name: string }>(sql`
    SELECT * FROM (
      SELECT d.id, lower(a.name) COLLATE "C" AS place, lower(d.name) COLLATE "C" AS name
      FROM drills d JOIN apparatus a ON a.franchise_id = ${ctx.franchiseId} AND a.id = d.apparatus_id
      WHERE d.franchise_id = ${ctx.franchiseId} AND d.retired_at IS NULL
        AND ${apparatusId ? sql`d.apparatus_id = ${apparatusId}` : sql`true`}) found
    WHERE ${after ? sql`(place, name) > (${after[0]}, ${after[1]})` : sql`true`}
    ORDER BY place, name LIMIT ${MOST + 1}`);
  const { items, next } = pageOf(
    rows,
    MOST,
    ({ id }) => id,
    ({ place, name }) => [place, name],
  );
  const drills = await drillsById(ctx, items);
  const words = await vocabularyOf(ctx);
  const inUse = new Map((await listBriefly(ctx, 'in-use-only')).map((one) => [one.id, one]));
  const before = new Map<string, { apparatusId: string; name: string; kind: 'skill' | 'height' }[]>();
  for (const { easierId, harderId, kind } of await allProgressions(ctx)) {
    const easier = inUse.get(easierId);
    if (easier) before.set(harderId, [...(before.get(harderId) ?? []), { ...easier, kind }]);
  }
  const written = items
    .flatMap((id) => drills.get(id) ?? [])
    .map((drill) => rowOf(drill, words, before.get(drill.id) ?? []));
  return { text: format === 'csv' ? csvOf(written) : linesOf(written), next };
}
