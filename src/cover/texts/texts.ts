import type { EdgeCode } from '../edges.ts';
import type { Code, Duty, Fraction, Refusal, Span, Test, Unit, Why } from '../types.ts';

/** What each finding's sentence is made of: numbers, and names as the reader may see them. */
export interface Reasons {
  short: {
    heads: number;
    /** Completed months; null where not all ages are known. */
    youngest: number | null;
    needed: number;
    counted: Fraction;
    rule: string | null;
    /** The ages that govern, and how many athletes a coach may have under them. */
    limit: { band: string; most: Fraction } | null;
    /** Where rounding would hide the shortfall. */
    exactLoad: Fraction | null;
  };
  floor: { heads: number; needed: number; filled: number; rule: string | null; asked: string | null };
  cap: { heads: number; most: Fraction; rule: string | null; places: string[] };
  'no-band': { people: string[]; rule: string | null };
  spotting: { stations: string[]; able: string[]; needed: number };
  supervision: { people: string[]; rule: string | null; asked: string | null };
  support: { people: string[] };
  'plan-withdrawn': Record<never, never>;
}

/** Whom a place asks for, one entry a kind of test; `asked` and `parts` are such phrases themselves. */
export interface Tests {
  age: { years: number };
  'older-than-athletes': { years: number };
  holds: { kind: string };
  duty: { duties: Duty[] };
  'not-taking-part': Record<never, never>;
  'no-own-child-here': Record<never, never>;
  supervised: { asked: string };
  all: { parts: string[] };
  any: { parts: string[] };
}

interface Refused {
  who: string | null;
  when: string;
  asked: string | null;
}

/**
 * Everything that cover says to people, in one language: every text is a function of numbers and names. A language that
 * lacks one does not compile. What is said elsewhere (a problem's title, a fault in a body) is English.
 */
export interface Texts {
  /** "16:20", in the gym's zone. */
  time(moment: number, zone: string): string;
  /** "16:20 to 16:40", in the gym's zone. */
  span(span: Span, zone: string): string;
  /** Where, when, why. */
  finding(said: { unit: string; span: string; reason: string }): string;
  reasons: { [C in Code]: (said: Reasons[C]) => string };
  refusals: { [W in Refusal['why']]: (said: Refused) => string };
  /** What will go wrong on a board: somebody due at a unit at a time of day, and a qualification's last day. */
  ahead: Record<'not-in' | 'on-break' | 'left', (said: { who: string; unit: string; time: string }) => string> & {
    lastDay(said: { who: string; unit: string; kind: string }): string;
  };
  /** In the place of a refusal about a gym that the reader does not belong to. */
  atAnotherGym: string;
  /** In the place of findings at a gym that the reader does not belong to. */
  uncoveredAtAnotherGym: string;
  /** Phrases to follow "somebody who". */
  tests: { [T in Test['test']]: (said: Tests[T]) => string };
  /** To follow "somebody who", of a qualification with no block in view. */
  holding(said: { kind: string }): string;
  whyNot: Record<Extract<Why, string>, string>;
  countsOnlyWho(said: { asked: string }): string;
  edges: Record<EdgeCode, (said: { who: string }) => string>;
  nearest(said: {
    asked: string | null;
    missing: Fraction | null;
    people: { name: string; short: Fraction }[];
  }): string;
  remedies: {
    move(said: { who: string; duty: Duty; unit: string; span: string }): string;
    swap(said: { first: string; second: string; span: string }): string;
    merge(said: { from: string; into: string }): string;
    stepDown(said: { block: string; station: string; drill: string }): string;
    /** Goes on record with the step down, as said by whoever takes the remedy. */
    stepDownReason: string;
    admitFewer(said: { block: string; most: number }): string;
    admitFewerByHand: string;
    /** To follow a remedy that is only a first step. */
    stillShort(said: { short: Fraction }): string;
  };
  room: {
    full(said: { className: string; capacity: number; left: number }): string;
    notLaidOut: string;
    alreadyThere: string;
    elsewhere(said: { className: string }): string;
  };
  /** One moment of a day that is past, in one line. */
  atMoment(said: {
    unit: string;
    athletes: number;
    counted: Fraction;
    bound: { rule: string; version: number; needed: number } | null;
  }): string;
  substitutes: { notOnStaff: string; notReleased: string };
  /** What stands for a name that there is not, or that the reader may not see. */
  unnamed: Record<Unit['per'] | 'athlete' | 'person' | 'rule' | 'station' | 'area' | 'kind' | 'drill', string>;
  /** The only unit of each kind, on a made-up floor. */
  tried: Record<Unit['per'], string>;
  grade(said: { kind: string; grade: number }): string;
}
