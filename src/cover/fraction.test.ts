import { describe, expect, test } from 'vitest';
import {
  ceilOf,
  compare,
  dividedBy,
  floorOf,
  formatFraction,
  fraction,
  minus,
  parseFraction,
  plus,
  sum,
  times,
} from './fraction.ts';

const f = parseFraction;

describe('fractions', () => {
  test.each([
    ['3/2', '3/2'],
    ['6/4', '3/2'],
    ['-6/4', '-3/2'],
    ['8/4', '2'],
    ['0/7', '0'],
    ['123456789012345678901234567890/2', '61728394506172839450617283945'],
    [`1/${'9'.repeat(99)}`, `1/${'9'.repeat(99)}`],
  ])('%s is kept as %s', (text, kept) => {
    expect(formatFraction(f(text))).toBe(kept);
  });

  test.each(['', '1.5', '1/0', ' 1', '1/-2', '1/2/3', 'one', '1e3', '1'.repeat(100)])(
    '"%s" is refused, quoted',
    (text) => {
      expect(() => f(text)).toThrow(new RegExp(`"${text.replace(/[/.]/g, '\\$&')}"`));
    },
  );

  test('a number that is not whole is refused', () => {
    expect(() => fraction(1.5)).toThrow(RangeError);
  });

  test.each([
    [plus(f('1/2'), f('1/3')), '5/6'],
    [plus(f('1/2'), f('1/2')), '1'],
    [minus(f('1/2'), f('2/3')), '-1/6'],
    [times(f('2/3'), f('3/4')), '1/2'],
    [dividedBy(f('24'), f('16')), '3/2'],
    [dividedBy(f('1'), f('-2')), '-1/2'],
    [sum([f('1/4'), f('7/6'), f('1')]), '29/12'],
  ])('arithmetic %#', (found, expected) => {
    expect(formatFraction(found)).toBe(expected);
  });

  test.each([
    ['3/2', 1, 2],
    ['-3/2', -2, -1],
    ['2', 2, 2],
    ['0', 0, 0],
    ['25/16', 1, 2],
  ])('%s lies between %i and %i', (text, low, high) => {
    expect([floorOf(f(text)), ceilOf(f(text))]).toEqual([low, high]);
  });

  test('compared exactly where floating point would not', () => {
    expect(compare(f('10000000000000001/10000000000000000'), f('1'))).toBe(1);
    expect(compare(sum(Array.from({ length: 10 }, () => f('1/10'))), f('1'))).toBe(0);
  });

  test('dividing by zero is refused', () => {
    expect(() => dividedBy(f('1'), f('0'))).toThrow(RangeError);
  });
});
