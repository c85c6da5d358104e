import { Column, is, noopDecoder, Param, Placeholder, SQL, sql } from 'drizzle-orm';
import { PgTimestamp } from 'drizzle-orm/pg-core';
import pg from 'pg';
import type { Tx } from './tenant.ts';

type Values = Record<string, unknown>;

/** Where a statement's values go: `given('gymId')`; and the franchise, which each one names: `ours(given, table)`. */
export type Given<V extends Values> = (<K extends keyof V & string>(name: K) => Placeholder<K>) & {
  franchiseId: Placeholder;
};

/** A query of columns and expressions, as it is built; gives `R`. */
export interface Built<R> extends PromiseLike<R> {
  readonly _: { readonly config: { readonly fields: Values } };
  toSQL(): { sql: string; params: unknown[] };
}

/** A statement to be sent with its values; lists among them may not change any more. */
export type Statement<V extends Values, R> = (ctx: { tx: Tx; franchiseId: string }, values: V) => Promise<R>;

const given = Object.assign(<K extends string>(name: K) => sql.placeholder(name), {
  franchiseId: sql.placeholder('franchiseId'),
});

/**
 * A statement on a path where time counts: built once, and from then on only given its values. Building one takes longer
 * than sending it and reading the answer, and most of the rest is finding out, row by row, how each column is read: that
 * is found out once too.
 */
export function statement<V extends Values, R>(build: (tx: Tx, given: Given<V>) => Built<R>): Statement<V, R> {
  let known: Compiled | null = null;
  return async ({ tx, franchiseId }, values) => {
    known ??= compiled(build(tx, given));
    const { text, parameters, fields } = known;
    const all = { ...values, franchiseId };
    const { rows } = await tx.$client.query({
      text,
      values: parameters.map((valueIn) => valueIn(all)),
      rowMode: 'array',
      types: AS_SENT,
    });
    return rowsOf(fields, rows) as R;
  };
}

interface Field {
  name: string;
  /** Null where a value is used as it comes. `moments` are those of this answer: most come in many of its rows. */
  read: ((value: unknown, moments: Map<unknown, unknown>) => unknown) | null;
}

interface Compiled {
  text: string;
  parameters: ((values: Values) => unknown)[];
  fields: Field[];
}

function compiled(built: Built<unknown>): Compiled {
  const { sql: text, params } = built.toSQL();
  // Not `selectedFields`: of a join that names no fields, those are only the first table's.
  const fields = Object.entries(built._.config.fields).map(([name, field]) => ({ name, read: readerOf(name, field) }));
  return { text, parameters: params.map(parameterOf), fields };
}

/** A parameter, as drizzle would fill it in. */
function parameterOf(param: unknown): (values: Values) => unknown {
  if (is(param, Placeholder)) return (values) => listed(values[param.name]);
  if (!is(param, Param) || !is(param.value, Placeholder)) return () => param;
  const { encoder, value } = param;
  return (values) => encoder.mapToDriverValue(values[value.name]);
}

const lists = new WeakMap<unknown[], unknown>();
const IDS = /^[0-9a-f-]{36}(?:,[0-9a-f-]{36})*$/;

/**
 * A list of ids, as an array is written: the driver would look for something to quote in each of them. One list goes with
 * many statements.
 */
function listed(value: unknown): unknown {
  if (!Array.isArray(value)) return value;
  const known = lists.get(value);
  if (known !== undefined) return known;
  const text = value.join();
  const list = IDS.test(text) && text.length === value.length * 37 - 1 ? `{${text}}` : value;
  lists.set(value, list);
  return list;
}

/** How drizzle reads a column or an expression. */
function readerOf(name: string, field: unknown): Field['read'] {
  if (is(field, PgTimestamp)) {
    return (value, moments) => {
      const known = moments.get(value) ?? field.mapFromDriverValue(String(value));
      moments.set(value, known);
      return known;
    };
  }
  if (is(field, Column)) {
    if (field.mapFromDriverValue === Column.prototype.mapFromDriverValue) return null;
    return (value) => field.mapFromDriverValue(value);
  }
  const expression = is(field, SQL.Aliased) ? field.sql : field;
  if (is(expression, SQL) && 'decoder' in expression && expression.decoder === noopDecoder) return null;
  throw new Error(`a statement selects columns and plain expressions: "${name}" is neither`);
}

function rowsOf(fields: readonly Field[], rows: readonly unknown[][]): Values[] {
  const moments = new Map<unknown, unknown>();
  return rows.map((values) => {
    const row: Values = {};
    let i = 0;
    for (const { name, read } of fields) {
      const value = values[i++] ?? null;
      row[name] = value === null || read === null ? value : read(value, moments);
    }
    return row;
  });
}

/** What pg would read by itself, drizzle's columns expect as text: days, moments, durations; and lists of them, and of numbers. */
const TEXTS = new Set([1082, 1114, 1184, 1186, 1115, 1182, 1185, 1187, 1231]);
const asSent = (text: string) => text;
const AS_SENT: pg.CustomTypesConfig = {
  getTypeParser: (type, format) => (TEXTS.has(type) ? asSent : pg.types.getTypeParser(type, format)),
};
