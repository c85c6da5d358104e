import { type SQL, sql } from 'drizzle-orm';

/**
 * The condition that a row stands: that it has not ended; or, given a moment, that it was there then and ended later if at
 * all. `alias` is the table as the statement calls it.
 */
export function stoodAt(
  alias: string,
  then: Date | null,
  ended: 'released_at' | 'superseded_at' | 'cancelled_at' | 'withdrawn_at' = 'released_at',
): SQL {
  const [end, start] = [sql.raw(`${alias}.${ended}`), sql.raw(`${alias}.created_at`)];
  if (then === null) return sql`${end} IS NULL`;
  const moment = then.toISOString();
  return sql`(${start} <= ${moment} AND (${end} IS NULL OR ${end} > ${moment}))`;
}
