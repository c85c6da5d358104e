import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { compare, formatFraction, ONE, ZERO } from '../../../cover/index.ts';
import { turnsAt, turnsInCircuit } from './turns.ts';

const published = z
  .object({
    worked_examples: z.array(
      z.object({
        what: z.string(),
        group: z.number(),
        stations: z.number(),
        turn_seconds: z.number(),
        wait_seconds: z.number(),
      }),
    ),
  })
  .parse(
    JSON.parse(readFileSync(new URL('../../../../tests/reference/lesson-activity.json', import.meta.url), 'utf8')),
  );

describe('turns at a station', () => {
  // The waiting of a physical-education lesson (from memory): (group / stations in use − 1) × turn length.
  test.each(published.worked_examples)('$what', ({ group, stations, turn_seconds, wait_seconds }) => {
    const { seconds } = turnsAt({ athletes: group, places: stations, secondsATurn: turn_seconds, seconds: 600 });
    expect(formatFraction(seconds)).toBe(String(wait_seconds));
  });

  test.each([
    ['eight children, one place, half a minute a turn, ten minutes', [8, 1, 30, 600], [2, '7/8', '210']],
    ['with four places', [8, 4, 30, 600], [10, '1/2', '30']],
    ['with a place each nobody waits', [8, 8, 30, 600], [20, '0', '0']],
    ['an empty place brings nobody’s turn sooner', [3, 10, 30, 600], [20, '0', '0']],
    ['a turn that is not finished is none', [7, 2, 45, 600], [3, '5/7', '225/2']],
    ['no time, no turn', [4, 1, 20, 0], [0, '3/4', '60']],
  ] as const)('%s', (_name, [athletes, places, secondsATurn, seconds], [turnsEach, share, wait]) => {
    const found = turnsAt({ athletes, places, secondsATurn, seconds });
    expect([found.turnsEach, formatFraction(found.share), formatFraction(found.seconds)]).toEqual([
      turnsEach,
      share,
      wait,
    ]);
  });

  test.each([
    [0, 1, 1, 1],
    [1, 0, 1, 1],
    [1, 1, 0, 1],
    [1, 1, 1, -1],
    [1.5, 1, 1, 1],
  ])('refuses %d athletes, %d places, %d seconds a turn, %d seconds', (athletes, places, secondsATurn, seconds) => {
    expect(() => turnsAt({ athletes, places, secondsATurn, seconds })).toThrow(RangeError);
  });

  test('as many as when it is played: whoever has been goes to the end of the line', () => {
    const small = fc.integer({ min: 1, max: 12 });
    fc.assert(
      fc.property(small, small, small, fc.integer({ min: 0, max: 40 }), (athletes, places, secondsATurn, rounds) => {
        const line = Array.from({ length: athletes }, () => ({ turns: 0 }));
        for (let round = 0; round < rounds; round += 1) {
          const going = line.splice(0, places);
          for (const child of going) child.turns += 1;
          line.push(...going);
        }
        const { turnsEach } = turnsAt({ athletes, places, secondsATurn, seconds: rounds * secondsATurn });
        expect(turnsEach).toBe(Math.min(...line.map(({ turns }) => turns)));
      }),
    );
  });
});

describe('turns in a circuit', () => {
  test.each([
    [
      'goes round at the pace of the slowest',
      6,
      [
        [2, 20],
        [1, 30],
        [3, 15],
      ],
      900,
      [5, '23/36', '115'],
    ],
    [
      'with room for everybody, as fast as they move',
      3,
      [
        [3, 20],
        [3, 40],
      ],
      600,
      [10, '0', '0'],
    ],
    ['one station is a station', 8, [[1, 30]], 600, [2, '7/8', '210']],
  ] as const)('%s', (_name, athletes, legs, seconds, [rounds, share, wait]) => {
    const found = turnsInCircuit(
      athletes,
      legs.map(([places, secondsATurn]) => ({ places, secondsATurn })),
      seconds,
    );
    expect([found.turnsEach, formatFraction(found.share), formatFraction(found.seconds)]).toEqual([
      rounds,
      share,
      wait,
    ]);
  });

  test('needs a station', () => {
    expect(() => turnsInCircuit(4, [], 60)).toThrow(RangeError);
  });

  test('a faster station never makes for fewer rounds, and one more child never for more', () => {
    const legs = fc.array(
      fc.record({ places: fc.integer({ min: 1, max: 6 }), secondsATurn: fc.integer({ min: 2, max: 90 }) }),
      {
        minLength: 1,
        maxLength: 6,
      },
    );
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 30 }),
        legs,
        fc.integer({ min: 0, max: 3600 }),
        (athletes, stations, seconds) => {
          const { turnsEach, share } = turnsInCircuit(athletes, stations, seconds);
          expect(compare(share, ZERO) >= 0 && compare(share, ONE) < 0).toBe(true);
          const faster = stations.map((leg, at) => (at === 0 ? { ...leg, secondsATurn: leg.secondsATurn - 1 } : leg));
          expect(turnsInCircuit(athletes, faster, seconds).turnsEach).toBeGreaterThanOrEqual(turnsEach);
          expect(turnsInCircuit(athletes + 1, stations, seconds).turnsEach).toBeLessThanOrEqual(turnsEach);
        },
      ),
    );
  });
});
