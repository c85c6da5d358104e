import type { Athlete, Block, Count, Day, Duty, Floor, Fraction, Id, Rule, Span, Staff, Unit } from './types.ts';

/** A stretch of time in which nothing changes; `young` are the staff who are athletes under the rule that is asked. */
export type Moment = {
  span: Span;
  day: Day;
  leapDay: Floor['leapDay'];
  ages: Map<Day, number>;
  young: readonly OnDuty[];
};

/** A member of staff where they stand. */
export type OnDuty = { staff: Staff; duty: Duty; spot: Spot };

/** Where people stand during one moment: a block, the overseers' place of a session, or the premises. */
export type Spot = {
  unit: Unit;
  block: Block | null;
  days: { first: Day; last: Day }; // what a qualification has to be valid for
  athletes: Athlete[];
  categories: ReadonlyMap<Athlete, string>; // of those who have one where they stand
  watched: Athlete[]; // those whom the staff here look after; at a block, its athletes
  staff: OnDuty[]; // by id
  overseers: OnDuty[]; // in sight of a block though not at it
  helped: ReadonlySet<Id>; // athletes who have their one-to-one helper
  helpers: ReadonlySet<Id>;
  handsOn: ReadonlySet<Id>; // staff who spot by hand
};

/** Somebody enrolled in a block, there or not, and as what. */
export type Enrolled = { athlete: Athlete; category: string | null };

/** An athlete as one rule sees them; `band` is an index into the rule's bands, -1 for nobody's. */
export type Head = { athlete: Athlete; spot: Spot; band: number; helped: boolean };

/** One rule's view of a unit during a moment, with what the checks share. */
export type View = {
  rule: Rule;
  unit: Unit;
  moment: Moment;
  spots: Spot[];
  heads: Head[];
  groupSize: Map<Spot, number>;
  people: OnDuty[]; // by id, each once
  enrolled: Enrolled[]; // whose ages govern, where the rule asks for those enrolled
  youngsters: ReadonlySet<Id>; // staff who are athletes under this rule
  ratio: Ratio;
  count: Count;
  trainees: Trainees;
};

export type Ratio = { load: Fraction; governing: number; limit: Fraction | null; largest: Fraction | null };
export type Trainees = { all: Id[]; unplaced: Id[]; under: { trainee: Id; supervisor: Id }[] };

export const NOBODY: ReadonlySet<Id> = new Set();
