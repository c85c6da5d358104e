import { expect, test } from 'vitest';
import { unknownName } from './vocabulary.ts';

const THINGS = [{ name: 'Floor' }, { name: 'Low beam' }];

test.each([
  ['flor', 'There is no apparatus called "flor". Did you mean "Floor"?'],
  ['Low baem', 'There is no apparatus called "Low baem". Did you mean "Low beam"?'],
  ['Trapeze', 'There is no apparatus called "Trapeze". Add it first, or name another.'],
])('%s', (name, said) => {
  expect(unknownName({ unknown: new Map() }, 'apparatus', name, THINGS)).toBe(said);
});

test('a name is compared with all there are once, and so are the first 50 only', () => {
  const words = { unknown: new Map<string, string>() };
  let compared = 0;
  const counting = THINGS.map(({ name }) => ({
    get name() {
      compared += 1;
      return name;
    },
  }));
  const say = (name: string) => unknownName(words, 'apparatus', name, counting);
  const first = say('Flor');
  const once = compared;
  expect(once).toBeGreaterThan(0);
  expect([say('Flor'), compared]).toEqual([first, once]);
  for (let at = 1; at < 50; at += 1) say(`Nothing like it ${at}`);
  const all = compared;
  expect(say('Floo')).toBe('There is no apparatus called "Floo". Add it first, or name another.');
  expect(compared).toBe(all);
});
