import { expect, test } from 'vitest';
import { shiftWeeks } from './shift-weeks.ts';
import type { Week } from './term-schema.ts';

/** A letter is a week with that note; a dot is an empty one. */
const weeks = (text: string): Week[] =>
  [...text].map((letter) => ({ planId: null, note: letter === '.' ? null : letter, skills: [] }));
const text = (all: Week[] | null) => all?.map(({ note }) => note ?? '.').join('') ?? null;

test.each([
  ['ABCD', 3, 1, 'AB.CD'],
  ['ABCD', 1, 2, '..ABCD'],
  ['ABCD', 4, 1, 'ABC.D'],
  ['AB..CD', 5, -2, 'ABCD'],
  ['AB..CD', 5, -1, 'AB.CD'],
  ['ABCD', 5, 1, null],
  ['ABCD', 3, -1, null],
  ['.ABC', 2, -1, 'ABC'],
  ['.ABC', 2, -2, null],
])('%s, from week %i by %i', (before, from, by, after) => {
  expect(text(shiftWeeks(weeks(before), from, by))).toBe(after);
});

test('a week that has skills, or a plan, is not empty', () => {
  const full: Week[] = [
    { planId: null, note: null, skills: [{ skillId: 'cast', standing: 'new' }] },
    { planId: 'plan', note: null, skills: [] },
    ...weeks('A'),
  ];
  expect(shiftWeeks(full, 3, -1)).toBeNull();
  expect(shiftWeeks(full, 2, -1)).toBeNull();
});
