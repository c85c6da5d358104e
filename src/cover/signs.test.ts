import { expect, test } from 'vitest';
import { saysAsMuch } from './signs.ts';

test.each([
  ['watched', ['watched']],
  ['helped', ['watched', 'helped']],
  ['alone', ['watched', 'helped', 'alone']],
] as const)('%s says as much as %j, and as no other', (sign, others) => {
  expect((['watched', 'helped', 'alone'] as const).filter((other) => saysAsMuch(sign, other))).toEqual(others);
});
