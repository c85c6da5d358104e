import { aFloor } from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { planWithdrawn } from './plan-withdrawn.ts';

describeCheck(planWithdrawn, {
  passes: {
    'a plan that stands': aFloor({ athletes: 8, coaches: 1 }),
    'meaning 23: nobody to teach it to': aFloor({ planWithdrawn: true }),
  },
  breaks: {
    'a plan withdrawn for safety': [aFloor({ athletes: 1, coaches: 1, planWithdrawn: true }), { short: '1', subjects: ['beam'] }],
  },
});
