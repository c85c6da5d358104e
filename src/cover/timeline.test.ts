import { describe, expect, test } from 'vitest';
import {
  ALWAYS,
  ANYONE,
  aBand,
  aFloor,
  aRule,
  aStation,
  at,
  atBlock,
  clock,
  free,
  holding,
  onPremises,
  span,
  spotted,
} from '../../tests/support/a-floor.ts';
import { ONE, parseFraction } from './fraction.ts';
import { coverOf, coverTimeline } from './timeline.ts';
import type { Cover, Floor, Rule, Unit } from './types.ts';
import { newlyUncovered, uncoveredBlocks } from './uncovered.ts';

const GYM: Unit = { per: 'premises', id: 'gym' };
const CLASS: Unit = { per: 'session', id: 'class' };
const told = (covers: Cover[]) => covers.map((one) => [hours(one.span), one.covered]);
const hours = ({ from, to }: Cover['span']) => [from, to].map((t) => new Date(t).toISOString().slice(11, 16)).join('-');
const eight = Array.from({ length: 8 }, () => ({}));

describe('segments', () => {
  test('a unit’s segments fill its span, and neighbours that are equal are one', () => {
    const floor = aFloor({
      athletes: 8,
      coaches: [{ at: [at(atBlock('beam'), 'lead', '16:00-16:10'), at(atBlock('beam'), 'lead', '16:10-16:20')] }],
    });
    expect(told(coverOf(floor, atBlock('beam')))).toEqual([['16:00-16:20', true]]);
  });

  test.each<[string, Floor, unknown]>([
    [
      'a coach leaves early',
      aFloor({ athletes: 8, coaches: [{ at: [at(atBlock('beam'), 'lead', '16:00-16:12')] }] }),
      [
        ['16:00-16:12', true],
        ['16:12-16:20', false],
      ],
    ],
    [
      'the ninth athlete comes late',
      aFloor({ athletes: [...eight, { at: [{ unit: atBlock('beam'), span: span('16:05-16:20') }] }], coaches: 1 }),
      [
        ['16:00-16:05', true],
        ['16:05-16:20', false],
      ],
    ],
    [
      'nobody is in two segments at their edge',
      aFloor({
        athletes: 8,
        coaches: [
          { at: [at(atBlock('beam'), 'lead', '16:00-16:10')] },
          { at: [at(atBlock('beam'), 'lead', '16:10-16:20')] },
        ],
      }),
      [
        ['16:00-16:10', true],
        ['16:10-16:20', true],
      ],
    ],
    [
      'an adult goes home before their child does',
      aFloor({
        athletes: [{ years: 3, traits: [{ trait: 'accompanied', spans: [span('15:50-16:08')] }] }],
        coaches: 1,
        rules: [aRule({ bands: [aBand('with an adult', null, 5, 8, { trait: 'accompanied' })] })],
      }),
      [
        ['16:00-16:08', true],
        ['16:08-16:20', false],
      ],
    ],
    [
      'a spotted station closes',
      aFloor({ athletes: 1, coaches: 1, stations: [aStation('v', spotted(), { span: span('16:00-16:15') })] }),
      [
        ['16:00-16:15', false],
        ['16:15-16:20', true],
      ],
    ],
    [
      'a coach takes part for a while',
      aFloor({
        athletes: 1,
        coaches: [{ takingPart: [span('16:05-16:10')] }],
        rules: [aRule({ counts: [{ who: { test: 'not-taking-part' }, share: ONE, maxOf: null }] })],
      }),
      [
        ['16:00-16:05', true],
        ['16:05-16:10', false],
        ['16:10-16:20', true],
      ],
    ],
  ])('%s', (_, floor, expected) => {
    expect(told(coverOf(floor, atBlock('beam')))).toEqual(expected);
  });

  test('a moment is one segment, and what is outside `over` is left out', () => {
    const floor = aFloor({ athletes: 8, coaches: 1, blocks: [{}, { id: 'late', span: span('17:00-17:20') }] });
    const moment = { ...floor, over: { from: clock('16:05'), to: clock('16:05') + 1 } };
    expect(coverTimeline(moment).map(({ unit, span: when }) => [unit.id, when])).toEqual([
      ['beam', moment.over],
      ['class', moment.over],
      ['gym', moment.over],
    ]);
  });

  test('units come block by block, then sessions, then the premises', () => {
    const floor = aFloor({ blocks: [{}, { id: 'vault' }, { id: 'bars', session: 'other' }] });
    expect(coverTimeline(floor).map(({ unit }) => unit.id)).toEqual(['beam', 'vault', 'bars', 'class', 'other', 'gym']);
  });

  test('a unit that is not on the floor has no cover', () => {
    expect(
      [atBlock('nowhere'), { ...CLASS, id: 'none' }, { ...GYM, id: 'other' }].flatMap((unit) =>
        coverOf(aFloor(), unit),
      ),
    ).toEqual([]);
  });
});

