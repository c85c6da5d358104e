import { fraction, ONE } from '../fraction.ts';
import type { Band, Day, Edge, Fraction, Id, Limit, Mixed, Rule, Scope, Test } from '../types.ts';

/** A qualification kind that a table speaks of and the franchise defines. */
export type KindSlot =
  | 'lead-coach'
  | 'assistant-coach'
  | 'certified-coach'
  | 'level-6'
  | 'apprentice'
  | 'screened'
  | 'teacher';

/** A published table, as a set of rules that a franchise can adopt by name. Guidance restated as numbers, not law. */
export type Standard = {
  id: string;
  name: string;
  publisher: string;
  title: string;
  edition: string;
  url: string | null;
  kind: string;
  setting: string;
  provenance: 'seen' | 'memory';
  /** Why it is no longer in force, null where it is. */
  superseded: string | null;
  /** What the table doesn't say, and what we chose: the stricter reading. */
  silentOn: string[];
  /** Kinds to bind on adoption. An optional one left out is read strictly: nobody holds it. */
  slots: { slot: KindSlot; required: boolean; means: string }[];
  /** One rule each. */
  parts: string[];
  build: (bound: Bound) => Record<string, Partial<Rule>>;
};

export type Adoption = {
  inForceFrom: Day;
  /** Where the rules hold; a table for one programme must be scoped to it, or everybody else is of no band. */
  scope?: Scope;
  /** A scope of its own for one part, where a table has several programmes. */
  scopes?: Record<string, Scope>;
  except?: Scope | null;
  kinds?: Partial<Record<KindSlot, { kind: Id; grade: number }>>;
  traits?: Partial<Record<'accompanied' | 'special-needs', string>>;
  categories?: Partial<Record<'before-kindergarten' | 'kindergarten' | 'school-age', string>>;
  /** Another mixed-age method than our choice, where the table fixes none. */
  mixed?: Mixed;
  whileSpotting?: Rule['whileSpotting'];
  overridable?: boolean;
  /** Ids for the rules; by default "standard/part". */
  id?: (part: string) => Id;
};

/** What a table's builder gets: tests for the slots and names for traits and categories. */
export type Bound = {
  /** The test for a slot; for an optional one that is not bound, a test that nobody passes. */
  holds: (slot: KindSlot) => Test;
  accompanied: string;
  specialNeeds: string;
  beforeKindergarten: string;
  kindergarten: string;
  schoolAge: string;
};

export const months = (n: number): Edge => ({ months: n });
export const years = (n: number): Edge => ({ months: n * 12 });

/** A band of so many per coach, from one edge to the next. */
export function band(
  id: string,
  from: Edge | null,
  to: Edge | null,
  perCoach: number | Limit[],
  more: Partial<Band> = {},
): Band {
  const limits = typeof perCoach === 'number' ? [limit(perCoach)] : perCoach;
  const plain = { category: null, trait: null, countBy: 'athlete', largestGroup: null, mixes: 'in' } as const;
  return { id, from, to, ...plain, limits, ...more };
}

export function limit(perCoach: number, upToGroup: number | null = null, when: Test | null = null): Limit {
  return { upToGroup, athletesPerCoach: fraction(perCoach), when };
}

export const allOf = (...of: Test[]): Test => ({ test: 'all', of });
export const anyOf = (...of: Test[]): Test => ({ test: 'any', of });
export const aged = (atLeastYears: number): Test => ({ test: 'age', atLeastYears });
/** Somebody who only shadows is there to learn. */
export const working: Test = { test: 'duty', in: ['lead', 'assist', 'oversee'] };
export const adult: Test = allOf(aged(18), working);
export const counting = (who: Test, share: Fraction = ONE): Rule['counts'][number] => ({ who, share, maxOf: null });
export const atLeastTwo = (who: Test): Rule['floors'] => [
  { fromAthletes: 1, toAthletes: null, posts: [{ people: 2, who }] },
];

export const YOUNGEST: Mixed = { method: 'youngest' };
export const SILENT_ON_MIXED_AGES = 'mixed ages: the youngest governs everybody (our choice)';
export const SILENT_ON_WHO_COUNTS = 'who counts: adults of 18 or over who lead, assist or oversee (our choice)';
