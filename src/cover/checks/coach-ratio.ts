import { fraction, minus } from '../fraction.ts';
import { ageInMonths } from '../passes.ts';
import type { View } from '../scene.ts';
import { askedBy } from '../shares.ts';
import type { Finding } from '../types.ts';
import type { RuleCheck } from './check.ts';

/** The shares of those who count have to come to the load, unrounded. */
export const coachRatio: RuleCheck = {
  code: 'short',
  check(view) {
    const { rule, count } = view;
    if (rule.bands.length === 0 || count.met) return [];
    return [{ short: minus(askedBy(rule, count.load), count.counted), numbers: numbersOf(view), count }];
  },
};

function numbersOf({ count, heads, ratio, moment }: View): Finding['numbers'] {
  const divided = heads.filter(({ helped }) => !helped);
  const numbers: Finding['numbers'] = {
    load: count.load,
    counted: count.counted,
    needed: fraction(count.needed),
    heads: fraction(divided.length),
  };
  if (ratio.limit !== null) numbers.most = ratio.limit;
  const ages = divided.map(({ athlete: { born } }) => (born === null ? Number.NaN : ageInMonths(born, moment)));
  const youngest = Math.min(...ages); // not a number where one is unknown
  if (Number.isFinite(youngest)) numbers.youngest = fraction(youngest);
  return numbers;
}
