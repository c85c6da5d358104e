import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { harmless, restored } from './spreadsheet.ts';

describe('a cell that a spreadsheet would run', () => {
  test.each([
    ['=1+1', "'=1+1"],
    ['+353 1 234', "'+353 1 234"],
    ['-2', "'-2"],
    ['@SUM(A1)', "'@SUM(A1)"],
    ['\t=1', "'\t=1"],
    ['\r=1', "'\r=1"],
    ['\n=1', "'\n=1"],
    ['＝1', "'＝1"],
    ["'=1", "''=1"],
    ["''=1", "'''=1"],
  ])('%j is written %j, and read back', (text, written) => {
    expect(harmless(text)).toBe(written);
    expect(restored(written)).toBe(text);
  });

  test.each(['', 'roll', "'tis a roll", "'", ' =1', '1-2', '’=1'])('%j stays as it is', (text) => {
    expect(harmless(text)).toBe(text);
    expect(restored(text)).toBe(text);
  });
});

test('whatever the text, it comes back, and nothing that was written begins as a formula', () => {
  const unit = fc.constantFrom("'", '=', '+', '-', '@', '\t', '\r', '\n', 'a', ' ', '＝');
  fc.assert(
    fc.property(fc.string({ unit, maxLength: 8 }), (text) => {
      expect(restored(harmless(text))).toBe(text);
      expect(harmless(text)).not.toMatch(/^[=+\-@\t\r\n＝＋－＠]/);
    }),
  );
});
