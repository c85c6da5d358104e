import { expect, test } from 'vitest';
import { type Finding, fraction } from '../../cover/index.ts';
import { newsIn } from './unspotted.ts';

const lacking = (from: number, to: number): Finding => ({
  code: 'spotting',
  unit: { per: 'block', id: 'block' },
  span: { from, to },
  rule: null,
  strength: 'refuse',
  short: fraction(1),
  numbers: {},
  count: null,
  failed: null,
  subjects: [],
  override: null,
});

type Spans = [number, number][];
const all = (spans: Spans) => spans.map(([from, to]) => lacking(from, to));

test.each<[string, Spans, Spans, Spans]>([
  ['nobody spotted it before either', [[0, 20]], [[0, 20]], []],
  ['nobody did for longer', [[5, 15]], [[0, 20]], []],
  [
    'in two parts',
    [[0, 20]],
    [
      [0, 10],
      [10, 25],
    ],
    [],
  ],
  [
    'somebody did for a while',
    [[0, 20]],
    [
      [0, 10],
      [12, 20],
    ],
    [[0, 20]],
  ],
  ['somebody did at another time', [[0, 10]], [[10, 20]], [[0, 10]]],
  [
    'somebody did all the time',
    [
      [0, 10],
      [10, 20],
    ],
    [],
    [
      [0, 10],
      [10, 20],
    ],
  ],
])('what is lacking, where %s', (_name, now, before, news) => {
  expect(newsIn(all(now), all(before)).map(({ span }) => [span.from, span.to])).toEqual(news);
});
