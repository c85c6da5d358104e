import { describe, expect, test } from 'vitest';
import { aBlockOf, inShort } from '../../../../tests/support/a-checked-plan.ts';
import { DEFAULT_LIMITS } from './limits.ts';
import { checkOrder } from './order.ts';

const warmUp = (minutes: number) => aBlockOf([], { title: 'Warm-up', activity: 'warm-up', minutes });
const stretches = aBlockOf([], { title: 'Stretches', activity: 'stretches', minutes: 5 });
const coolDown = aBlockOf([], { title: 'Cool-down', activity: 'cool-down', minutes: 3 });
const on = (...apparatusIds: string[]) => aBlockOf([], { title: apparatusIds.join(' and '), apparatusIds });
const check = (...blocks: ReturnType<typeof on>[]) =>
  checkOrder({ blocks, limits: DEFAULT_LIMITS, isArmHeavy: (id) => id === 'bars' || id === 'rings' });

describe('passes', () => {
  test.each([
    ['a pulse-raiser, stretches, apparatus, cool-down', [warmUp(4), stretches, on('bars'), on('beam'), coolDown]],
    ['stretches after the cool-down', [warmUp(4), stretches, on('floor'), coolDown, stretches]],
    ['no stretches, so that nothing has to come before', [on('beam')]],
    ['arm-heavy blocks with another between', [on('bars'), on('floor'), on('rings')]],
    ['nothing', []],
  ] as const)('%s', (_, blocks) => expect(check(...blocks)).toEqual([]));
});

describe('breaks', () => {
  test.each([
    ['stretches without a pulse-raiser', [stretches, warmUp(4)], ['pulse-raiser 0, 3 to 5']],
    ['a pulse-raiser of two minutes', [warmUp(2), stretches], ['pulse-raiser 2, 3 to 5']],
    ['one of six', [warmUp(6), stretches], ['pulse-raiser 6, 3 to 5']],
    ['bars after rings', [on('beam', 'rings'), on('bars')], ['arm-heavy-apart 0, at least 1']],
    ['a block after the cool-down', [coolDown, on('beam')], ['cool-down-last 1, at most 0']],
  ] as const)('%s', (_, blocks, found) => expect(check(...blocks).map(inShort)).toEqual(found));
});

test('it says which blocks', () => {
  const [found] = check(warmUp(4), on('rings'), on('bars'));
  expect(found?.where).toEqual([
    { pointer: '/blocks/1', names: ['rings'] },
    { pointer: '/blocks/2', names: ['bars'] },
  ]);
  expect(found?.sentence).toBe('“rings” and “bars” are both heavy on the arms, with nothing between them.');
});
