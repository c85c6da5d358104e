import { Temporal } from 'temporal-polyfill';
import type { Span } from '../cover/index.ts';

const MOST_DAYS_KNOWN = 2000;
const daysKnown = new Map<string, Span>();

/** From local midnight to the next, in epoch milliseconds: 23, 24 or 25 hours. */
export function daySpan(day: string, zone: string): Span {
  const key = `${day} ${zone}`;
  const known = daysKnown.get(key);
  if (known !== undefined) return known;
  if (daysKnown.size >= MOST_DAYS_KNOWN) daysKnown.clear();
  const span = findDaySpan(day, zone);
  daysKnown.set(key, span);
  return span;
}

function findDaySpan(day: string, zone: string): Span {
  const date = Temporal.PlainDate.from(day);
  const midnight = (one: Temporal.PlainDate) => one.toZonedDateTime(zone).epochMilliseconds;
  return { from: midnight(date), to: midnight(date.add({ days: 1 })) };
}
