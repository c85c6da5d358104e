import { describe, expect, test } from 'vitest';
import type { z } from 'zod';
import { Day, Instant, Line, Text, Words } from './wire.ts';

const reasons = (schema: z.ZodType, text: string) =>
  schema.safeParse(text).error?.issues.map(({ message }) => message) ?? [];
const CONTROL = 'Expected one line of text, without control characters.';
const BLANK = 'Expected text that is not blank.';
const TURNED =
  'Expected a line without characters that turn the direction of what follows (U+202A to U+202E, U+2066 to U+2069).';

describe('a line', () => {
  test.each([
    ['Latin', 'Ann'],
    ['with accents', 'Séan Ó Dálaigh'],
    ['with an accent of its own', 'Se\u0301an'],
    ['Arabic', 'فاطمة الزهراء'],
    ['Arabic and Latin', 'فاطمة Smith'],
    ['Arabic with a mark of direction', 'فاطمة\u200f (2)'],
    ['Hebrew', 'נועה לוי'],
    ['Persian, with a joiner that is none', 'می\u200cخواهم'],
    ['Hindi, with a joiner', 'क्\u200dष'],
    ['Thai', 'สมชาย'],
    ['Chinese', '王小明'],
    ['Korean', '김민지'],
    ['of the first plane', '𠮷野'],
    ['a family, joined', '👩\u200d👧'],
    ['a digit', '7'],
    ['a sign', '–'],
  ])('takes %s', (_, text) => expect(Line(120).safeParse(text)).toEqual({ success: true, data: text }));

  test.each([
    ['a blank', ' ', [BLANK]],
    ['blanks of many kinds', '\u00a0\u2003\u3000', [BLANK]],
    ['a blank of no width', '\u200b', [BLANK]],
    ['joiners alone', '\u200c\u200d\u2060', [BLANK]],
    ['marks of direction alone', '\u200e\u200f\u061c', [BLANK]],
    ['a soft hyphen', '\u00ad', [BLANK]],
    ['a byte-order mark', '\ufeff', [BLANK]],
    ['fillers of Hangul', '\u115f\u1160\u3164\uffa0', [BLANK]],
    ['an empty Braille cell', '\u2800', [BLANK]],
    ['a mark with nothing under it', '\u0301', [BLANK]],
    ['a selector of variants', '\ufe0f', [BLANK]],
    ['tags', '\u{e0041}', [BLANK]],
    ['a next line', '\u0085', [CONTROL, BLANK]],
    ['a next line inside', 'Ann\u0085Bo', [CONTROL]],
    ['a control character of the second set', 'Ann\u009b', [CONTROL]],
    ['a line separator', 'Ann\u2028Bo', [CONTROL]],
    ['a paragraph separator', 'Ann\u2029Bo', [CONTROL]],
    ['a new line', 'Ann\nBo', [CONTROL]],
    ['an override', 'Ann\u202eoB', [TURNED]],
    ['an embedding', '\u202aAnn\u202c', [TURNED]],
    ['an isolate', '\u2066Ann\u2069', [TURNED]],
    ['an override alone', '\u202e', [BLANK, TURNED]],
    ['half of a character', 'Ann\ud83d', ['Expected whole characters: one is cut in half.']],
  ])('refuses %s', (_, text, said) => expect(reasons(Line(120), text)).toEqual(said));

  test('nothing at all is too short', () => expect(reasons(Line(120), '')).not.toEqual([]));
});

describe('text of several lines', () => {
  test.each([
    ['', true, false],
    ['\u200b\n\u0085', true, false],
    ['One\nTwo', true, true],
    ['ابدأ\u200f\nהתחל', true, true],
    ['a\u0000b', false, false],
  ])('%j: %s, where it has to say something %s', (text, may, saysSomething) => {
    expect([Text(100).safeParse(text).success, Words(100).safeParse(text).success]).toEqual([may, saysSomething]);
  });
});

describe('a day, and a moment, that cannot be used', () => {
  test.each<[string, typeof Day | typeof Instant, string, RegExp]>([
    ['no day at all', Day, 'tomorrow', /a day that exists/],
    ['a day that there never was', Day, '2026-02-30', /a day that exists/],
    ['a day long ago', Day, '1800-01-01', /a year from 1900/],
    ['no moment at all', Instant, 'now', /a moment with its offset/],
    ['a moment long ago', Instant, '1800-01-01T00:00:00Z', /a year from 1900/],
  ])('%s is told once', (_, schema, value, reason) => {
    expect(reasons(schema, value)).toEqual([expect.stringMatching(reason)]);
  });
});
