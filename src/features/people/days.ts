import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import { DAY_MS } from '../../platform/time.ts';

export interface OpenDays {
  from: string;
  until?: string | null | undefined;
}

/** Refuses a span that ends on or before the day on which it begins; `at` is the JSON pointer of what holds it. */
export function refuseBackwards({ from, until }: OpenDays, at = ''): void {
  if (until && until <= from) {
    throw invalid(`${at}/until`, `Expected a day after ${from}, or null: it is the first day that is out.`);
  }
}

/** Refuses an end before the beginning; one on the day itself says that it never was. */
export function refuseEndBefore(from: string, until: string): void {
  if (until < from) throw invalid('/until', `Expected ${from} or later: that is when it begins.`);
}

export const UNBORN = 'Expected a birth date that is not ahead.';

/** Whether a birth date is still ahead wherever on earth it is asked. */
export const isUnborn = (ctx: Context, born: string): boolean =>
  born > new Date(ctx.now.getTime() + DAY_MS).toISOString().slice(0, 10);

/** Refuses a birth date that is ahead; `at` is its JSON pointer. */
export function refuseUnborn(ctx: Context, born: string | null, at = '/born'): void {
  if (born !== null && isUnborn(ctx, born)) throw invalid(at, UNBORN);
}
