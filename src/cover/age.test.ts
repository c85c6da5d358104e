import { describe, expect, test } from 'vitest';
import { birthday, completedMonths, hasReached } from './age.ts';
import { localDay, midnightsIn } from './day.ts';

describe('meaning 20: completed months', () => {
  test.each([
    ['2020-01-15', '2021-01-14', 11, 11],
    ['2020-01-15', '2021-01-15', 12, 12],
    ['2020-01-31', '2020-02-28', 0, 0],
    ['2020-01-31', '2020-02-29', 0, 1],
    ['2020-01-31', '2020-03-01', 1, 1],
    ['2021-01-31', '2021-02-28', 0, 1],
    ['2020-03-31', '2020-04-30', 0, 1],
    ['2020-03-31', '2020-05-01', 1, 1],
    ['2020-02-29', '2021-02-28', 11, 12],
    ['2020-02-29', '2021-03-01', 12, 12],
    ['2020-02-29', '2024-02-28', 47, 47],
    ['2020-02-29', '2024-02-29', 48, 48],
    ['2020-05-05', '2020-05-04', -1, -1],
    ['2020-05-05', '2020-05-05', 0, 0],
  ])('born %s, on %s: %i with the leap day on 1 March, %i on 28 February', (born, day, march, february) => {
    expect([completedMonths(born, day, '03-01'), completedMonths(born, day, '02-28')]).toEqual([march, february]);
  });
});

describe('meaning 20: birthdays', () => {
  test.each([
    ['2020-02-29', 1, '2021-03-01', '2021-02-28'],
    ['2020-02-29', 4, '2024-02-29', '2024-02-29'],
    ['2019-08-31', 5, '2024-08-31', '2024-08-31'],
  ])('born %s, turning %i: %s, or %s', (born, years, march, february) => {
    expect([birthday(born, years, '03-01'), birthday(born, years, '02-28')]).toEqual([march, february]);
  });
});

describe('1 September after the fifth birthday, strictly', () => {
  const edge = { firstOn: { month: 9, day: 1 }, afterBirthday: 5 };
  test.each([
    ['2020-08-31', '2025-09-01'],
    ['2020-09-01', '2026-09-01'],
    ['2020-09-02', '2026-09-01'],
    ['2020-02-29', '2025-09-01'],
  ])('born %s: reached on %s, and not the day before', (born, day) => {
    const eve = new Date(Date.parse(day) - 86_400_000).toISOString().slice(0, 10);
    expect([hasReached(edge, born, eve, '03-01'), hasReached(edge, born, day, '03-01')]).toEqual([false, true]);
  });

  test('1 March after a birthday on the leap day: the setting decides', () => {
    const march = { firstOn: { month: 3, day: 1 }, afterBirthday: 1 };
    expect(hasReached(march, '2020-02-29', '2021-03-01', '03-01')).toBe(false);
    expect(hasReached(march, '2020-02-29', '2021-03-01', '02-28')).toBe(true);
  });
});

describe('the local day', () => {
  test.each([
    ['Europe/London', '2026-03-28T23:59:59Z', '2026-03-28'],
    ['Europe/London', '2026-06-30T23:00:00Z', '2026-07-01'],
    ['America/Vancouver', '2026-03-12T06:59:00Z', '2026-03-11'],
    ['Asia/Kathmandu', '2026-03-11T18:15:00Z', '2026-03-12'],
    ['Asia/Kathmandu', '2026-03-11T18:14:59Z', '2026-03-11'],
    ['Pacific/Chatham', '2026-03-12T10:15:00Z', '2026-03-13'],
  ])('in %s at %s it is %s', (zone, at, day) => {
    expect(localDay(zone, Date.parse(at))).toBe(day);
  });

  test('midnights inside a span, over a clock change', () => {
    const span = { from: Date.parse('2026-03-28T12:00:00Z'), to: Date.parse('2026-03-30T12:00:00Z') };
    expect(midnightsIn('Europe/London', span).map((at) => new Date(at).toISOString())).toEqual([
      '2026-03-29T00:00:00.000Z',
      '2026-03-29T23:00:00.000Z',
    ]);
  });

  test('a span that ends at midnight has none', () => {
    const span = { from: Date.parse('2026-03-12T12:00:00Z'), to: Date.parse('2026-03-13T00:00:00Z') };
    expect(midnightsIn('UTC', span)).toEqual([]);
  });

  test('a zone that does not exist is refused', () => {
    expect(() => localDay('Nowhere/Town', 0)).toThrow(RangeError);
  });
});
