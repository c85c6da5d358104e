import { describe, expect, test } from 'vitest';
import {
  aBlockOf,
  aCheckedClass,
  aDrillLike,
  aStationOf,
  byId,
  inShort,
} from '../../../../tests/support/a-checked-plan.ts';
import { DEFAULT_LIMITS } from './limits.ts';
import { checkSpotting, type Spotter } from './spotting-demand.ts';

const kip = aDrillLike({ name: 'Kip', spotting: { mode: 'hands-on', kindId: 'bars', grade: 2 } });
const cast = aDrillLike({ spotting: { mode: 'stand-by', kindId: 'bars', grade: 1 } });
const vault = aDrillLike({
  spotting: { mode: 'hands-on', kindId: 'vault', grade: 1 },
  skills: [{ skillId: 'squat', signOff: 'alone' }],
});
const free = aDrillLike();
const drills = byId(kip, cast, vault, free);
const at = (drill: typeof kip, name = 'Station') => aStationOf([drill], { name });

const open = { from: '2020-01-01', to: null };
const spotter = (kind: string, grade = 1, more: Partial<Spotter> = {}): Spotter => ({
  person: `${kind} ${grade}`,
  holds: [{ kind, grade, ...open }],
  signedOff: [],
  ...more,
});
const signedOff = (level: 'helped' | 'alone') => ({ signedOff: [{ skill: 'squat', level, ...open }] });

const check = (
  blocks: ReturnType<typeof aBlockOf>[],
  staff: Spotter[],
  { classes = [aCheckedClass()], stationsACoach = 1 } = {},
) =>
  checkSpotting({
    blocks,
    drills,
    classes,
    staffOf: () => staff,
    togetherWith: () => classes,
    limits: { ...DEFAULT_LIMITS, handsOnStationsACoach: stationsACoach },
  });

describe('passes', () => {
  test.each([
    ['nothing to spot, nobody there', [aBlockOf([at(free)])], []],
    ['one station, one who may', [aBlockOf([at(kip)])], [spotter('bars', 2)]],
    ['a higher grade', [aBlockOf([at(kip)])], [spotter('bars', 3)]],
    ['two side by side, two who may', [aBlockOf([at(kip), at(cast)])], [spotter('bars', 1), spotter('bars', 2)]],
    ['two in turn, one who may', [aBlockOf([at(kip), at(cast)], { stationsRun: 'in-turn' })], [spotter('bars', 2)]],
    ['two blocks one after another, one who may', [aBlockOf([at(kip)]), aBlockOf([at(cast)])], [spotter('bars', 2)]],
    ['with the sign-off that the skill asks', [aBlockOf([at(vault)])], [spotter('vault', 1, signedOff('alone'))]],
  ] as const)('%s', (_, blocks, staff) => expect(check([...blocks], [...staff])).toEqual([]));
});

