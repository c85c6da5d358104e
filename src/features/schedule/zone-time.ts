import { Temporal } from 'temporal-polyfill';

// Wall time and moments. A class keeps wall time: 17:00 stays 17:00 across a clock change.

/** Half-open: from a moment until a moment. */
export interface Meeting {
  startsAt: Date;
  endsAt: Date;
}

/**
 * The moment of a wall time in a zone, as RFC 5545 section 3.3.5 reads an explicit local time: one that the clocks skip
 * in spring is read with the offset before the gap (02:30 becomes 03:30), and of one that comes twice in autumn the
 * first is meant.
 */
export function momentOf(day: string, time: string, zone: string): Date {
  const { epochMilliseconds } = Temporal.PlainDate.from(day)
    .toPlainDateTime(Temporal.PlainTime.from(time))
    .toZonedDateTime(zone, { disambiguation: 'compatible' });
  return new Date(epochMilliseconds);
}

const inZone = (moment: Date, zone: string) =>
  Temporal.Instant.fromEpochMilliseconds(moment.getTime()).toZonedDateTimeISO(zone);

/** The calendar day of a moment in a zone. */
export const dayOf = (moment: Date, zone: string): string => inZone(moment, zone).toPlainDate().toString();

/** The wall time of a moment in a zone, to the minute: "17:00". */
export const wallTimeOf = (moment: Date, zone: string): string =>
  inZone(moment, zone).toPlainTime().toString({ smallestUnit: 'minute' });

/** From wall time for so many real minutes; null when that runs past the end of the local day. */
export function meetingOn(day: string, time: string, durationMinutes: number, zone: string): Meeting | null {
  const startsAt = momentOf(day, time, zone);
  const endsAt = new Date(startsAt.getTime() + durationMinutes * 60_000);
  const midnight = momentOf(addDays(day, 1), '00:00', zone);
  return endsAt > midnight ? null : { startsAt, endsAt };
}

export const addDays = (day: string, days: number): string => Temporal.PlainDate.from(day).add({ days }).toString();

/** How many days the span [from, until) has. */
export const daysBetween = (from: string, until: string): number =>
  Temporal.PlainDate.from(from).until(until, { largestUnit: 'day' }).days;

/** The days in [from, until) that fall on a weekday; 1 is Monday (ISO 8601). */
export function weekdaysIn(from: string, until: string, weekday: number): string[] {
  const first = Temporal.PlainDate.from(from);
  const days: string[] = [];
  const end = Temporal.PlainDate.from(until);
  let day = first.add({ days: (weekday - first.dayOfWeek + 7) % 7 });
  for (; Temporal.PlainDate.compare(day, end) < 0; day = day.add({ weeks: 1 })) days.push(day.toString());
  return days;
}
