import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { z } from 'zod';
import { topAboveMat } from './apparatus-height.ts';

// Apparatus norms as published by several bodies: the same apparatus, measured from and to different points.
const { records } = z
  .object({
    records: z.array(
      z.object({
        apparatus: z.string(),
        discipline: z.string(),
        dimension: z.string(),
        value: z.union([z.number(), z.array(z.number())]),
        measured: z.string().optional(),
      }),
    ),
  })
  .parse(
    JSON.parse(readFileSync(new URL('../../../../tests/reference/apparatus-norms.json', import.meta.url), 'utf8')),
  );

function norm(apparatus: string, dimension: string, measured?: string): number {
  const found = records.find(
    (one) =>
      one.apparatus === apparatus &&
      one.dimension === dimension &&
      (measured === undefined || one.measured === measured),
  );
  if (typeof found?.value !== 'number') throw new Error(`no ${dimension} of the ${apparatus}`);
  return found.value;
}
/** Thickness of the mat around it. */
const MAT = norm('landing mat', 'thickness');

test('a horizontal bar 280 cm above the floor is 260 above a mat of 20', () => {
  const fromFloor = norm('horizontal bar', 'height', 'floor to top of bar');
  const fromMat = norm('horizontal bar', 'height above mat', 'from the mat');
  expect([fromFloor, fromMat, MAT]).toEqual([280, 260, 20]);
  expect(topAboveMat({ cm: fromFloor, from: 'floor', to: 'top' }, { matCm: MAT, railCm: 0 })).toBe(fromMat);
  expect(topAboveMat({ cm: fromMat, from: 'mat', to: 'top' }, { matCm: MAT, railCm: 0 })).toBe(fromMat);
});

test.each(['high bar height', 'low bar height'])(
  'uneven bars, %s: to the top and to the bottom of a rail of 4 cm',
  (bar) => {
    const [top, bottom] = [
      norm('uneven bars', bar, 'floor to top of bar'),
      norm('uneven bars', bar, 'floor to BOTTOM of bar'),
    ];
    expect(top - bottom).toBe(4);
    const around = { matCm: MAT, railCm: 4 };
    expect(topAboveMat({ cm: bottom, from: 'floor', to: 'bottom' }, around)).toBe(
      topAboveMat({ cm: top, from: 'floor', to: 'top' }, around),
    );
  },
);
