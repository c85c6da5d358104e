import { STATURE_ROWS, type StatureRow } from './stature-rows.ts';

/** Statures of an age, in centimetres: what nine in ten children are between, and the middle. */
export interface Spread {
  p5: number;
  median: number;
  p95: number;
}

/** Where on the body a height is taken. */
export type Landmark = keyof typeof LANDMARKS;

/**
 * Heights of landmarks as a share of stature: Drillis and Contini 1966, as reprinted in Winter, Biomechanics and Motor
 * Control of Human Movement, 4th edition. Measured on adults: small children have larger heads, so that these overstate
 * a shoulder at three to six years.
 */
export const LANDMARKS = { chin: 0.87, shoulder: 0.818, hip: 0.53 } as const;

/** The standard normal's 95th percentile. */
export const Z95 = 1.644853627;

/**
 * Stature at an age by the published L, M, S, linear between the rows of one sex: the child at `z` standard scores.
 * Null outside the rows (24.5 to 216.5 months).
 */
export function statureOf(sex: StatureRow['sex'], months: number, z: number): number | null {
  const rows = STATURE_ROWS.filter((row) => row.sex === sex);
  const above = rows.findIndex((row) => row.months >= months);
  const upper = rows[above];
  if (!upper || (above === 0 && upper.months > months)) return null;
  const lower = rows[above - 1] ?? upper;
  const part = upper === lower ? 0 : (months - lower.months) / (upper.months - lower.months);
  const between = (of: 'l' | 'm' | 's') => lower[of] + (upper[of] - lower[of]) * part;
  return atScore({ l: between('l'), m: between('m'), s: between('s') }, z);
}

/** z = ((X/M)^L − 1) / (L·S), turned round; L at zero is the logarithmic case. */
const atScore = ({ l, m, s }: Pick<StatureRow, 'l' | 'm' | 's'>, z: number): number =>
  Math.abs(l) < 1e-9 ? m * Math.exp(s * z) : m * (1 + l * s * z) ** (1 / l);

/**
 * What to expect of a child of this age, whose sex is not asked for: from the lower fifth to the higher ninety-fifth
 * percentile of girls and boys, and the mean of their medians. Ages below and above the published rows take the nearest.
 */
export function expectedStature(months: number): Spread {
  const at = Math.min(Math.max(months, FIRST), LAST);
  const of = (z: number) => SEXES.map((sex) => statureOf(sex, at, z) ?? Number.NaN);
  const medians = of(0);
  return {
    p5: Math.min(...of(-Z95)),
    median: medians.reduce((total, one) => total + one, 0) / medians.length,
    p95: Math.max(...of(Z95)),
  };
}

const SEXES = ['female', 'male'] as const;
const FIRST = Math.min(...STATURE_ROWS.map(({ months }) => months));
const LAST = Math.max(...STATURE_ROWS.map(({ months }) => months));
