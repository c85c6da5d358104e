import { describe, expect, test } from 'vitest';
import {
  ANYONE,
  aBand,
  aFloor,
  aRule,
  aStation,
  at,
  atBlock,
  counting,
  free,
  holding,
  holds,
  onPremises,
  span,
  spotted,
} from '../../tests/support/a-floor.ts';
import { applyChange } from './change.ts';
import { firstSteps } from './first-steps.ts';
import { formatFraction } from './fraction.ts';
import { remedies } from './remedies.ts';
import { coverTimeline } from './timeline.ts';
import type { Finding, Floor } from './types.ts';

const first = (floor: Floor): Finding => coverTimeline(floor).flatMap(({ findings }) => findings)[0] as Finding;
const offered = (floor: Floor) => remedies(floor, first(floor));
const other = { in: 'vault' };
const beamAndVault = [{}, { id: 'vault', session: 'other' }];
const spotters: Floor['duties'] = [{ duty: 'lead', who: holds('lead-coach') }];

describe('remedies', () => {
  test('somebody free and qualified, with their duty', () => {
    const floor = aFloor({ athletes: 9, coaches: [{}, free] });
    expect(offered(floor)[0]).toEqual({ move: 'coach-01', to: at(atBlock('beam'), 'assist') });
  });

  test('a block without a lead is offered one', () => {
    expect(offered(aFloor({ athletes: 8, coaches: [free] }))[0]).toEqual({
      move: 'coach-00',
      to: at(atBlock('beam'), 'lead'),
    });
  });

  test('nobody inadmissible: away, elsewhere, not employed, unqualified', () => {
    const floor = aFloor({
      athletes: 8,
      coaches: [
        { ...free, absent: [span('15:00-17:00')] },
        { ...free, elsewhere: [span('16:10-17:00')] },
        { ...free, employed: [] },
        free,
        { ...free, holds: holding('lead-coach') },
      ],
      duties: [...spotters, { duty: 'assist', who: holds('lead-coach') }],
    });
    expect(offered(floor).map((change) => ('move' in change ? change.move : ''))).toEqual(['coach-04']);
  });

  test('those in that day come before those who would have to come, then floaters, then whoever can be spared', () => {
    const floor = aFloor({
      blocks: beamAndVault,
      athletes: [...Array.from({ length: 8 }, () => ({})), { ...other }],
      coaches: [
        { ...other },
        { ...other },
        { at: onPremises },
        free,
        { at: [at(atBlock('beam'), 'lead', '15:00-15:20')] },
      ],
    });
    const moves = offered(floor).flatMap((change) => ('move' in change ? [change.move] : []));
    expect(moves).toEqual(['coach-04', 'coach-03', 'coach-02', 'coach-00', 'coach-01']);
  });

  test('nobody is taken from where they are needed', () => {
    const floor = aFloor({ blocks: beamAndVault, athletes: [{}, { ...other }], coaches: [{ ...other }] });
    expect(offered(floor).filter((change) => 'move' in change || 'swap' in change)).toEqual([]);
  });

  test('a swap: the one who can spot changes places with one who is not asked to', () => {
    const floor = aFloor({
      blocks: [{ stations: [aStation('v', spotted())] }, { id: 'vault', session: 'other' }],
      athletes: [{}, { ...other }],
      coaches: [{}, { ...other, holds: holding('spotter') }],
    });
    const [change] = offered(floor);
    expect(change).toEqual({ swap: ['coach-00', 'coach-01'], span: span('16:00-16:20') });
    expect(coverTimeline(applyChange(floor, change!)).every(({ covered }) => covered)).toBe(true);
  });

  test('a step down the progression to a drill that is not spotted', () => {
    const easier = [
      { drill: 'low bar', spotting: spotted() },
      { drill: 'floor bar', spotting: { mode: 'none' as const } },
    ];
    const floor = aFloor({ athletes: 1, coaches: 1, stations: [aStation('v', spotted(), { easier })] });
    expect(offered(floor)).toEqual([{ station: 'v', stepTo: 'floor bar' }]);
  });

  test('two groups of a session with coaches to spare are merged, and otherwise the largest admission that fits', () => {
    const session = (coaches: number) =>
      aFloor({
        blocks: [{}, { id: 'vault', group: 'other' }],
        athletes: [...Array.from({ length: 9 }, () => ({})), { ...other }],
        coaches: [{}, ...Array.from({ length: coaches }, () => other)],
      });
    expect(offered(session(1)).filter((one) => 'merge' in one || 'admitAtMost' in one)).toEqual([
      { merge: ['vault', 'beam'] },
      { block: 'beam', admitAtMost: 8 },
    ]);
  });

  test('a substitute for the rest of a block, where they come late', () => {
    const floor = aFloor({
      athletes: 8,
      coaches: [{ at: [at(atBlock('beam'), 'lead', '16:00-16:10')] }, { ...free, elsewhere: [span('15:00-16:05')] }],
    });
    expect(offered(floor)[0]).toEqual({ move: 'coach-01', to: at(atBlock('beam'), 'lead', '16:10-16:20') });
  });

  test('the premises are short: a floater, or one more at a block', () => {
    const floor = aFloor({
      athletes: 1,
      coaches: [{}, free],
      rules: [
        aRule({
          per: 'premises',
          bands: [],
          floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 2, who: ANYONE }] }],
        }),
      ],
    });
    expect(offered(floor)[0]).toEqual({ move: 'coach-01', to: at({ per: 'premises', id: 'gym' }, 'assist') });
  });

  test('a one-to-one helper who is named, and nobody else', () => {
    const floor = aFloor({ athletes: [{ support: { anyOf: ['coach-02'] } }], coaches: [{}, free, free] });
    expect(offered(floor).map((change) => 'move' in change && change.move)).toEqual(['coach-02']);
  });

  test('nothing helps a child who is too old for the table', () => {
    const floor = aFloor({ athletes: 1, coaches: [{}, free], rules: [aRule({ bands: [aBand('small', 0, 5, 8)] })] });
    expect(offered(floor)).toEqual([]);
  });

  test('every remedy, applied, clears its finding and uncovers nothing', () => {
    const floor = aFloor({
      blocks: [{ stations: [aStation('v', spotted())] }, { id: 'vault', session: 'other' }],
      athletes: [...Array.from({ length: 8 }, () => ({})), { ...other }],
      coaches: [
        {},
        { ...other, holds: holding('spotter') },
        { ...other },
        { ...free, holds: holding('spotter') },
        free,
      ],
    });
    const changes = offered(floor);
    expect(changes.length).toBeGreaterThan(2);
    for (const change of changes) {
      expect(coverTimeline(applyChange(floor, change)).filter(({ covered }) => !covered)).toEqual([]);
    }
  });
});

