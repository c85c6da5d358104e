import { expect, test } from 'vitest';
import { aBand, aFloor, aRule, aStation, span } from '../../../tests/support/a-floor.ts';
import { describeCheck, findingsOf, told } from '../../../tests/support/check-table.ts';
import { coverTimeline } from '../timeline.ts';
import type { Cap, Rule } from '../types.ts';
import { caps } from './caps.ts';

const capped = (max: number, of: Cap['of'], bands: Cap['bands'] = null, more: Partial<Rule> = {}): Rule =>
  aRule({ bands: [aBand('young', 0, 6, []), aBand('older', 6, null, [])], caps: [{ max, of, bands }], ...more });
const stations = (n: number, items = 1) =>
  Array.from({ length: n }, (_, i) => aStation(`bar-${i}`, { mode: 'none' }, { items, apparatus: 'bars' }));
const sized = (method: 'youngest' | 'majority') =>
  aRule({
    bands: [aBand('infant', 0, 3, 30, { largestGroup: 6 }), aBand('older', 3, null, 30, { largestGroup: 12 })],
    mixed: { method },
  });
const ages = (...groups: [n: number, years: number][]) =>
  groups.flatMap(([n, years]) => Array.from({ length: n }, () => ({ years })));

describeCheck(caps, {
  passes: {
    'eight on one apparatus (British Gymnastics)': aFloor({
      athletes: 8,
      stations: stations(1),
      rules: [capped(8, 'apparatus')],
    }),
    'meaning 16: 24 athletes with three stations open': aFloor({
      athletes: 24,
      stations: stations(3),
      rules: [capped(8, 'apparatus')],
    }),
    'meaning 16: ten a bed, two beds (Birmingham)': aFloor({
      athletes: 20,
      stations: stations(1, 2),
      rules: [capped(10, 'equipment-item')],
    }),
    'nothing is open, so nobody is on apparatus': aFloor({ athletes: 30, rules: [capped(8, 'apparatus')] }),
    'only a band is counted': aFloor({ athletes: ages([4, 5], [9, 9]), rules: [capped(4, 'group', ['young'])] }),
    'the largest group of a band that nobody is of': aFloor({
      athletes: ages([10, 9]),
      coaches: 1,
      rules: [sized('majority')],
    }),
    'an area of another rule’s scope': aFloor({
      athletes: 9,
      rules: [capped(8, 'area', null, { scope: { area: ['pit'] } })],
    }),
  },
  breaks: {
    'the ninth on one apparatus': [
      aFloor({ athletes: 9, stations: stations(1), rules: [capped(8, 'apparatus')] }),
      { heads: '9', most: '8', short: '1', subjects: ['bar-0'] },
    ],
    'meaning 16: the 25th with three stations open': [
      aFloor({ athletes: 25, stations: stations(3), rules: [capped(8, 'apparatus')] }),
      { heads: '25', most: '24' },
    ],
    'the 21st on two beds': [
      aFloor({ athletes: 21, stations: stations(1, 2), rules: [capped(10, 'equipment-item')] }),
      { heads: '21', most: '20' },
    ],
    'a group, whatever the staff': [
      aFloor({ athletes: 9, coaches: 9, rules: [capped(8, 'group')] }),
      { heads: '9', most: '8', subjects: ['beam'] },
    ],
    'the fifth of a band': [
      aFloor({ athletes: ages([5, 5], [9, 9]), rules: [capped(4, 'group', ['young'])] }),
      { heads: '5', most: '4' },
    ],
    'meaning 15: a helped child is a head': [
      aFloor({
        athletes: [...ages([8, 9]), { support: { anyOf: ['coach-00'] } }],
        coaches: 1,
        rules: [capped(8, 'group')],
      }),
      { heads: '9' },
    ],
    'the youngest has the smaller group': [
      aFloor({ athletes: ages([1, 2], [6, 9]), coaches: 1, rules: [sized('youngest')] }),
      { heads: '7', most: '6', subjects: ['beam'] },
    ],
    'the smallest group among those of the bands that are there, whatever governs': [
      aFloor({ athletes: ages([1, 2], [6, 9]), coaches: 1, rules: [sized('majority')] }),
      { heads: '7', most: '6' },
    ],
    'an area over two blocks': [
      aFloor({
        blocks: [{}, { id: 'vault' }],
        athletes: [...Array.from({ length: 5 }, () => ({})), ...Array.from({ length: 4 }, () => ({ in: 'vault' }))],
        rules: [capped(8, 'area', null, { per: 'session' })],
      }),
      { heads: '9', most: '8', subjects: ['hall'] },
    ],
  },
});

test('stations in turn: the cap is what is open then', () => {
  const floor = aFloor({
    athletes: 16,
    stations: [...stations(1), aStation('late', { mode: 'none' }, { apparatus: 'bars', span: span('16:10-16:20') })],
    rules: [capped(8, 'apparatus')],
  });
  expect(findingsOf(floor, 'cap').map((one) => [one.span, told(one).most])).toEqual([[span('16:00-16:10'), '8']]);
  expect(coverTimeline(floor).filter(({ unit }) => unit.per === 'block')).toHaveLength(2);
});
