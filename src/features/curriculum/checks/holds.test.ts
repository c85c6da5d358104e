import { expect, test } from 'vitest';
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
import { DEFAULT_LIMITS } from './limits.ts';

const fold = aDrillLike({ name: 'Sit and fold' });
const held = (amount: number, unit: 'seconds' | 'times', activity: 'stretches' | 'conditioning' = 'stretches') =>
  aBlockOf(
    [aStationOf([], { steps: [aStepOf([fold], { dose: { amount, unit, sets: 1, eachSide: true, note: null } })] })],
    { activity },
  );
const check = (block: ReturnType<typeof held>, months: number[]) =>
  checkHolds({
    blocks: [block],
    drills: byId(fold),
    classes: [aCheckedClass({ months })],
    limits: DEFAULT_LIMITS,
  });

test.each([
  ['ten seconds at eight', held(10, 'seconds'), [100], []],
  ['ten at four', held(10, 'seconds'), [50], []],
  ['twenty at four', held(20, 'seconds'), [50], ['hold 20, 5 to 10']],
  ['five at eight', held(5, 'seconds'), [100], ['hold 5, 10 to 30']],
  ['forty times', held(40, 'times'), [100], []],
  ['forty seconds of conditioning', held(40, 'seconds', 'conditioning'), [100], []],
  ['where nobody’s age is known', held(90, 'seconds'), [], []],
] as const)('%s', (_, block, months, found) => expect(check(block, [...months]).map(inShort)).toEqual(found));

test('it points at the step, by its drill', () => {
  expect(check(held(20, 'seconds'), [50])[0]?.where).toEqual([
    { pointer: '/blocks/0/stations/0/steps/0', names: ['Floor', 'Wedge', 'Sit and fold'] },
  ]);
});
