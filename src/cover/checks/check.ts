import { fraction } from '../fraction.ts';
import type { Moment, Spot, View } from '../scene.ts';
import type { Code, Count, Finding, Fraction, Subject, Test } from '../types.ts';

/** A reason why not, before it knows its unit, span, strength and override. */
export type Lack = {
  short: Fraction;
  numbers?: Finding['numbers'];
  subjects?: Subject[];
  count?: Count;
  failed?: Test;
};

/** A check of what one rule asks. It is shown only units that have athletes. */
export type RuleCheck = { code: Code; check: (view: View) => Lack[] };

/** A check that no rule is needed for: what a place itself asks, athletes or not. */
export type PlaceCheck = { code: Code; check: (spot: Spot, moment: Moment) => Lack[] };

/** A lack of `short` whole things. */
export const lackOf = (short: number, rest: Omit<Lack, 'short'>): Lack => ({ short: fraction(short), ...rest });

export function subjectsOf(what: Subject['what'], ids: Iterable<string>): Subject[] {
  return [...ids].sort().map((id) => ({ what, id }));
}
