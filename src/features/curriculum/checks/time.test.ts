import { describe, expect, test } from 'vitest';
import { aBlockOf, aCheckedClass, aDrillLike, aStationOf, inShort } from '../../../../tests/support/a-checked-plan.ts';
import { DEFAULT_LIMITS } from './limits.ts';
import { checkTime } from './time.ts';

const station = aStationOf([aDrillLike()]);
const warmUp = (minutes: number) => aBlockOf([station], { title: 'Warm-up', activity: 'warm-up', minutes });
const on = (minutes: number) => aBlockOf([station], { title: 'Bars', minutes });
const hour = [warmUp(9), on(15), on(15), on(15)];
const check = (blocks: typeof hour, ...classes: ReturnType<typeof aCheckedClass>[]) =>
  checkTime({ blocks, classes, limits: DEFAULT_LIMITS }).map(inShort);

describe('passes', () => {
  test.each([
    ['54 minutes in an hour', hour, aCheckedClass()],
    ['an hour to the dot: changeovers are in the blocks', [warmUp(9), on(17), on(17), on(17)], aCheckedClass()],
    [
      'a class nobody’s age is known in: no block is too long for it',
      [warmUp(9), on(40)],
      aCheckedClass({ months: [] }),
    ],
    ['preschool blocks at four years', [warmUp(7), on(9), on(9), on(9)], aCheckedClass({ months: [50], minutes: 45 })],
    ['nothing, of nothing', [], aCheckedClass()],
  ] as const)('%s', (_, blocks, one) => expect(check([...blocks], one)).toEqual([]));
});

describe('breaks', () => {
  test.each([
    ['one minute more', [warmUp(10), on(17), on(17), on(17)], aCheckedClass(), ['lesson-length 61, at most 60']],
    [
      'the same of small children',
      [warmUp(6), on(9), on(9), on(9), on(8)],
      aCheckedClass({ months: [50], minutes: 40 }),
      ['lesson-length 41, at most 40'],
    ],
    [
      'of two hours',
      [warmUp(18), on(20), on(20), on(20), on(20), on(20), on(3)],
      aCheckedClass({ minutes: 120 }),
      ['lesson-length 121, at most 120', 'block-length 3, 15 to 20'],
    ],
    [
      'blocks for older children at six',
      hour.map((block) => (block.activity === 'apparatus' ? on(16) : block)),
      aCheckedClass({ months: [72, 75, 90] }),
      ['block-length 16, 10 to 15'],
    ],
    ['a warm-up that is too short', [warmUp(7), on(15)], aCheckedClass(), ['warm-up 7, 8 to 10']],
    ['none at all', [on(15)], aCheckedClass(), ['warm-up 0, 8 to 10']],
  ] as const)('%s', (_, blocks, one, found) => expect(check([...blocks], one)).toEqual(found));

  test('it says which class it does not fit, and none that it fits', () => {
    const short = aCheckedClass({ name: 'Short ones', minutes: 45, gymName: 'South' });
    const found = checkTime({ blocks: hour, classes: [aCheckedClass(), short], limits: DEFAULT_LIMITS });
    const [length] = found;
    expect(length?.classes).toEqual([short]);
    expect(length?.sentence).toBe(
      'The blocks take 54 minutes, changeovers and all; “Short ones” (South, Monday) has 45.',
    );
    expect(length?.limitFrom).toBe('timetable');
  });
});

test('a franchise’s own settings count, not what is usual elsewhere', () => {
  const limits = { ...DEFAULT_LIMITS, warmUpMinutesAnHour: { from: 5, to: 6 } };
  expect(checkTime({ blocks: hour, classes: [aCheckedClass()], limits }).map(inShort)).toEqual(['warm-up 9, 5 to 6']);
});