describe('which rules apply', () => {
  const short = (rule: Partial<Rule>, floor: Partial<Floor> = {}) =>
    coverOf({ ...aFloor({ athletes: 1, rules: [aRule(rule)] }), ...floor }, atBlock('beam'))[0]?.covered === false;

  test.each<[string, Partial<Rule>, boolean]>([
    ['an unscoped rule', {}, true],
    ['meaning 22: a rule for this programme', { scope: { programme: ['recreational'] } }, true],
    ['meaning 22: a rule for another programme', { scope: { programme: ['pre-school'] } }, false],
    ['every word of a scope has to fit', { scope: { programme: ['recreational'], level: ['two'] } }, false],
    ['meaning 22: a party is excepted', { except: { activity: ['party', 'class'] } }, false],
    ['an exception that fits something else', { except: { activity: ['party'] } }, true],
    ['a scope that names nothing of a kind', { scope: { area: [] } }, false],
    ['in force from today', { inForce: { from: '2026-03-12', to: null } }, true],
    ['in force from tomorrow', { inForce: { from: '2026-03-13', to: null } }, false],
    ['in force until yesterday', { inForce: { from: '2020-01-01', to: '2026-03-12' } }, false],
  ])('%s', (_, rule, applies) => {
    expect(short(rule)).toBe(applies);
  });

  test('the day is the gym’s own: 16:00 in Greenwich is tomorrow in Auckland', () => {
    expect(short({ inForce: { from: '2026-03-13', to: null } }, { zone: 'Pacific/Auckland' })).toBe(true);
  });

  test('a rule that warns is told and uncovers nothing', () => {
    const [cover] = coverOf(aFloor({ athletes: 9, coaches: 1, rules: [aRule({ strength: 'warn' })] }), atBlock('beam'));
    expect(cover).toMatchObject({ covered: true, findings: [{ code: 'short', strength: 'warn' }] });
  });

  test('a premises rule over a day on which a birthday falls: the band changes at midnight', () => {
    const night = { from: clock('22:00'), to: clock('02:00', '2026-03-13') };
    const floor = aFloor({
      over: night,
      athletes: [{ born: '2021-03-13', at: [{ unit: GYM, span: night }] }],
      coaches: [{ at: [{ unit: GYM, duty: 'lead', span: night }] }],
      rules: [aRule({ per: 'premises', bands: [aBand('pre-school', null, 5, 8)] })],
    });
    expect(told(coverOf(floor, GYM))).toEqual([
      ['22:00-00:00', true],
      ['00:00-02:00', false],
    ]);
  });
});

