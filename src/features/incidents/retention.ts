import { birthday, type LeapDay } from '../../cover/index.ts';

/** How long a record is kept at the least: so many years, and until so many years after the birthday that ends childhood. */
interface RetentionRule {
  id: string;
  years: number;
  /** From the day itself, or from the end of its calendar year. */
  from: 'day' | 'end-of-year';
  /** Also until this many years after this birthday, for somebody who was younger on the day. */
  child: { adultAt: number; years: number } | null;
  whom: 'anybody' | 'staff';
  source: string;
}

const PERIOD_YEARS = 3;

/** The law of the place comes first. */
export const RETENTION_RULES: readonly RetentionRule[] = [
  {
    id: 'limitation',
    years: PERIOD_YEARS,
    from: 'day',
    child: { adultAt: 18, years: 3 },
    whom: 'anybody',
    source: 'British Gymnastics, Health and safety FAQs: at least 3 years; for a child, 3 years after turning 18',
  },
  {
    id: 'osha-301',
    years: 5,
    from: 'end-of-year',
    child: null,
    whom: 'staff',
    source: 'US OSHA Form 301, 29 CFR 1904: 5 years after the end of the year that it belongs to',
  },
];

/** Somebody whom a note is about. */
export interface Kept {
  /** Null is unknown. */
  born: string | null;
  isStaff: boolean;
}

/** The first day on which one rule lets a record of this day go; null while a birth date it turns on is unknown. */
export function keepUntilUnder(
  rule: RetentionRule,
  day: string,
  { born, isStaff }: Kept,
  leapDay: LeapDay,
): string | null {
  const start = rule.from === 'day' ? day : `${day.slice(0, 4)}-12-31`;
  const period = birthday(start, rule.years, leapDay);
  if (rule.child === null) return period;
  if (born === null) return isStaff ? period : null;
  const { adultAt, years } = rule.child;
  if (birthday(born, adultAt, leapDay) <= day) return period;
  const age = birthday(born, adultAt + years, leapDay);
  return later(age, period);
}

const later = (a: string, b: string): string => [a, b].sort()[1] ?? a;

/**
 * Until when a note is kept at the least: the latest day of everybody it is about, under every rule for them; a note
 * about nobody by the first rule's period. Null where a birth date is missing: it is then kept until that is known. On
 * that day it is due for review; nothing is deleted.
 */
export function keepUntil(day: string, about: readonly Kept[], leapDay: LeapDay): string | null {
  const days = about.flatMap((one) =>
    RETENTION_RULES.filter(({ whom }) => whom === 'anybody' || one.isStaff).map((rule) =>
      keepUntilUnder(rule, day, one, leapDay),
    ),
  );
  const known = days.filter((one) => one !== null);
  if (known.length < days.length) return null;
  return [birthday(day, PERIOD_YEARS, leapDay), ...known].sort().at(-1) ?? null;
}