describe('first steps', () => {
  const steps = (floor: Floor) =>
    firstSteps(floor, first(floor)).map(({ change, still }) => [
      'move' in change ? change.move : change,
      formatFraction(still.short),
    ]);
  const halfAssistants = aRule({
    counts: [counting({ test: 'duty', in: ['lead'] }), counting({ test: 'duty', in: ['assist'] }, '1/2')],
  });

  test('two coaches short: each of those who are free, with the one that would still be missing', () => {
    const floor = aFloor({ athletes: 24, coaches: [{}, free, free] });
    expect(offered(floor).filter((change) => 'move' in change)).toEqual([]);
    expect(firstSteps(floor, first(floor))[0]).toMatchObject({
      change: { move: 'coach-01', to: at(atBlock('beam'), 'assist') },
      still: { code: 'short', unit: atBlock('beam'), short: { n: 1n, d: 1n } },
    });
    expect(steps(floor)).toEqual([
      ['coach-01', '1'],
      ['coach-02', '1'],
    ]);
  });

  test('the duty that leaves least comes first, once a person', () => {
    const floor = aFloor({ athletes: 24, coaches: [{}, free], rules: [halfAssistants] });
    expect(firstSteps(floor, first(floor)).map(({ change }) => change)).toEqual([
      { move: 'coach-01', to: at(atBlock('beam'), 'lead') },
    ]);
  });

  test('one step, and then another, clears it', () => {
    const floor = aFloor({ athletes: 24, coaches: [{}, free, free] });
    const [step] = firstSteps(floor, first(floor));
    const then = applyChange(floor, step!.change);
    expect(firstSteps(then, first(then))).toEqual([]);
    const [last] = offered(then);
    expect(coverTimeline(applyChange(then, last!)).every(({ covered }) => covered)).toBe(true);
  });

  test('none where a single move does', () => {
    expect(steps(aFloor({ athletes: 9, coaches: [{}, free] }))).toEqual([]);
  });

  test('none of somebody inadmissible, of no use, or there for a part of the time only', () => {
    const floor = aFloor({
      athletes: 24,
      coaches: [
        { ...free, absent: [span('15:00-17:00')] },
        { ...free, elsewhere: [span('16:10-17:00')] },
        { ...free, years: 15 },
      ],
      rules: [aRule({ counts: [counting({ test: 'age', atLeastYears: 18 })] })],
    });
    expect(steps(floor)).toEqual([]);
  });

  test('nobody is taken from where they are needed, be it covered or short already', () => {
    const here = Array.from({ length: 24 }, () => ({}));
    const there = (n: number) => Array.from({ length: n }, () => ({ ...other }));
    const from = (athletes: number) =>
      aFloor({ blocks: beamAndVault, athletes: [...here, ...there(athletes)], coaches: [{}, other, other] });
    expect(steps(from(8)).map(([person]) => person)).toEqual(['coach-01', 'coach-02']);
    expect(steps(from(16))).toEqual([]);
    expect(steps(from(24))).toEqual([]);
  });

  test('two spotters short: one of them', () => {
    const stations = ['v', 'w'].map((id) => aStation(id, spotted()));
    const able = { ...free, holds: holding('spotter') };
    const floor = aFloor({ athletes: 1, stations, coaches: [{}, able, free] });
    expect(steps(floor)).toEqual([['coach-01', '1']]);
  });

  test('two people short on the premises', () => {
    const posts = [{ people: 3, who: ANYONE }];
    const rule = aRule({ per: 'premises', bands: [], floors: [{ fromAthletes: 1, toAthletes: null, posts }] });
    expect(steps(aFloor({ athletes: 1, coaches: [{}, free], rules: [rule] }))).toEqual([['coach-01', '1']]);
  });
});