describe('meaning 17: sessions and the premises', () => {
  const twoAdults = aRule({
    id: 'two adults',
    per: 'premises',
    bands: [],
    floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 2, who: ANYONE }] }],
  });
  const floor = (confirmed: boolean, coaches = 1) =>
    aFloor({
      blocks: [{}, { id: 'vault', session: 'other', confirmed }],
      athletes: [{ in: 'beam' }, { in: 'vault' }],
      coaches: [{ in: 'beam' }, ...Array.from({ length: coaches - 1 }, () => ({ in: 'vault' }))],
      rules: [twoAdults],
    });

  test('a planned block’s athletes and staff are not seen', () => {
    expect(coverOf(floor(false, 2), GYM)[0]?.findings[0]?.numbers).toMatchObject({ heads: ONE, counted: ONE });
  });

  test('confirming it shows both', () => {
    expect(told(coverOf(floor(true, 2), GYM))).toEqual([['16:00-16:20', true]]);
  });

  test('when the premises fail, every block is uncovered, with the finding that says so', () => {
    expect(
      uncoveredBlocks(floor(true)).map(({ block, findings }) => [block, findings.map(({ unit }) => unit.per)]),
    ).toEqual([
      ['beam', ['premises']],
      ['vault', ['premises']],
    ]);
  });

  test('only while they fail', () => {
    const late = aFloor({
      blocks: [{}, { id: 'late', session: 'other', span: span('17:00-17:20') }],
      athletes: [{ in: 'beam' }, { in: 'late' }],
      coaches: [{ in: 'beam' }, { in: 'beam' }, { in: 'late' }],
      rules: [twoAdults],
    });
    expect(uncoveredBlocks(late).map(({ block }) => block)).toEqual(['late']);
  });

  test('children not collected yet are supervised after class', () => {
    const after = { ...aFloor({ rules: [twoAdults] }), over: span('16:00-16:40') };
    const waiting = {
      ...aFloor({ athletes: 1 }).athletes[0]!,
      at: [{ unit: GYM, span: span('16:20-16:30'), category: null }],
    };
    const cover = coverOf(
      { ...after, athletes: [waiting], staff: aFloor({ coaches: [{ at: onPremises }] }).staff },
      GYM,
    );
    expect(told(cover)).toEqual([
      ['16:00-16:20', true],
      ['16:20-16:30', false],
      ['16:30-16:40', true],
    ]);
  });

  test('a session rule adds up the blocks of the session', () => {
    const rules = [aRule({ per: 'session' })];
    const blocks = [{}, { id: 'vault' }];
    const athletes = [
      ...eight.slice(0, 5).map(() => ({ in: 'beam' })),
      ...eight.slice(0, 4).map(() => ({ in: 'vault' })),
    ];
    const [cover] = coverOf(aFloor({ blocks, athletes, coaches: 1, rules }), CLASS);
    expect(cover?.findings).toMatchObject([{ code: 'short', numbers: { load: parseFraction('9/8') } }]);
  });

  test('newly uncovered: confirmed blocks only, and no old news', () => {
    const before = aFloor({
      blocks: [{}, { id: 'plan', confirmed: false }],
      athletes: [{}, { in: 'plan' }],
      coaches: 1,
    });
    const after = { ...before, staff: [] };
    expect(newlyUncovered(before, after).map(({ block }) => block)).toEqual(['beam']);
    expect(newlyUncovered(after, after)).toEqual([]);
    const confirming = { ...before, blocks: before.blocks.map((block) => ({ ...block, confirmed: true })) };
    expect(newlyUncovered(before, confirming).map(({ block }) => block)).toEqual(['plan']);
  });
});

test('a person in a block and again in it is counted once', () => {
  const twice = [at(atBlock('beam'), 'lead'), at(atBlock('beam'), 'assist')];
  expect(
    coverOf(aFloor({ athletes: 9, coaches: [{ at: twice }] }), atBlock('beam'))[0]?.counts[0]?.people,
  ).toHaveLength(1);
});

test('a qualification is valid for the whole block, whatever the hour', () => {
  const ends = [{ kind: 'spotter', grade: 1, ...ALWAYS, to: '2026-03-12' }];
  const floor = aFloor({
    athletes: 1,
    coaches: [{ holds: ends }, { holds: holding('spotter'), ...free }],
    stations: [aStation('v', spotted())],
  });
  expect(coverOf(floor, atBlock('beam'))[0]?.covered).toBe(false);
});
