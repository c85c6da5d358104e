import { fraction } from '../fraction.ts';
import { lackOf, type RuleCheck, subjectsOf } from './check.ts';

/** A rule with bands allows only athletes of its bands. */
export const noBand: RuleCheck = {
  code: 'no-band',
  check({ rule, heads }) {
    if (rule.bands.length === 0) return [];
    const bandless = heads.filter(({ band }) => band === -1).map(({ athlete }) => athlete.person);
    if (bandless.length === 0) return [];
    return [
      lackOf(bandless.length, {
        numbers: { heads: fraction(bandless.length) },
        subjects: subjectsOf('athlete', bandless),
      }),
    ];
  },
};
