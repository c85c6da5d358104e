import { expect, test } from 'vitest';
import { rotate, type Taught } from './rotation.ts';

const block = (id: string, minutes: number, activity = 'apparatus'): Taught => ({ id, minutes, activity });
const PLAN = [
  block('warm-up', 10, 'warm-up'),
  block('vault', 15),
  block('bars', 15),
  block('beam', 15),
  block('cool-down', 5, 'cool-down'),
];
/** "0 warm-up 10": begins at minute 0, takes 10. */
const sheet = (blocks: Taught[], groups: number) => {
  const turns = rotate(blocks, groups) ?? [];
  const linesOf = (group: number) =>
    turns
      .filter((turn) => turn.group === group)
      .map(({ startMinute, planBlockId, minutes }) => `${startMinute} ${planBlockId} ${minutes}`);
  return Object.fromEntries(Array.from({ length: groups }, (_, index) => [index + 1, linesOf(index + 1)]));
};

test('one group takes the plan as it is written', () => {
  expect(sheet(PLAN, 1)).toEqual({
    1: ['0 warm-up 10', '10 vault 15', '25 bars 15', '40 beam 15', '55 cool-down 5'],
  });
});

test('all warm up and cool down together; in between each group begins one apparatus further on', () => {
  expect(sheet(PLAN, 3)).toEqual({
    1: ['0 warm-up 10', '10 vault 15', '25 bars 15', '40 beam 15', '55 cool-down 5'],
    2: ['0 warm-up 10', '10 bars 15', '25 beam 15', '40 vault 15', '55 cool-down 5'],
    3: ['0 warm-up 10', '10 beam 15', '25 vault 15', '40 bars 15', '55 cool-down 5'],
  });
});

test('several groups share the minutes of unequal blocks evenly, so that nobody waits for an area', () => {
  expect(sheet([block('vault', 10), block('bars', 21)], 2)).toEqual({
    1: ['0 vault 15', '15 bars 15'],
    2: ['0 bars 15', '15 vault 15'],
  });
});

test('blocks on either side of stretches are rotated apart', () => {
  const plan = [
    block('vault', 10),
    block('bars', 10),
    block('stretch', 5, 'stretches'),
    block('beam', 10),
    block('floor', 10),
  ];
  expect(sheet(plan, 2)[2]).toEqual(['0 bars 10', '10 vault 10', '20 stretch 5', '25 floor 10', '35 beam 10']);
});

test('more groups than apparatus cannot take turns', () => {
  expect(rotate(PLAN, 4)).toBeNull();
});

test('a plan without apparatus is done together by any number of groups', () => {
  expect(sheet([block('party', 60, 'party')], 5)[5]).toEqual(['0 party 60']);
});
