import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { expectedStature, LANDMARKS, statureOf } from './stature.ts';

const read = (name: string): unknown =>
  JSON.parse(readFileSync(new URL(`../../../../tests/reference/${name}.json`, import.meta.url), 'utf8'));

// CDC growth charts, stature for age, 2000 edition: the percentiles are printed there beside L, M and S.
const published = z
  .object({
    records: z.array(
      z.object({
        sex: z.enum(['female', 'male']),
        age_years: z.number(),
        age_months_of_row: z.number(),
        p5_cm: z.number(),
        p50_cm: z.number(),
        p95_cm: z.number(),
        p50_cm_at_birthday: z.number(),
        acromial_cm_0818_at_birthday: z.number(),
      }),
    ),
    segment_heights_fraction_of_stature: z.array(z.object({ landmark: z.string(), fraction: z.number() })),
  })
  .parse(read('stature-by-age'));

describe.each(published.records)('a $sex child of $age_years', (row) => {
  test('has the printed 5th, 50th and 95th percentile', () => {
    const at = (score: number) => statureOf(row.sex, row.age_months_of_row, score);
    expect(at(-1.644853627)).toBeCloseTo(row.p5_cm, 4);
    expect(at(0)).toBeCloseTo(row.p50_cm, 6);
    expect(at(1.644853627)).toBeCloseTo(row.p95_cm, 4);
  });
});

const AFTER_TWO = published.records.filter(({ age_years }) => age_years > 2);

describe.each(AFTER_TWO)('on the birthday of a $sex child of $age_years', (row) => {
  // Ours goes from yearly row to yearly row, the published birthday median between monthly ones: within 3 mm.
  test('stature and shoulder are as published', () => {
    const stature = statureOf(row.sex, row.age_years * 12, 0) ?? 0;
    expect(Math.abs(stature - row.p50_cm_at_birthday)).toBeLessThan(0.3);
    expect(Math.abs(stature * LANDMARKS.shoulder - row.acromial_cm_0818_at_birthday)).toBeLessThan(0.3);
  });
});

test('landmarks are the published shares of stature', () => {
  const of = (name: string) =>
    published.segment_heights_fraction_of_stature.find(({ landmark }) => landmark.startsWith(name))?.fraction;
  expect(LANDMARKS).toEqual({ chin: of('chin'), shoulder: of('shoulder'), hip: of('hip') });
});

test('a child whose sex is not known may be as small as the smaller and as tall as the taller', () => {
  const spread = expectedStature(96.5);
  expect(spread.p5).toBeCloseTo(118.3, 0);
  expect(spread.p95).toBeCloseTo(137.83, 0);
  expect(spread.median).toBeCloseTo((127.8262759 + 128.1237104) / 2, 6);
});

test('outside the published ages the nearest is taken, and one sex alone says nothing', () => {
  expect(expectedStature(10)).toEqual(expectedStature(24.5));
  expect(expectedStature(400)).toEqual(expectedStature(216.5));
  expect(statureOf('female', 24, 0)).toBeNull();
  expect(statureOf('female', 217, 0)).toBeNull();
});
