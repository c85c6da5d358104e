import { fraction } from '../fraction.ts';
import { lackOf, type PlaceCheck, subjectsOf } from './check.ts';

/** A child who has one-to-one support has one of their helpers beside them, and each helper helps one child. */
export const support: PlaceCheck = {
  code: 'support',
  check({ athletes, helped }) {
    const alone = athletes.filter((one) => one.support !== null && !helped.has(one.person)).map(({ person }) => person);
    if (alone.length === 0) return [];
    return [
      lackOf(alone.length, { numbers: { heads: fraction(alone.length) }, subjects: subjectsOf('athlete', alone) }),
    ];
  },
};
