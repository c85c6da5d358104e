import { Temporal } from 'temporal-polyfill';
import { addDays, dayOf, momentOf } from '../features/schedule/zone-time.ts';
import { GYMS } from './data/place.ts';

/** The demo's days, counted from the Monday of the week of its first start. */
export interface Calendar {
  monday: string;
  /** So many days after that Monday; negative is before. */
  day(after: number): string;
  /** Somebody's birth date who on that Monday is so many completed months old, and some days. */
  born(months: number, days: number): string;
  /** Some evening before that Monday, for what the demo's people are said to have done. */
  evening(daysBefore: number): Date;
}

export function calendarAt(now: Date): Calendar {
  const { zone } = GYMS.quillmere;
  const today = Temporal.PlainDate.from(dayOf(now, zone));
  const monday = today.subtract({ days: today.dayOfWeek - 1 }).toString();
  return {
    monday,
    day: (after) => addDays(monday, after),
    born: (months, days) => Temporal.PlainDate.from(monday).subtract({ months, days }).toString(),
    evening: (daysBefore) => momentOf(addDays(monday, -daysBefore), '19:00', zone),
  };
}
