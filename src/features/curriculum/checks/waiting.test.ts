import { readFileSync } from 'node:fs';
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
import { formatFraction } from '../../../cover/index.ts';
import { checkActivity, PUBLISHED_ACTIVITY } from './activity.ts';
import { DEFAULT_LIMITS } from './limits.ts';
import { checkWaiting, mostTurns, turnsIn } from './waiting.ts';

const roll = aDrillLike({ secondsATurn: 30 });
const slow = aDrillLike({ secondsATurn: 60, places: 2 });
const drills = byId(roll, slow);
const one = aStationOf([roll]);
const inBlock = (block: ReturnType<typeof aBlockOf>, athletes: number) =>
  turnsIn(block, 2, drills, { athletes, setUpSeconds: 60 }).map((turns) => [
    turns.where.pointer,
    turns.athletes,
    turns.turnsEach,
    turns.waiting,
    formatFraction(turns.waitingShare),
  ]);

describe('turns in a block, a minute of which is set-up', () => {
  test.each([
    ['one station: all come to it', aBlockOf([one], { minutes: 10 }), 8, [['/blocks/2/stations/0', 8, 2, 7, '7/8']]],
    [
      'two side by side: half at each, the larger half where it is odd',
      aBlockOf([one, one], { minutes: 10 }),
      7,
      [
        ['/blocks/2/stations/0', 4, 4, 3, '3/4'],
        ['/blocks/2/stations/1', 4, 4, 3, '3/4'],
      ],
    ],
    [
      'two in turn: all at each, for half of the time',
      aBlockOf([one, one], { minutes: 10, stationsRun: 'in-turn' }),
      4,
      [
        ['/blocks/2/stations/0', 4, 2, 3, '3/4'],
        ['/blocks/2/stations/1', 4, 2, 3, '3/4'],
      ],
    ],
    [
      'a circuit goes at its slowest station',
      aBlockOf([one, aStationOf([slow])], { minutes: 10, formation: 'circuit' }),
      4,
      [['/blocks/2', 4, 4, 1, '1/4']],
    ],
    [
      'the longest turn and the fewest places of the core steps count',
      aBlockOf([aStationOf([roll, slow])], { minutes: 10 }),
      2,
      [['/blocks/2/stations/0', 2, 4, 1, '1/2']],
    ],
    [
      'what is only done if there is time does not count',
      aBlockOf([aStationOf([], { steps: [aStepOf([slow]), aStepOf([roll], { weight: 'if-time' })] })], { minutes: 10 }),
      2,
      [['/blocks/2/stations/0', 2, 9, 0, '0']],
    ],
    [
      'the station’s own places count before those of its drills',
      aBlockOf([aStationOf([roll], { places: 4 })]),
      4,
      [['/blocks/2/stations/0', 4, 28, 0, '0']],
    ],
    ['in a circle everybody moves', aBlockOf([one], { formation: 'circle' }), 8, []],
    ['without a drill there is nothing to count', aBlockOf([aStationOf([])]), 8, []],
  ] as const)('%s', (_, block, athletes, found) => expect(inBlock(block, athletes)).toEqual(found));
});

describe('the time that is left once it is set up', () => {
  const limits = {
    ...DEFAULT_LIMITS,
    ages: DEFAULT_LIMITS.ages.map((band) => ({ ...band, changeoverMinutes: { from: 5, to: 6 } })),
  };
  test.each([
    ['a minute from age five on', 100, DEFAULT_LIMITS, 10, 540, 4],
    ['two minutes before that', 50, DEFAULT_LIMITS, 10, 480, 4],
    ['as the franchise sets it', 100, limits, 10, 300, 2],
    ['nothing of a block that is shorter', 100, limits, 4, 0, 0],
  ] as const)('%s', (_, months, set, minutes, seconds, turnsEach) => {
    const classes = [aCheckedClass({ athletes: 4, months: [months] }), aCheckedClass({ athletes: 2, months: [] })];
    expect(mostTurns({ blocks: [aBlockOf([one], { minutes })], drills, classes, limits: set })).toMatchObject([
      { athletes: 4, seconds, turnsEach },
    ]);
  });

  test('without a class there is nobody to take turns', () => {
    expect(mostTurns({ blocks: [aBlockOf([one])], drills, classes: [], limits: DEFAULT_LIMITS })).toEqual([]);
  });

  test('of two groups as large, that of the younger, who take longer', () => {
    const classes = [100, 50].map((months) => aCheckedClass({ months: [months] }));
    const blocks = [aBlockOf([one], { minutes: 10 })];
    expect(mostTurns({ blocks, drills, classes, limits: DEFAULT_LIMITS })).toMatchObject([{ seconds: 480 }]);
  });
});