describe('applying a change', () => {
  test('somebody who moves gives up what they did then, and keeps the rest', () => {
    const floor = aFloor({
      blocks: [{}, { id: 'vault' }],
      coaches: [{ at: [at(atBlock('vault'), 'assist', '15:50-16:30')] }],
    });
    const [coach] = applyChange(floor, { move: 'coach-00', to: at(atBlock('beam'), 'lead') }).staff;
    expect(coach?.at).toEqual([
      at(atBlock('vault'), 'assist', '15:50-16:00'),
      at(atBlock('vault'), 'assist', '16:20-16:30'),
      at(atBlock('beam'), 'lead'),
    ]);
  });

  test('the floor given stays as it is', () => {
    const floor = aFloor({ coaches: [free] });
    applyChange(floor, { move: 'coach-00', to: at(atBlock('beam'), 'lead') });
    expect(floor.staff[0]?.at).toEqual([]);
  });

  test('admitting fewer keeps those listed first', () => {
    const after = applyChange(aFloor({ athletes: 3 }), { block: 'beam', admitAtMost: 2 });
    expect(after.athletes.map((one) => one.at.length)).toEqual([1, 1, 0]);
  });

  test.each([
    [{ move: 'nobody', to: at(atBlock('beam'), 'lead') }, /Person "nobody"/],
    [{ merge: ['beam', 'moon'] as [string, string] }, /Block "moon"/],
    [{ station: 'none', stepTo: 'drill' }, /Station "none"/],
  ])('something that is not on the floor is named', (change, message) => {
    expect(() => applyChange(aFloor(), change)).toThrow(message);
  });
});

test('whoever is offered for all of a block is not needed elsewhere once what is missing has passed', () => {
  const ten = '16:00-16:10';
  const posts = [{ people: 2, who: ANYONE }];
  const rule = aRule({
    id: 'two at first',
    per: 'session',
    bands: [],
    floors: [{ fromAthletes: 2, toAthletes: null, posts }],
  });
  const floor = aFloor({
    blocks: [{}, { id: 'vault', session: 'other' }],
    athletes: [
      {},
      { at: [{ unit: atBlock('beam'), span: span(ten) }] },
      { in: 'vault', at: [{ unit: atBlock('vault'), span: span('16:10-16:20') }] },
    ],
    coaches: [{}, other],
    rules: [aRule(), rule],
  });
  const finding = coverTimeline(floor).flatMap(({ findings }) => findings)[0] as Finding;
  expect(finding).toMatchObject({ code: 'floor', unit: { per: 'session' }, span: span(ten) });
  const wholeBlock = remedies(floor, finding).filter((change) => 'move' in change && change.to.unit.per === 'block');
  expect(wholeBlock).toEqual([]);
});
