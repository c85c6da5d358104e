import { expect, test } from 'vitest';
import { median, medianRatio, quantile } from './statistics.ts';

const oneToHundred = Array.from({ length: 100 }, (_, index) => 100 - index);

test.each([
  [0.5, 50],
  [0.99, 99],
  [0.991, 100],
  [1, 100],
  [0.001, 1],
])('the %d quantile of 1 to 100, in any order, is %d', (share, value) => {
  expect(quantile(oneToHundred, share)).toBe(value);
});

test.each([
  [[3], 3],
  [[5, 1, 3], 3],
  [[4, 1, 3, 2], 2.5],
])('the median of %j is %d', (samples, value) => {
  expect(median(samples)).toBe(value);
});

test('no samples have neither', () => {
  expect(() => median([])).toThrow();
  expect(() => quantile([], 0.5)).toThrow();
});

test('one round that the machine disturbed changes no ratio', () => {
  const rounds = [
    { ours: 80, theirs: 100 },
    { ours: 8, theirs: 10 },
    { ours: 10, theirs: 100 },
  ];
  expect(medianRatio(rounds)).toBe(0.8);
});
