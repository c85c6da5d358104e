import { and, gt, inArray, isNull, lte, or, type Placeholder, type SQL, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { Context } from '../platform/context.ts';
import { type Built, type Given, statement } from '../platform/db/statement.ts';
import { ours, type Tx } from '../platform/db/tenant.ts';
import { events } from '../platform/events/table.ts';

/**
 * How a day that was is read: with all that is on record by now (`knownAt` null), or with what was on record at a moment.
 * A place that was given up in the course of it counts until then.
 */
export interface Past<At = Date> {
  knownAt: At | null;
}

/** The same, where the moment is given to a statement only when it is sent. */
export type GivenPast = Past<Placeholder> | undefined;

type Values = Record<string, unknown>;

/** A statement that reads what stands, or a day that was: a text for each way to read. */
export function reading<V extends Values, R>(build: (tx: Tx, given: Given<V>, past: GivenPast) => Built<R>) {
  const ofNow = statement((tx, given: Given<V>) => build(tx, given, undefined));
  const ofThen = statement((tx, given: Given<V>) => build(tx, given, { knownAt: null }));
  const asKnown = statement((tx, given: Given<V>) => build(tx, given, { knownAt: sql.placeholder('knownAt') }));
  return (ctx: Context, values: V, past: Past | undefined): Promise<R> => {
    if (past === undefined) return ofNow(ctx, values);
    const { knownAt } = past;
    return knownAt === null ? ofThen(ctx, values) : asKnown(ctx, { ...values, knownAt });
  };
}

/** On record by then. */
export const isKnown = (createdAt: PgColumn, past: GivenPast): SQL | undefined =>
  past?.knownAt ? lte(createdAt, past.knownAt) : undefined;

/** Not taken back, as far as was known. */
export const isStanding = (takenBackAt: PgColumn, past: GivenPast): SQL | undefined =>
  past?.knownAt ? or(isNull(takenBackAt), gt(takenBackAt, past.knownAt)) : isNull(takenBackAt);

/** On record, and not taken back. */
export const stands = (createdAt: PgColumn, takenBackAt: PgColumn, past: GivenPast): SQL | undefined =>
  and(isKnown(createdAt, past), isStanding(takenBackAt, past));

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

const ENDINGS = {
  'people.qualification-revoked': 'qualificationId',
  'people.employment-ended': 'employmentId',
  'people.sign-off-ended': 'signOffId',
} as const;

/** Qualifications, employments and sign-offs whose end was put on record only later: by then they had none. */
export async function endedLater(ctx: Context, past: Past | undefined): Promise<ReadonlySet<unknown>> {
  if (!past?.knownAt) return new Set();
  const rows = await ctx.tx
    .select({ name: events.name, data: events.data })
    .from(events)
    .where(and(ours(ctx, events), inArray(events.name, Object.keys(ENDINGS)), gt(events.at, past.knownAt)));
  const isEnding = (name: string): name is keyof typeof ENDINGS => name in ENDINGS;
  return new Set(rows.flatMap(({ name, data }) => (isEnding(name) ? [data[ENDINGS[name]]] : [])));
}