describe('waiting', () => {
  const check = (athletes: number, groups = 1) =>
    checkWaiting({
      blocks: [aBlockOf([one])],
      drills,
      classes: [aCheckedClass({ athletes, groups })],
      limits: DEFAULT_LIMITS,
    }).map(inShort);
  test.each([
    ['three wait', 4, 1, []],
    ['four wait', 5, 1, ['waiting 4, at most 3']],
    ['ten in three groups: four come at once', 10, 3, []],
    ['thirteen in three groups: five come at once', 13, 3, ['waiting 4, at most 3']],
  ] as const)('%s', (_, athletes, groups, found) => expect(check(athletes, groups)).toEqual(found));

  test('a station is told once, with its worst class and all that wait too long', () => {
    const classes = [aCheckedClass({ athletes: 6 }), aCheckedClass({ athletes: 3 }), aCheckedClass({ athletes: 9 })];
    const [found, ...others] = checkWaiting({ blocks: [aBlockOf([one])], drills, classes, limits: DEFAULT_LIMITS });
    expect(others).toEqual([]);
    expect([found?.number, found?.classes]).toEqual(['8', [classes[0], classes[2]]]);
    expect(found?.sentence).toBe(
      '8 of 9 wait at “Wedge”, with 1 place, and each gets 3 turns; at most 3 should wait: “Tumblers” (North, Monday) and “Tumblers” (North, Monday).',
    );
  });
});

describe('the share of a lesson on one’s turn', () => {
  const circle = (minutes: number) => aBlockOf([one], { minutes, formation: 'circle' });
  test.each([
    ['half an hour of circle in an hour, once all are there', [circle(31)], []],
    [
      'no more for a drink, which takes as long as changing over',
      [{ ...circle(31), waterFirst: true }],
      ['active-share 48, at least 50'],
    ],
    ['a minute less', [circle(30)], ['active-share 48, at least 50']],
    ['no more for being cut in two, with two changeovers', [circle(15), circle(16)], ['active-share 48, at least 50']],
    [
      'an hour at one station of eight: each is on for an eighth',
      [aBlockOf([one], { minutes: 60 })],
      ['active-share 12, at least 50'],
    ],
    ['nothing planned yet', [], []],
  ] as const)('%s', (_, blocks, found) => {
    const said = checkActivity({ blocks, drills, classes: [aCheckedClass()], limits: DEFAULT_LIMITS });
    expect(said.map(inShort)).toEqual(found);
    for (const { limitFrom, source } of said) {
      expect(limitFrom).toBe('published');
      expect(source).toContain('not of a gymnastics class');
    }
  });

  test('what it is measured against is as published', () => {
    const { records } = JSON.parse(
      readFileSync(new URL('../../../../tests/reference/lesson-activity.json', import.meta.url), 'utf8'),
    );
    const of = (what: string) => records.find((record: { what: string }) => record.what.startsWith(what)).percent;
    expect(PUBLISHED_ACTIVITY).toEqual({
      targetPercent: of('target share'),
      measuredPercent: of('measured, secondary'),
      accelerometerPercent: of('measured by accelerometer'),
    });
  });
});
