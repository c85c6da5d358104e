import { fraction } from '../fraction.ts';
import { lackOf, type RuleCheck, subjectsOf } from './check.ts';

/** Every trainee has a supervisor in sight who still has a place for them. */
export const supervision: RuleCheck = {
  code: 'supervision',
  check({ rule, trainees: { all, unplaced } }) {
    const [entry] = rule.supervision;
    if (entry === undefined || unplaced.length === 0) return [];
    const numbers = { heads: fraction(all.length), most: fraction(all.length - unplaced.length) };
    return [lackOf(unplaced.length, { numbers, subjects: subjectsOf('staff', unplaced), failed: entry.supervisor })];
  },
};
