import { expect, test } from 'vitest';
import { bandAt, DEFAULT_LIMITS } from './limits.ts';
import { SettableLimits } from './schema.ts';

// Common practice, no source: what a franchise finds before it sets its own.
test.each([
  [2, [8, 10], [2, 3], [5, 10]],
  [3, [8, 10], [2, 3], [5, 10]],
  [4, [8, 10], [2, 3], [5, 10]],
  [5, [10, 15], [1, 2], [10, 30]],
  [6, [10, 15], [1, 2], [10, 30]],
  [7, [15, 20], [1, 2], [10, 30]],
  [16, [15, 20], [1, 2], [10, 30]],
])('at %d years: blocks of %j minutes, changeovers of %j, holds of %j seconds', (years, block, changeover, hold) => {
  const { blockMinutes, changeoverMinutes, holdSeconds } = bandAt(DEFAULT_LIMITS, years);
  expect([blockMinutes, changeoverMinutes, holdSeconds].map(({ from, to }) => [from, to])).toEqual([
    block,
    changeover,
    hold,
  ]);
});

test('the rest of them, and that they may be set as they are', () => {
  const { ages: _, ...rest } = DEFAULT_LIMITS;
  expect(rest).toEqual({
    warmUpMinutesAnHour: { from: 8, to: 10 },
    pulseRaiserMinutes: { from: 3, to: 5 },
    mostWaiting: 3,
    handsOnStationsACoach: 1,
    waterEveryMinutes: 60,
    newPercent: { from: 15, to: 35 },
    testEveryWeeks: { from: 8, to: 12 },
    moveUpDays: { from: 2, to: 3 },
  });
  expect(SettableLimits.parse(DEFAULT_LIMITS)).toEqual(DEFAULT_LIMITS);
});

test.each([
  ['a range the wrong way round', { newPercent: { from: 35, to: 15 } }],
  ['no band of ages', { ages: [] }],
  ['bands in the wrong order', { ages: DEFAULT_LIMITS.ages.toReversed() }],
])('refuses %s', (_, more) => {
  expect(SettableLimits.safeParse({ ...DEFAULT_LIMITS, ...more }).success).toBe(false);
});
