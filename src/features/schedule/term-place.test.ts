import { describe, expect, test } from 'vitest';
import { placeOf } from './term-place.ts';

const TERM = { startsOn: '2026-09-07', weekCount: 4 };
/** It is older than the term, so that it does not matter when it began. */
const OLD = { classFrom: '2026-01-05', firstSession: null, laidOutWeek: null };

/** A Wednesday class in a term of four weeks from Monday 7 September. */
const wednesday = (on: string, held: number, placeWeek: number | null = null) =>
  placeOf({ ...TERM, ...OLD, weekday: 3, on, placeWeek, held });

test.each([
  ['before the term', '2026-09-01', 0, null, { week: 1, due: 0, weeksBehind: 0 }],
  ['on its first day, before the session', '2026-09-09', 0, null, { week: 1, due: 0, weeksBehind: 0 }],
  ['the day after', '2026-09-10', 1, null, { week: 2, due: 1, weeksBehind: 0 }],
  ['after one that was cancelled', '2026-09-10', 0, null, { week: 1, due: 1, weeksBehind: 1 }],
  ['a week later, still one behind', '2026-09-17', 1, null, { week: 2, due: 2, weeksBehind: 1 }],
  ['put one on by hand', '2026-09-17', 0, 3, { week: 3, due: 2, weeksBehind: 0 }],
  ['ahead of the calendar', '2026-09-10', 1, 2, { week: 3, due: 1, weeksBehind: -1 }],
  ['through', '2026-10-01', 4, null, { week: null, due: 4, weeksBehind: 0 }],
  ['long after a term that was not finished', '2027-03-01', 3, null, { week: 4, due: 4, weeksBehind: 1 }],
])('%s', (_, on, held, placeWeek, expected) => {
  expect(wednesday(on, held, placeWeek)).toEqual(expected);
});

test('a Monday and a Sunday of one week are due a day after each', () => {
  const due = (weekday: number, on: string) => placeOf({ ...TERM, ...OLD, weekday, on, placeWeek: null, held: 0 }).due;
  expect([due(1, '2026-09-07'), due(1, '2026-09-08'), due(7, '2026-09-13'), due(7, '2026-09-14')]).toEqual([
    0, 1, 0, 1,
  ]);
});

test('it goes on from the week that its last session was laid out from, whatever was cancelled before it', () => {
  const on = (day: string, held: number, laidOutWeek: number) =>
    placeOf({ ...TERM, ...OLD, weekday: 3, on: day, placeWeek: 1, laidOutWeek, held });
  expect(on('2026-09-17', 0, 2)).toEqual({ week: 3, due: 2, weeksBehind: 0 });
  expect(on('2026-09-24', 1, 2)).toEqual({ week: 4, due: 3, weeksBehind: 0 });
});

describe('a class that began on Wednesday 16 September', () => {
  const late = (on: string, held: number, firstSession: string | null = '2026-09-16') =>
    placeOf({
      ...TERM,
      weekday: 3,
      on,
      classFrom: '2026-09-16',
      firstSession,
      placeWeek: null,
      laidOutWeek: null,
      held,
    });

  test.each([
    ['comes in at the second week', late('2026-09-07', 0), { week: 2, due: 0, weeksBehind: 0 }],
    ['has not lost the first', late('2026-09-16', 0), { week: 2, due: 1, weeksBehind: 0 }],
    ['goes on from there', late('2026-09-17', 1), { week: 3, due: 2, weeksBehind: 0 }],
    ['falls behind by what it loses after that', late('2026-09-24', 1), { week: 3, due: 3, weeksBehind: 1 }],
    [
      'whose first was cancelled comes in a week later',
      late('2026-09-17', 0, '2026-09-23'),
      { week: 3, due: 2, weeksBehind: 0 },
    ],
    [
      'and has no session yet is where the calendar is',
      late('2026-09-24', 0, null),
      { week: 4, due: 3, weeksBehind: 0 },
    ],
    [
      'or will not before the term is over is through',
      late('2026-09-24', 0, '2026-10-07'),
      { week: null, due: 3, weeksBehind: 0 },
    ],
  ])('%s', (_, place, expected) => {
    expect(place).toEqual(expected);
  });

  test('is where somebody put it all the same', () => {
    const put = {
      ...TERM,
      weekday: 3,
      classFrom: '2026-09-16',
      firstSession: '2026-09-16',
      placeWeek: 1,
      laidOutWeek: null,
    };
    expect(placeOf({ ...put, on: '2026-09-17', held: 1 })).toEqual({ week: 2, due: 2, weeksBehind: 1 });
  });
});
