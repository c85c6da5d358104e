import { type Placeholder, sql } from 'drizzle-orm';
import type { Tx } from './tenant.ts';

type Values = Record<string, unknown>;

/** Where a statement's values go: `given('gymId')`; and the franchise, which each one names: `ours(given, table)`. */
export type Given<V extends Values> = (<K extends keyof V & string>(name: K) => Placeholder<K>) & {
  franchiseId: Placeholder;
};

/** A query that can be built ahead; gives `R`. */
export interface Built<R> {
  prepare(name: string): { execute(values: Values): Promise<R> };
}

/** A statement to be sent with its values. */
export type Statement<V extends Values, R> = (ctx: { tx: Tx; franchiseId: string }, values: V) => Promise<R>;

const given = Object.assign(<K extends string>(name: K) => sql.placeholder(name), {
  franchiseId: sql.placeholder('franchiseId'),
});

/**
 * A statement on a path where time counts: built once for each connection, and from then on only given its values.
 * Building one takes longer than sending it and reading the answer.
 */
export function statement<V extends Values, R>(build: (tx: Tx, given: Given<V>) => Built<R>): Statement<V, R> {
  const builtFor = new WeakMap<Tx, ReturnType<Built<R>['prepare']>>();
  return ({ tx, franchiseId }, values) => {
    const built = builtFor.get(tx) ?? build(tx, given).prepare('');
    builtFor.set(tx, built);
    return built.execute({ ...values, franchiseId });
  };
}
