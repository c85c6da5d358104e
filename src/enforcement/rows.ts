import { and, gt, isNull, lte, or, type Placeholder, type SQL, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { Span } from '../cover/index.ts';

const NO_ONE = '00000000-0000-0000-0000-000000000000';
/** A list for IN (…), which may not be empty. */
export const some = (ids: Iterable<string>) => {
  const list = [...new Set(ids)];
  return list.length > 0 ? list : [NO_ONE];
};
/** Is it one of these ids? One parameter however many there are, so that the statement's text, and its plan, stay one. */
export const isOneOf = (column: PgColumn, ids: Iterable<string> | Placeholder): SQL =>
  sql`${column} = ANY(${Symbol.iterator in ids ? sql.param([...new Set(ids)]) : ids}::uuid[])`;
export const spanOf = (row: { startsAt: Date; endsAt: Date }): Span => ({
  from: row.startsAt.getTime(),
  to: row.endsAt.getTime(),
});
/** In force on a day; half-open. */
export const onDay = (table: { from: PgColumn; until: PgColumn }, day: string | Placeholder) =>
  and(lte(table.from, day), or(isNull(table.until), gt(table.until, day)));

/** Rows by a key: gives those of one key, in the order in which they came. */
export function grouped<Row>(rows: readonly Row[], keyOf: (row: Row) => string): (key: string) => readonly Row[] {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const key = keyOf(row);
    const group = groups.get(key);
    if (group) group.push(row);
    else groups.set(key, [row]);
  }
  return (key) => groups.get(key) ?? [];
}
