import { aFloor } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { planWithdrawn } from './plan-withdrawn.ts';

describeCheck(planWithdrawn, {
  passes: {
    'a plan that stands': aFloor({ athletes: 8, coaches: 1 }),
  },
  breaks: {
    'a plan withdrawn before anybody is enrolled': [aFloor({ planWithdrawn: true }), { short: '1' }],
    'a plan withdrawn for safety': [
      aFloor({ athletes: 1, coaches: 1, planWithdrawn: true }),
      { short: '1', subjects: ['beam'] },
    ],
  },
});
