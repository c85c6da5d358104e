import { describe, expect, test } from 'vitest';
import { aBlockOf, aDrillLike, aStationOf, byId, inShort } from '../../../../tests/support/a-checked-plan.ts';
import type { Week } from '../term-schema.ts';
import { checkFocus, checkTerm, taughtBy } from './coverage.ts';
import { DEFAULT_LIMITS } from './limits.ts';

type Standing = Week['skills'][number]['standing'];
const week = (skills: Record<string, Standing>, planId: string | null = null): Week => ({
  planId,
  note: null,
  skills: Object.entries(skills).map(([skillId, standing]) => ({ skillId, standing })),
});
const QUARTER = { a: 'new', b: 'continuing', c: 'continuing', d: 'revise' } as const;
const TESTED = { ...QUARTER, e: 'test' } as const;
const weeks = (count: number, ...tests: number[]) =>
  Array.from({ length: count }, (_, w) => week(tests.includes(w + 1) ? TESTED : QUARTER));
const check = (of: Week[], taught: Record<string, string[]> = {}) =>
  checkTerm(
    { title: 'Autumn', weeks: of },
    new Map(Object.entries(taught).map(([plan, skills]) => [plan, new Set(skills)])),
    DEFAULT_LIMITS,
    (id) => id.toUpperCase(),
  );

describe('a term passes', () => {
  test.each([
    ['twelve weeks without a test', weeks(12)],
    ['tests in weeks 8 and 20 of 30', weeks(30, 8, 20)],
    ['a test in week 2: the first may come early', weeks(10, 2)],
    ['weeks with nothing in them yet', [week({})]],
  ] as const)('%s', (_, of) => expect(check([...of])).toEqual([]));
});

describe('a term breaks', () => {
  test.each([
    ['thirteen weeks without a test', weeks(13), ['test-interval 13, 8 to 12']],
    ['a first test in week 13', weeks(20, 13), ['test-interval 13, 8 to 12']],
    ['tests three weeks apart', weeks(12, 6, 9), ['test-interval 3, 8 to 12']],
    ['tests thirteen weeks apart', weeks(20, 4, 17), ['test-interval 13, 8 to 12']],
    ['everything new', [week({ a: 'new', b: 'new' })], ['new-share 100, 15 to 35']],
    ['nothing new', [week({ a: 'continuing' })], ['new-share 0, 15 to 35']],
  ] as const)('%s', (_, of, found) => expect(check([...of]).map(inShort)).toEqual(found));

  test('a skill that the week’s plan does not teach; weeks without a plan are not asked', () => {
    const [found, ...others] = check([week(QUARTER, 'plan'), week(QUARTER)], { plan: ['a', 'b', 'd', 'z'] });
    expect(others).toEqual([]);
    expect(found?.where).toEqual([{ pointer: '/weeks/0/skills/2', names: ['Autumn', 'C'] }]);
    expect(found?.sentence).toBe(
      '“C” is planned (continuing) for week 1 of “Autumn”, and no drill of the plan teaches it.',
    );
  });
});

test('a plan’s focus is held against what its drills teach, choices included', () => {
  const roll = aDrillLike({ skills: [{ skillId: 'roll', signOff: null }] });
  const cart = aDrillLike({ skills: [{ skillId: 'cartwheel', signOff: null }] });
  const station = aStationOf([], {
    steps: [
      {
        drillIds: [roll.id, cart.id],
        chooseBy: 'By size',
        fromLevelId: null,
        dose: { amount: null, unit: null, sets: 1, eachSide: false, note: 'Some' },
        weight: 'core',
      },
    ],
  });
  const blocks = [aBlockOf([station])];
  const taught = taughtBy(blocks, byId(roll, cart));
  expect([...taught]).toEqual(['roll', 'cartwheel']);
  const focus = (...skills: [string, 'new' | 'continuing' | 'returning'][]) => ({
    blocks,
    focus: [
      { apparatusId: 'floor', nextWeek: null, skills: skills.map(([skillId, standing]) => ({ skillId, standing })) },
    ],
  });
  const of = (...skills: Parameters<typeof focus>) =>
    checkFocus(focus(...skills), taught, DEFAULT_LIMITS, (id) => id).map((one) => [
      one.where[0]?.pointer,
      inShort(one),
    ]);
  expect(of(['roll', 'new'], ['cartwheel', 'continuing'], ['roll', 'continuing'])).toEqual([]);
  expect(of(['roll', 'new'], ['handstand', 'continuing'], ['roll', 'continuing'])).toEqual([
    ['/focus/0/skills/1', 'taught 0, at least 1'],
  ]);
  expect(of(['roll', 'new'])).toEqual([['/focus', 'new-share 100, 15 to 35']]);
  expect(of()).toEqual([]);
});
