import { expect, test } from 'vitest';
import { Diagram } from '../../features/curriculum/diagram-schema.ts';
import { DETAILS } from './drill-details.ts';
import { DRILLS } from './drills.ts';

const drills = new Map(DRILLS.map((drill) => [drill.name, drill]));

test('what more is said is said of drills that are there', () => {
  expect(Object.keys(DETAILS).filter((name) => !drills.has(name))).toEqual([]);
  expect(Object.values(DETAILS).filter(({ lookFors }) => lookFors).length).toBeGreaterThan(20);
});

test('a ladder of three rungs leads along the beam, and each step on it goes up', () => {
  const rungs = DRILLS.filter(({ higher }) => higher).map(({ name, after = '' }) => [
    DETAILS[after]?.height,
    DETAILS[name]?.height,
  ]);
  expect(rungs).toEqual([
    ['floor', 'low'],
    ['low', 'full'],
  ]);
});

test('every diagram is one that the service takes', () => {
  const diagrams = Object.values(DETAILS).flatMap(({ diagram }) => diagram ?? []);
  expect(diagrams).toHaveLength(5);
  for (const diagram of diagrams) expect(Diagram.parse(diagram)).toEqual(diagram);
});

test('what takes the highest grade of spotter says what to look for', () => {
  const silent = DRILLS.filter(({ spotting }) => spotting === 'hands-on 3').filter(
    ({ name }) => !DETAILS[name]?.lookFors,
  );
  expect(silent.map(({ name }) => name)).toEqual([]);
});
