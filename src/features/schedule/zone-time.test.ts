import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import vectors from '../../../tests/reference/rfc-vectors.json' with { type: 'json' };
import { dayOf, daysBetween, meetingOn, momentOf, wallTimeOf, weekdaysIn } from './zone-time.ts';

const utcOf = (moment: Date) => moment.toISOString().replace('.000Z', 'Z');

/** RFC 5545 (September 2009), section 3.3.5 and recurrences across clock changes; the file marks these values `memory`. */
const Vector = z.object({
  id: z.string(),
  tzid: z.string().optional(),
  rule: z.string().optional(),
  local: z.string().optional(),
  utc: z.union([z.string(), z.array(z.string())]).optional(),
});
const dst = z.array(Vector).parse(vectors.dst);

describe('RFC 5545 on clock changes (from memory)', () => {
  const weekly = dst.flatMap(({ id, tzid, rule, utc }) => {
    const read = /^weekly, (\d\d:\d\d) local from (\S+), (\d+) times$/.exec(rule ?? '');
    return read && tzid && Array.isArray(utc) ? [{ id, tzid, utc, time: `${read[1]}`, first: `${read[2]}` }] : [];
  });
  const explicit = dst.flatMap(({ id, tzid, local, utc }) =>
    tzid && local && typeof utc === 'string' ? [{ id, tzid, local, utc }] : [],
  );

  test('the file has two weekly classes and two explicit times', () => {
    expect([weekly.length, explicit.length]).toEqual([2, 2]);
  });

  test.each(weekly)('$id: a class keeps its wall time', ({ tzid, utc, time, first }) => {
    const until = '2026-12-31';
    const days = weekdaysIn(first, until, 1).slice(0, utc.length);
    expect(days.map((day) => utcOf(momentOf(day, time, tzid)))).toEqual(utc);
    expect(utc.map((moment) => wallTimeOf(new Date(moment), tzid))).toEqual(utc.map(() => time));
  });

  test.each(explicit)('$id', ({ tzid, local, utc }) => {
    const [day, time] = local.split('T') as [string, string];
    expect(utcOf(momentOf(day, time, tzid))).toBe(utc);
  });
});

describe('a meeting', () => {
  test('takes its real minutes, in the night when the clocks go back too', () => {
    const meeting = meetingOn('2026-10-25', '00:30', 120, 'Europe/Dublin');
    expect(meeting && [utcOf(meeting.startsAt), utcOf(meeting.endsAt)]).toEqual([
      '2026-10-24T23:30:00Z',
      '2026-10-25T01:30:00Z',
    ]);
  });

  test('may end at midnight, and no later', () => {
    expect(meetingOn('2026-09-07', '23:00', 60, 'Europe/Dublin')?.endsAt).toEqual(new Date('2026-09-07T23:00:00Z'));
    expect(meetingOn('2026-09-07', '23:00', 61, 'Europe/Dublin')).toBeNull();
  });

  test('in the hour that is skipped in spring begins an hour later by the clock', () => {
    const meeting = meetingOn('2026-03-29', '01:30', 60, 'Europe/Dublin');
    expect(meeting && wallTimeOf(meeting.startsAt, 'Europe/Dublin')).toBe('02:30');
  });
});

test('a day is that of the gym, not of the server', () => {
  expect(dayOf(new Date('2026-09-07T02:00:00Z'), 'America/Halifax')).toBe('2026-09-06');
});

test('weekdays: the first day counts, the last is out', () => {
  expect(weekdaysIn('2026-09-07', '2026-09-21', 1)).toEqual(['2026-09-07', '2026-09-14']);
  expect(weekdaysIn('2026-09-08', '2026-09-21', 1)).toEqual(['2026-09-14']);
  expect(weekdaysIn('2026-09-07', '2026-09-14', 7)).toEqual(['2026-09-13']);
});

test('half a year has 182 days', () => expect(daysBetween('2026-01-05', '2026-07-06')).toBe(182));
