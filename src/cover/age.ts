import { daysInMonth, isoDay, partsOf } from './day.ts';
import type { Day, Edge, Floor } from './types.ts';

export type LeapDay = Floor['leapDay'];

/**
 * Completed months from birth to a day; negative before birth. In a month without the day of birth a month is completed
 * on the next 1st, or on the month's last day where the leap day is set to 28 February.
 */
export function completedMonths(born: Day, day: Day, leapDay: LeapDay): number {
  const from = partsOf(born);
  const to = partsOf(day);
  const due = leapDay === '02-28' ? Math.min(from.d, daysInMonth(to.y, to.m)) : from.d;
  return (to.y - from.y) * 12 + to.m - from.m - (to.d < due ? 1 : 0);
}

/** The day on which somebody turns `years`: 29 February falls on 1 March, or on 28 February where so set. */
export function birthday(born: Day, years: number, leapDay: LeapDay): Day {
  const { y, m, d } = partsOf(born);
  return existing(y + years, m, d, leapDay);
}

/** Whether somebody has come to an edge by that day. `firstOn` is the first such date strictly after the birthday. */
export function hasReached(edge: Edge, born: Day, day: Day, leapDay: LeapDay): boolean {
  if ('months' in edge) return completedMonths(born, day, leapDay) >= edge.months;
  return day >= dayOfEdge(edge, born, leapDay);
}

function dayOfEdge(edge: Extract<Edge, { afterBirthday: number }>, born: Day, leapDay: LeapDay): Day {
  const turned = birthday(born, edge.afterBirthday, leapDay);
  const { y } = partsOf(turned);
  const { month, day } = edge.firstOn;
  const sameYear = existing(y, month, day, leapDay);
  return sameYear > turned ? sameYear : existing(y + 1, month, day, leapDay);
}

function existing(y: number, m: number, d: number, leapDay: LeapDay): Day {
  const last = daysInMonth(y, m);
  if (d <= last) return isoDay(y, m, d);
  if (leapDay === '02-28') return isoDay(y, m, last);
  return m === 12 ? isoDay(y + 1, 1, 1) : isoDay(y, m + 1, 1);
}
