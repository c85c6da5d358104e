import { addDays, daysBetween } from './zone-time.ts';

/** How far a class is, in weeks of a term. */
export interface Place {
  /** The week that it is taught next; null: it is through. */
  week: number | null;
  due: number;
  weeksBehind: number;
}

/**
 * A class's own place in a term on a day: one week on for each session that was held, and from a session that was laid
 * out from a week of the term, on from that week. What the calendar says is the
 * number of its weekdays since the term began; the difference is what it lost to closures and cancellations, or won. A
 * class that began later than the term comes in at the calendar's week of its first session, and has lost nothing by it.
 */
export function placeOf(input: {
  /** The term's first Monday. */
  startsOn: string;
  weekCount: number;
  /** 1 is Monday. */
  weekday: number;
  on: string;
  /** The class's own first day. */
  classFrom: string;
  /** The day of the first session that it has had, or will have, in the term; null where none is laid out. */
  firstSession: string | null;
  /** The week that it was put at by hand, if it was. */
  placeWeek: number | null;
  /** The week that its last session before this was laid out from, where one was since the term began or it was put there. */
  laidOutWeek: number | null;
  /** Sessions held since that one, or else since the term began, or since it was put there. */
  held: number;
}): Place {
  const { startsOn, weekCount, weekday, on, classFrom, firstSession, placeWeek, laidOutWeek, held } = input;
  const first = addDays(startsOn, weekday - 1);
  const weeksBefore = (day: string) => Math.min(weekCount, Math.max(0, Math.ceil(daysBetween(first, day) / 7)));
  const due = weeksBefore(on);
  const began = firstSession ?? later(classFrom, on);
  const missed = placeWeek === null && classFrom > first ? weeksBefore(began) : 0;
  const next = (laidOutWeek === null ? (placeWeek ?? 1 + missed) : laidOutWeek + 1) + held;
  const taught = Math.min(weekCount, next - 1);
  return { week: next > weekCount ? null : next, due, weeksBehind: Math.max(due, missed) - taught };
}

const later = (a: string, b: string) => (a > b ? a : b);
