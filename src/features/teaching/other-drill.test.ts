import { describe, expect, test } from 'vitest';
import { replacedBy } from './other-drill.ts';

/** a leads to b, b to c; x stands apart. */
const STEPS = [
  { easierId: 'a', harderId: 'b' },
  { easierId: 'b', harderId: 'c' },
];

describe('a drill takes the place of', () => {
  test.each([
    ['what it leads to, however far', 'a', ['c', 'x'], { direction: 'easier', replaced: ['c'] }],
    ['all that it leads to', 'a', ['b', 'c'], { direction: 'easier', replaced: ['b', 'c'] }],
    ['what leads to it', 'c', ['a'], { direction: 'harder', replaced: ['a'] }],
    [
      'what it leads to, where there is both: the easier one',
      'b',
      ['a', 'c'],
      { direction: 'easier', replaced: ['c'] },
    ],
  ])('%s', (_, drill, planned, expected) => {
    const judged = replacedBy(STEPS, drill, planned);
    expect(judged && { ...judged, replaced: [...judged.replaced] }).toEqual(expected);
  });

  test.each([
    ['what does not hang together with it', 'x', ['a', 'b']],
    ['itself', 'a', ['a']],
  ])('not of %s', (_, drill, planned) => {
    expect(replacedBy(STEPS, drill, planned)).toBeNull();
  });
});
