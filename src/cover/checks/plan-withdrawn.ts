import { lackOf, type PlaceCheck, subjectsOf } from './check.ts';

/** A plan withdrawn for safety is not taught: no block of it is covered, not even before anybody is enrolled. */
export const planWithdrawn: PlaceCheck = {
  code: 'plan-withdrawn',
  check({ block }) {
    return block?.planWithdrawn ? [lackOf(1, { subjects: subjectsOf('block', [block.id]) })] : [];
  },
};
