import { describe, expect, test } from 'vitest';
import { aBlockOf, aCheckedClass, aDrillLike, aStationOf, inShort } from '../../../../tests/support/a-checked-plan.ts';
import { DEFAULT_LIMITS } from './limits.ts';
import { checkWater } from './water.ts';

const station = aStationOf([aDrillLike()]);
const dry = (minutes: number) => aBlockOf([station], { minutes });
const wet = (minutes: number) => aBlockOf([station], { minutes, waterFirst: true });
type Blocks = ReturnType<typeof dry>[];
const check = (blocks: Blocks, minutes: number, limits = DEFAULT_LIMITS) =>
  checkWater({ blocks, classes: [aCheckedClass({ minutes })], limits }).map(inShort);

// An hour: common practice, no source.
describe('no more than an hour without water', () => {
  test.each<[string, Blocks, number, string[]]>([
    ['an hour needs none', [dry(30), dry(30)], 60, []],
    ['a minute more', [dry(30), dry(31)], 61, ['water 61, at most 60']],
    ['two hours with a drink half-way', [dry(60), wet(60)], 120, []],
    ['a drink that comes too late', [dry(61), wet(59)], 120, ['water 61, at most 60']],
    ['a drink that comes too early', [dry(59), wet(61)], 120, ['water 61, at most 60']],
    ['three hours with two', [dry(60), wet(60), wet(60)], 180, []],
    ['a drink before it starts helps nobody later', [wet(45), dry(45)], 90, ['water 90, at most 60']],
    ['a lesson that ends before the drink', [dry(70), wet(20)], 60, []],
    ['a lesson that goes on after the blocks', [dry(20), wet(20)], 90, ['water 70, at most 60']],
    ['nothing planned yet', [], 120, []],
  ])('%s', (_, blocks, minutes, found) => expect(check(blocks, minutes)).toEqual(found));

  test('as the franchise sets it', () => {
    const limits = { ...DEFAULT_LIMITS, waterEveryMinutes: 30 };
    expect(check([dry(30), wet(30)], 60, limits)).toEqual([]);
    expect(check([dry(60)], 60, limits)).toEqual(['water 60, at most 30']);
  });

  test('it says which class, and what to do', () => {
    const classes = [aCheckedClass(), aCheckedClass({ name: 'Long ones', minutes: 90 })];
    const [found, ...others] = checkWater({ blocks: [dry(90)], classes, limits: DEFAULT_LIMITS });
    expect([found?.classes, others]).toEqual([[classes[1]], []]);
    expect(found?.sentence).toBe(
      '90 minutes without water; at most 60 are usual: “Long ones” (North, Monday). Say before which block everybody drinks.',
    );
  });
});