describe('breaks', () => {
  test.each([
    ['nobody', [aBlockOf([at(kip)])], [], ['spotters 0, at least 1']],
    ['a grade too low', [aBlockOf([at(kip)])], [spotter('bars', 1)], ['spotters 0, at least 1']],
    ['another kind', [aBlockOf([at(kip)])], [spotter('vault', 2)], ['spotters 0, at least 1']],
    [
      'a sign-off too low',
      [aBlockOf([at(vault)])],
      [spotter('vault', 1, signedOff('helped'))],
      ['spotters 0, at least 1'],
    ],
    [
      'a qualification that has ended',
      [aBlockOf([at(cast)])],
      [spotter('bars', 1, { holds: [{ kind: 'bars', grade: 1, from: '2020-01-01', to: '2026-09-14' }] })],
      ['spotters 0, at least 1'],
    ],
    [
      'two side by side, one who may',
      [aBlockOf([at(kip), at(cast)])],
      [spotter('bars', 2)],
      ['spotters 1, at least 2'],
    ],
    [
      'two who may do the lower, none the higher: only the higher falls short',
      [aBlockOf([at(kip), at(cast)])],
      [spotter('bars', 1), spotter('bars', 1)],
      ['spotters 0, at least 1'],
    ],
    [
      'in turn, one of which nobody may',
      [aBlockOf([at(kip), at(vault)], { stationsRun: 'in-turn' })],
      [spotter('bars', 2)],
      ['spotters 0, at least 1'],
    ],
  ] as const)('%s', (_, blocks, staff, found) => expect(check([...blocks], [...staff]).map(inShort)).toEqual(found));

  test('two groups are at two blocks at once', () => {
    const blocks = [aBlockOf([at(kip)]), aBlockOf([at(free)]), aBlockOf([at(cast)])];
    const classes = [aCheckedClass({ groups: 2 })];
    expect(check(blocks, [spotter('bars', 2)], { classes }).map(inShort)).toEqual(['spotters 1, at least 2']);
  });

  test('each block that falls short is told, and none twice', () => {
    const blocks = [aBlockOf([at(kip)]), aBlockOf([at(vault), at(cast)], { stationsRun: 'in-turn' })];
    const classes = [aCheckedClass({ groups: 2 })];
    const found = check(blocks, [spotter('bars', 1)], { classes });
    expect(found.map(({ where }) => where.map(({ pointer }) => pointer))).toEqual([
      ['/blocks/0/stations/0'],
      ['/blocks/1/stations/0'],
    ]);
  });

  test('two classes at one hour, each of which could by itself', () => {
    const classes = [aCheckedClass(), aCheckedClass({ name: 'Swingers' })];
    const [found, ...others] = check([aBlockOf([at(kip)])], [spotter('bars', 2)], { classes });
    expect(others).toEqual([]);
    expect(found && inShort(found)).toBe('spotters-of-classes-together 1, at least 2');
  });

  test('a setting may trust a coach with two stations at once', () => {
    const block = aBlockOf([at(kip), at(cast), at(cast)]);
    expect(check([block], [spotter('bars', 2)], { stationsACoach: 3 })).toEqual([]);
    const [found] = check([block], [spotter('bars', 2)], { stationsACoach: 2 });
    expect(found && inShort(found)).toBe('spotters 1, at least 2');
  });
});

test('it says how many of the gyms cannot, which, on which day, and what was not asked', () => {
  const classes = [
    aCheckedClass(),
    aCheckedClass({ gymId: 'south', gymName: 'South', weekday: 2, day: '2026-09-15' }),
    aCheckedClass({ gymId: 'west', gymName: 'West', weekday: 2, day: '2026-09-15' }),
  ];
  const [found] = checkSpotting({
    blocks: [aBlockOf([at(kip, 'Low bar')])],
    drills,
    classes,
    staffOf: ({ gymId }) => (gymId === 'north' ? [spotter('bars', 2)] : []),
    togetherWith: (one) => [one],
    limits: DEFAULT_LIMITS,
  });
  expect(found?.sentence).toBe(
    '2 of 3 gyms cannot spot “Low bar”: South on Tuesday (0 able) and West on Tuesday (0 able).',
  );
  expect(found?.source).toContain('who is available is not known');
  expect(found?.classes).toEqual(classes.slice(1));
});

test('two kinds of spotter at one station are refused: nobody can be told to hold both', () => {
  const both = aStationOf([kip, vault]);
  const found = check([aBlockOf([both])], [spotter('bars', 2)]);
  expect(found.map((one) => [one.severity, one.limitFrom, inShort(one)])).toEqual([
    ['refuse', 'safety', 'kinds-of-spotter 2, at most 1'],
  ]);
});

test('once published, what was fixed counts, and not what the drills ask by now', () => {
  const fixed = aStationOf([free], { spotting: { mode: 'hands-on', kindId: 'bars', grade: 1, skills: [] } });
  expect(check([aBlockOf([fixed])], []).map(inShort)).toEqual(['spotters 0, at least 1']);
  const freed = aStationOf([kip], { spotting: { mode: 'none' } });
  expect(check([aBlockOf([freed])], [])).toEqual([]);
});
