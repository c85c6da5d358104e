import { invalid } from '../../platform/problem.ts';

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
