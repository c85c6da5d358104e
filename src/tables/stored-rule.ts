import type { Fraction, Rule } from '../cover/types.ts';

/** A value with its exact fractions written as text ("3/2"): what JSON can keep. */
export type Stored<T> = T extends Fraction
  ? string
  : T extends readonly (infer Item)[]
    ? Stored<Item>[]
    : T extends object
      ? { [Field in keyof T]: Stored<T[Field]> }
      : T;

/** What a version of a ratio rule says; its id, version, owner and days stand in columns. */
export type StoredRule = Stored<Omit<Rule, 'id' | 'version' | 'owner' | 'inForce'>>;
