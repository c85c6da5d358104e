import { describe, expect, test } from 'vitest';
import { aBand, aFloor, aLimit, aRule, counting, holding, holds } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { fraction } from '../fraction.ts';
import { coverOf } from '../timeline.ts';
import type { Count, Floor, Mixed, Rule } from '../types.ts';
import { coachRatio } from './coach-ratio.ts';

const lead = counting({ test: 'duty', in: ['lead'] });
const halfAssistant = counting({ test: 'duty', in: ['assist'] }, '1/2');
const atSixteen = aRule({ bands: [aBand('any', null, null, 16)], counts: [lead, halfAssistant] });
const table = [aBand('2 to 3', 2, 4, 4), aBand('4 to 8', 4, 9, 6), aBand('9 to 12', 9, 13, 8)];
const mixedAges = (method: Mixed['method'], more: Partial<Rule> = {}) =>
  aRule({ bands: table, mixed: method === 'composition' ? { method, rows: [] } : { method }, ...more });
const ages = (...years: number[]) => years.map((one) => ({ years: one }));
const times = <T>(n: number, one: T): T[] => Array.from({ length: n }, () => one);

describeCheck(coachRatio, {
  passes: {
    'eight athletes, one coach at 1:8': aFloor({ athletes: 8, coaches: 1 }),
    'meaning 1: 24 athletes at 1:16, a lead and an assistant who counts half': aFloor({
      athletes: 24,
      coaches: [{ duty: 'lead' }, { duty: 'assist' }],
      rules: [atSixteen],
    }),
    'meaning 1: nobody there, so the extra coach is not asked for either': aFloor({ rules: [aRule({ plus: 1 })] }),
    'meaning 2: a band without limits asks nothing': aFloor({
      athletes: 30,
      rules: [aRule({ bands: [aBand('any', null, null, [])] })],
    }),
    'meaning 4: of no band, each adds nothing where bands have their own say': aFloor({
      athletes: [...times(4, { years: 3 }), ...times(20, { years: 30 })],
      coaches: 1,
      rules: [mixedAges('proportional')],
    }),
    'meaning 7: the youngest enrolled is absent, and loads nobody': aFloor({
      athletes: [{ years: 3, at: [] }, ...times(4, { years: 9 })],
      coaches: 1,
      rules: [mixedAges('youngest', { agesOf: 'enrolled' })],
    }),
    'meaning 9: siblings are one family': aFloor({
      athletes: times(3, { family: 'ash' }),
      coaches: 1,
      rules: [aRule({ bands: [aBand('families', null, null, 1, { countBy: 'family' })] })],
    }),
    'meaning 9: a child who counts half weighs half': aFloor({
      athletes: [{ countsAs: fraction(1, 2) }, { countsAs: fraction(1, 2) }, ...times(7, {})],
      coaches: 1,
    }),
    'meaning 23: a block without athletes and without coaches': aFloor({}),
    'a rule that warns is met too': aFloor({ athletes: 8, coaches: 1, rules: [aRule({ strength: 'warn' })] }),
    'a group up to 6 at 1:3': aFloor({
      athletes: 6,
      coaches: 2,
      rules: [
        aRule({ bands: [aBand('infant', null, null, [aLimit(3, { upToGroup: 6 }), aLimit(4, { upToGroup: 8 })])] }),
      ],
    }),
    'thirteen with somebody better qualified there': aFloor({
      athletes: 13,
      coaches: [{ holds: holding('level-6') }],
      rules: [aRule({ bands: [aBand('any', null, null, [aLimit(13, { when: holds('level-6') }), aLimit(8)])] })],
    }),
  },
  breaks: {
    'the ninth athlete': [
      aFloor({ athletes: 9, coaches: 1 }),
      { load: '9/8', counted: '1', needed: '2', heads: '9', most: '8', short: '1/8', youngest: '109' },
    ],
    'meaning 1: the 25th athlete, by a sixteenth': [
      aFloor({ athletes: 25, coaches: [{ duty: 'lead' }, { duty: 'assist' }], rules: [atSixteen] }),
      { load: '25/16', counted: '3/2', short: '1/16', needed: '2' },
    ],
    'meaning 1: one more than the load asks': [
      aFloor({ athletes: 8, coaches: 1, rules: [aRule({ plus: 1 })] }),
      { load: '1', needed: '2', short: '1' },
    ],
    'meaning 3: one toddler governs the class': [
      aFloor({ athletes: ages(3, 9, 9, 9, 9), coaches: 1, rules: [mixedAges('youngest')] }),
      { load: '5/4', most: '4' },
    ],
    'meaning 3: a band that rules governs a majority': [
      aFloor({
        athletes: ages(3, 9, 9, 9, 9, 9, 9, 9),
        coaches: 1,
        rules: [mixedAges('majority', { bands: [{ ...table[0]!, mixes: 'rules' }, ...table.slice(1)] })],
      }),
      { load: '2' },
    ],
    'meaning 3: a tie goes to the first listed': [
      aFloor({ athletes: ages(3, 3, 3, 9, 9, 9), coaches: 1, rules: [mixedAges('majority')] }),
      { load: '3/2' },
    ],
    'meaning 3: a composition without a matching row is the youngest': [
      aFloor({ athletes: ages(3, 9, 9, 9, 9), coaches: 1, rules: [mixedAges('composition')] }),
      { load: '5/4' },
    ],
    'meaning 3: a composition row, by share': [
      aFloor({
        athletes: ages(3, 5, 5, 5, 5, 5, 5, 5),
        coaches: 1,
        rules: [
          mixedAges('composition', {
            mixed: {
              method: 'composition',
              rows: [{ ifBand: '4 to 8', atLeast: { share: fraction(3, 4) }, use: '4 to 8' }],
            },
          }),
        ],
      }),
      { load: '4/3' },
    ],
    'meaning 3: a composition row, by count': [
      aFloor({
        athletes: ages(3, 3, 9, 9, 9, 9, 9),
        coaches: 1,
        rules: [
          mixedAges('composition', {
            mixed: { method: 'composition', rows: [{ ifBand: '2 to 3', atLeast: { count: 2 }, use: '4 to 8' }] },
          }),
        ],
      }),
      { load: '7/6' },
    ],
    'meaning 4: the bandless are divided too, under the youngest': [
      aFloor({ athletes: ages(5, 5, 5, 5, 40, 40, 40), coaches: 1, rules: [mixedAges('youngest')] }),
      { load: '7/6' },
    ],
    'meaning 4: a band apart is a load of its own, added': [
      aFloor({
        athletes: [...times(4, { years: 3 }), ...times(4, { years: 9 })],
        coaches: 1,
        rules: [mixedAges('youngest', { bands: [{ ...table[0]!, mixes: 'apart' }, ...table.slice(1)] })],
      }),
      { load: '3/2' },
    ],
    'meaning 5: each band is rounded up': [
      aFloor({ athletes: ages(3, 5, 9), coaches: 2, rules: [mixedAges('each-band')] }),
      { load: '3', short: '1' },
    ],
    'meaning 6: whole coaches are filled, the last set by its size': [
      aFloor({
        athletes: ages(3, 6, 6, 6, 6, 6, 6, 6, 9, 9, 9, 9, 9, 9, 9, 9),
        coaches: 2,
        rules: [mixedAges('fill')],
      }),
      { load: '11/4' },
    ],
    'meaning 7: the youngest enrolled governs those present': [
      aFloor({
        athletes: [{ years: 3, at: [] }, ...times(5, { years: 9 })],
        coaches: 1,
        rules: [mixedAges('youngest', { agesOf: 'enrolled' })],
      }),
      { load: '5/4' },
    ],
    'a group of seven is past the row of six': [
      aFloor({
        athletes: 7,
        coaches: 1,
        rules: [aRule({ bands: [aBand('i', null, null, [aLimit(3, { upToGroup: 6 }), aLimit(4, { upToGroup: 8 })])] })],
      }),
      { load: '7/4', most: '4' },
    ],
    'a group past every row is held to the row that allows fewest': [
      aFloor({
        athletes: 9,
        coaches: 1,
        rules: [aRule({ bands: [aBand('i', null, null, [aLimit(3, { upToGroup: 6 }), aLimit(4, { upToGroup: 8 })])] })],
      }),
      { load: '3', most: '3' },
    ],
    'meaning 8: somebody better qualified who only shadows': [
      aFloor({
        athletes: 9,
        coaches: [{}, { duty: 'shadow', holds: holding('level-6') }],
        rules: [
          aRule({
            bands: [aBand('any', null, null, [aLimit(13, { when: holds('level-6') }), aLimit(8)])],
            counts: [lead],
          }),
        ],
      }),
      { load: '9/8' },
    ],
    'non-monotone: without two older children, a majority asks for more': [
      aFloor({ athletes: [...ages(3, 3, 3, 3, 3), ...ages(9, 9, 9, 9)], coaches: 2, rules: [mixedAges('majority')] }),
      { load: '9/4' },
    ],
  },
});

describe('meaning 8: group size and better rows are read at the block of the athlete', () => {
  const perSession = aRule({
    per: 'session',
    bands: [aBand('any', null, null, [aLimit(13, { when: holds('level-6') }), aLimit(8)])],
  });
  const floor = aFloor({
    blocks: [{}, { id: 'vault' }],
    athletes: [...times(13, { in: 'beam' }), ...times(8, { in: 'vault' })],
    coaches: [{ in: 'beam', holds: holding('level-6') }, { in: 'vault' }],
    rules: [perSession],
  });

  test('thirteen where the better qualified coach is, eight where they are not', () => {
    expect(countOf(floor, 'session')).toMatchObject({ load: fraction(2), met: true });
  });
});

function countOf(floor: Floor, per: 'block' | 'session' | 'premises' = 'block'): Count {
  const id = { block: 'beam', session: 'class', premises: 'gym' }[per];
  return coverOf(floor, { per, id })[0]?.counts[0] as Count;
}
