import type { Fraction } from './types.ts';

export const ZERO: Fraction = { n: 0n, d: 1n };
export const ONE: Fraction = { n: 1n, d: 1n };

/** `n/d` in lowest terms. Throws a RangeError on a zero denominator or a number that is not whole. */
export function fraction(n: number | bigint, d: number | bigint = 1n): Fraction {
  return reduced(BigInt(n), BigInt(d));
}

/**
 * Reads the wire form: "3/2", "3", "-1/4" (no spaces, no decimals), of as many digits as the wire takes. Throws a RangeError that quotes what it got.
 */
export function parseFraction(text: string): Fraction {
  const parts = /^(-?\d{1,99})(?:\/(\d{1,99}))?$/.exec(text);
  if (parts === null) throw new RangeError(`"${text}" is not a fraction: write it as "3/2" or "3"`);
  const d = BigInt(parts[2] ?? '1');
  if (d === 0n) throw new RangeError(`"${text}" divides by zero: write a denominator of 1 or more`);
  return reduced(BigInt(parts[1] as string), d);
}

/** The wire form, lowest terms: "3/2", and "2" for whole numbers. */
export function formatFraction(a: Fraction): string {
  return a.d === 1n ? `${a.n}` : `${a.n}/${a.d}`;
}

export function plus(a: Fraction, b: Fraction): Fraction {
  if (a.n === 0n) return b;
  if (b.n === 0n) return a;
  if (a.d === b.d) return a.d === 1n ? { n: a.n + b.n, d: 1n } : reduced(a.n + b.n, a.d);
  return reduced(a.n * b.d + b.n * a.d, a.d * b.d);
}

export function minus(a: Fraction, b: Fraction): Fraction {
  return plus(a, { n: -b.n, d: b.d });
}

export function times(a: Fraction, b: Fraction): Fraction {
  return reduced(a.n * b.n, a.d * b.d);
}

/** Throws a RangeError when `b` is zero. */
export function dividedBy(a: Fraction, b: Fraction): Fraction {
  return reduced(a.n * b.d, a.d * b.n);
}

/** Below zero, zero, above zero: as `a` is less than, equal to, more than `b`. */
export function compare(a: Fraction, b: Fraction): number {
  const left = a.d === b.d ? a.n : a.n * b.d;
  const right = a.d === b.d ? b.n : b.n * a.d;
  return left < right ? -1 : left > right ? 1 : 0;
}

export const atLeast = (a: Fraction, b: Fraction): boolean => compare(a, b) >= 0;
export const equal = (a: Fraction, b: Fraction): boolean => a.n === b.n && a.d === b.d;
export const larger = (a: Fraction, b: Fraction): Fraction => (compare(a, b) >= 0 ? a : b);
export const smaller = (a: Fraction, b: Fraction): Fraction => (compare(a, b) <= 0 ? a : b);
export const sum = (all: Iterable<Fraction>): Fraction => {
  let total = ZERO;
  for (const one of all) total = plus(total, one);
  return total;
};

/** The largest whole number that is not above `a`. */
export function floorOf({ n, d }: Fraction): number {
  const whole = n / d;
  return Number(n < 0n && whole * d !== n ? whole - 1n : whole);
}

/** The smallest whole number that is not below `a`. */
export function ceilOf({ n, d }: Fraction): number {
  const whole = n / d;
  return Number(n > 0n && whole * d !== n ? whole + 1n : whole);
}

function reduced(n: bigint, d: bigint): Fraction {
  if (d === 1n) return { n, d };
  if (d === 0n) throw new RangeError('A fraction cannot have the denominator 0');
  if (d < 0n) return reduced(-n, -d);
  const g = gcd(n < 0n ? -n : n, d);
  return g === 1n ? { n, d } : { n: n / g, d: d / g };
}

const EXACT = BigInt(Number.MAX_SAFE_INTEGER);

/** Plain numbers where they are exact: several times faster, and nearly always the case. */
function gcd(a: bigint, b: bigint): bigint {
  if (a <= EXACT && b <= EXACT) {
    let x = Number(a);
    let y = Number(b);
    while (y !== 0) [x, y] = [y, x % y];
    return BigInt(x);
  }
  let [x, y] = [a, b];
  while (y !== 0n) [x, y] = [y, x % y];
  return x;
}
