import { ZERO } from '../fraction.ts';
import type { Fraction } from '../types.ts';

/** A word for each plural category that a language has (CLDR); `other` where it has no more. */
export type Forms = Partial<Record<Intl.LDMLPluralRule, string>> & { other: string };

/** How a locale writes what all its sentences are made of. */
export function writingIn(locale: string) {
  const rules = new Intl.PluralRules(locale);
  const numbers = new Intl.NumberFormat(locale, { useGrouping: 'min2' });
  const both = new Intl.ListFormat(locale, { type: 'conjunction' });
  const either = new Intl.ListFormat(locale, { type: 'disjunction' });
  const clocks = new Map<string, Intl.DateTimeFormat>();

  const number = (n: number | bigint): string => numbers.format(n);
  const choose = (n: number, forms: Forms): string => forms[rules.select(n)] ?? forms.other;
  return {
    number,
    choose,
    /** "9 athletes" */
    count: (n: number, forms: Forms): string => `${number(n)} ${choose(n, forms)}`,
    /** "1", "1/2", "1 1/2". */
    exact({ n, d }: Fraction = ZERO): string {
      const [units, rest] = [n / d, n % d];
      if (rest === 0n) return number(units);
      return units === 0n
        ? `${number(n)}/${number(d)}`
        : `${number(units)} ${number(rest < 0n ? -rest : rest)}/${number(d)}`;
    },
    and: (words: readonly string[]): string => both.format(words),
    or: (words: readonly string[]): string => either.format(words),
    /** "16:20", by the clock of a zone. */
    time(moment: number, zone: string): string {
      let clock = clocks.get(zone);
      if (clock === undefined) {
        clock = new Intl.DateTimeFormat(locale, {
          timeZone: zone,
          hour: '2-digit',
          minute: '2-digit',
          hourCycle: 'h23',
        });
        clocks.set(zone, clock);
      }
      return clock.format(moment);
    },
  };
}
