import { expect, test } from 'vitest';
import { pairUp } from './pair-up.ts';

/** A thing as "name:content"; of one family when its content begins alike. */
const pair = (old: string, now: string) =>
  pairUp(list(old), list(now), {
    same: (a, b) => a === b,
    nameOf: (one) => one.split(':')[0] ?? '',
    alike: (a, b) => a.split(':')[1]?.[0] === b.split(':')[1]?.[0],
  });
const list = (text: string) => text.split(' ').filter(Boolean);

test.each([
  ['nothing in common', 'a:x1', 'b:y1', { pairs: [], removed: [0], added: [0] }],
  ['equal ones', 'a:x b:y', 'a:x b:y', { pairs: ['0-0', '1-1'], removed: [], added: [] }],
  ['one in front of them', 'a:x b:y', 'c:z a:x b:y', { pairs: ['0-1', '1-2'], removed: [], added: [0] }],
  ['one of two twins taken out', 'a:x b:y a:x', 'b:y a:x', { pairs: ['1-0', '2-1'], removed: [0], added: [] }],
  [
    'one that went to the end',
    'a:x b:y c:z',
    'b:y c:z a:x',
    { pairs: ['1-0', '2-1', '0-2 moved'], removed: [], added: [] },
  ],
  ['one of the same name', 'a:x b:y', 'a:q b:y', { pairs: ['0-0', '1-1'], removed: [], added: [] }],
  ['a new name for what is alike', 'a:x1 b:y', 'c:x1+ b:y', { pairs: ['0-0', '1-1'], removed: [], added: [] }],
  ['a name is worth more than a likeness', 'a:x1 b:y1', 'b:x2 c:z', { pairs: ['1-0'], removed: [0], added: [1] }],
  ['both lists empty', '', '', { pairs: [], removed: [], added: [] }],
])('%s', (_, old, now, expected) => {
  const { pairs, removed, added } = pair(old, now);
  expect({
    pairs: pairs.map(({ from, to, moved }) => `${from}-${to}${moved ? ' moved' : ''}`),
    removed,
    added,
  }).toEqual(expected);
});
