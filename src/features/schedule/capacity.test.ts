import { expect, test } from 'vitest';
import { fullestDay } from './capacity.ts';

const days = (from: string, until: string | null = null) => ({ from, until });

test('nobody enrolled', () => {
  expect(fullestDay([], '2026-09-01')).toEqual({ day: '2026-09-01', enrolled: 0 });
});

test('somebody who joins later fills the class later', () => {
  const enrolled = [days('2026-01-01'), days('2026-10-01'), days('2026-11-01')];
  expect(fullestDay(enrolled, '2026-09-01')).toEqual({ day: '2026-11-01', enrolled: 3 });
});

test('the day on which one leaves is free for the next', () => {
  const enrolled = [days('2026-01-01', '2026-10-01'), days('2026-10-01')];
  expect(fullestDay(enrolled, '2026-09-01')).toEqual({ day: '2026-09-01', enrolled: 1 });
});

test('those who had left before are not counted', () => {
  expect(fullestDay([days('2026-01-01', '2026-09-01')], '2026-09-01').enrolled).toBe(0);
});
