import { describe, expect, test } from 'vitest';
import { printable } from './sheet-font.ts';
import { line, type Words } from './sheet-words.ts';

const words = (title: string, ...texts: string[]): Words => ({
  title,
  when: 'Monday 14 September 2026',
  about: [],
  loud: texts.map((text) => line(null, text)),
  boxes: [],
  leftOut: null,
});
const AT = '/sheet.html';

describe('the font has', () => {
  test.each(['Fionnghuala Ó Maolalaidh', 'Łukasz Żółć', 'Nguyễn Thị Hồng', 'Ελένη', 'Олена Їжак', '12 × 3 · “so” – ½'])(
    '%s',
    (text) => {
      expect(printable(words(text), AT)).toEqual({ words: words(text), marks: [] });
    },
  );
});

test.each([
  ['ليلى', '[Arabic 1]'],
  ['田中 さくら', '[Japanese 1]'],
  ['नेहा शर्मा leads', '[Devanagari 1] leads'],
  ['Ann שרה, Ben', 'Ann [Hebrew 1], Ben'],
  ['王小明 (Group 1)', '[Chinese 1] (Group 1)'],
  ['Well done 🤸', 'Well done [sign 1]'],
])('the font has no signs for all of %s: a mark stands there, and a loud line says so', (text, marked) => {
  const { words: said, marks } = printable(words(text), AT);
  expect(said.title).toBe(marked);
  expect(marks).toHaveLength(1);
  expect(said.loud).toEqual([
    line('Not printed here', `${marks[0]}: this font has no such signs. Read them on the page: ${AT}.`, true),
  ]);
});

test('the same name has the same mark wherever it stands, and another name another', () => {
  const { words: said, marks } = printable(words('ليلى', 'with ليلى', 'with שרה'), AT);
  expect(marks).toEqual(['[Arabic 1]', '[Hebrew 2]']);
  expect(said.loud.slice(1).map(({ text }) => text)).toEqual(['with [Arabic 1]', 'with [Hebrew 2]']);
});
