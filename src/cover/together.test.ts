import { describe, expect, test } from 'vitest';
import { isCloser, isSpottedLess, spottingTogether } from './together.ts';
import type { Spotting } from './types.ts';

const byHand = (
  grade: number,
  kind = 'spotter',
  skills: { skill: string; level: 'watched' | 'alone' }[] = [],
): Spotting => ({
  mode: 'hands-on',
  kind,
  grade,
  skills,
});
const standBy = (grade: number): Spotting => ({ mode: 'stand-by', kind: 'spotter', grade, skills: [] });
const none: Spotting = { mode: 'none' };
const drill = (spotting: Spotting) => ({ spotting, skills: [] });

describe('drills at one station', () => {
  test('ask for the strictest mode and the highest grade', () => {
    expect(spottingTogether([drill(standBy(3)), drill(none), drill(byHand(1))])).toEqual(byHand(3));
  });
  test('ask for nothing where none is spotted', () => {
    expect(spottingTogether([drill(none), { spotting: none, skills: [{ skill: 'kip', level: 'alone' }] }])).toEqual(
      none,
    );
  });
  test('cannot be spotted by one person where they ask for different kinds', () => {
    expect(spottingTogether([drill(byHand(1)), drill(byHand(1, 'other'))])).toBeNull();
  });
  test('take the strictest sign-off of a skill', () => {
    const skilled = (level: 'watched' | 'alone') => ({ spotting: byHand(1), skills: [{ skill: 'kip', level }] });
    expect(spottingTogether([skilled('watched'), skilled('alone')])).toMatchObject({
      skills: [{ skill: 'kip', level: 'alone' }],
    });
  });
});

test.each([
  [none, standBy(1), true],
  [standBy(3), byHand(1), true],
  [byHand(1), byHand(2), true],
  [byHand(2), byHand(2), false],
  [byHand(2), byHand(1), false],
  [byHand(1, 'other'), byHand(2), false],
  [byHand(1), byHand(1, 'spotter', [{ skill: 'kip', level: 'watched' }]), true],
  [
    byHand(1, 'spotter', [{ skill: 'kip', level: 'alone' }]),
    byHand(1, 'spotter', [{ skill: 'kip', level: 'watched' }]),
    false,
  ],
  [none, none, false],
])('%j is spotted less than %j: %s', (one, other, isLess) => {
  expect(isSpottedLess(one, other)).toBe(isLess);
});

test.each([
  ['hands-on', 'stand-by', true],
  ['stand-by', 'none', true],
  ['stand-by', 'stand-by', false],
  ['none', 'hands-on', false],
] as const)('%s is closer than %s: %s', (one, other, isIt) => {
  expect(isCloser(one, other)).toBe(isIt);
});
