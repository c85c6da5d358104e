import { describe, expect, test } from 'vitest';
import {
  aBlockOf,
  aCheckedClass,
  aDrillLike,
  aStationOf,
  aStepOf,
  byId,
  inShort,
} from '../../../../tests/support/a-checked-plan.ts';
import { checkHolds } from './holds.ts';
import { type AgeBand, bandAt, DEFAULT_LIMITS, type Limits } from './limits.ts';
import { SettableLimits } from './schema.ts';
import { checkTime } from './time.ts';

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

describe('a franchise’s own limits are those of the findings', () => {
  const fold = aDrillLike();
  const set = (more: Partial<AgeBand>) => ({
    ...DEFAULT_LIMITS,
    ages: DEFAULT_LIMITS.ages.map((band) => ({ ...band, ...more })),
  });
  const held = aStepOf([fold], { dose: { amount: 40, unit: 'seconds', sets: 1, eachSide: false, note: null } });
  const plan = {
    blocks: [
      aBlockOf([aStationOf([], { steps: [held] })], { activity: 'stretches', minutes: 20 }),
      aBlockOf([aStationOf([fold])], { minutes: 41 }),
    ],
    drills: byId(fold),
    classes: [aCheckedClass({ months: [100], minutes: 60 })],
  };
  const found = (limits: Limits) =>
    [...checkTime({ ...plan, limits }), ...checkHolds({ ...plan, limits })]
      .filter(({ about }) => about !== 'warm-up')
      .map(inShort);
  test.each([
    ['as delivered', {}, ['lesson-length 61, at most 60', 'block-length 41, 15 to 20', 'hold 40, 10 to 30']],
    [
      'block minutes',
      { blockMinutes: { from: 20, to: 35 } },
      ['lesson-length 61, at most 60', 'block-length 41, 20 to 35', 'hold 40, 10 to 30'],
    ],
    [
      'holds',
      { holdSeconds: { from: 5, to: 20 } },
      ['lesson-length 61, at most 60', 'block-length 41, 15 to 20', 'hold 40, 5 to 20'],
    ],
    [
      'all that wide',
      { blockMinutes: { from: 1, to: 41 }, holdSeconds: { from: 1, to: 40 } },
      ['lesson-length 61, at most 60'],
    ],
  ])('%s', (_, more, findings) => expect(found(set(more))).toEqual(findings));
});
