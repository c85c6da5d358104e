import { compare, dividedBy, floorOf, fraction, sum, times } from '../../../cover/index.ts';
import type { PlanBlock } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { secondsLeft, setUpSecondsOf } from './changeover.ts';
import { atLeast, type CheckedClass, exact, type Finding, groupSize, whose } from './finding.ts';
import type { Limits } from './limits.ts';
import { activeShare } from './waiting.ts';

/**
 * Of lessons in physical education, not of gymnastics: a yardstick, no rule. The target is that of the US CDC and the
 * UK afPE; the measured shares are those of a review in the International Journal of Behavioral Nutrition and Physical
 * Activity, 2017: all lessons, and those measured by accelerometer.
 */
export const PUBLISHED_ACTIVITY = { targetPercent: 50, measuredPercent: 40.5, accelerometerPercent: 34.7 } as const;

const { targetPercent, measuredPercent, accelerometerPercent } = PUBLISHED_ACTIVITY;
const SOURCE = `Share of a physical-education lesson in moderate-to-vigorous activity, not of a gymnastics class: target ${targetPercent} % (US CDC; UK afPE); measured ${measuredPercent} %, by accelerometer ${accelerometerPercent} % (International Journal of Behavioral Nutrition and Physical Activity, 2017).`;

/**
 * How much of its lesson a child is not waiting, changing over or without a plan, against the published target. Not
 * waiting is more than being active, so that whoever is below the target here is well below it.
 */
export function checkActivity({
  blocks,
  drills,
  classes,
  limits,
}: {
  blocks: readonly PlanBlock[];
  drills: ReadonlyMap<string, Drill>;
  classes: readonly CheckedClass[];
  limits: Limits;
}): Finding[] {
  const target = fraction(targetPercent);
  const below = classes.flatMap((one) => {
    const setUp = setUpSecondsOf(one, limits);
    const active = blocks.map((block) =>
      times(fraction(secondsLeft(block, setUp)), activeShare(block, drills, groupSize(one))),
    );
    const percent = dividedBy(times(sum(active), fraction(100)), fraction(one.minutes * 60));
    return blocks.length > 0 && compare(percent, target) < 0 ? [{ one, percent }] : [];
  });
  const [worst] = below.toSorted((a, b) => compare(a.percent, b.percent));
  if (!worst) return [];
  const ours = below.map(({ one }) => one);
  return [
    {
      check: 'activity',
      about: 'active-share',
      severity: 'warn',
      where: [{ pointer: '/blocks', names: [] }],
      number: exact(floorOf(worst.percent)),
      limit: atLeast(targetPercent),
      unit: 'percent',
      limitFrom: 'published',
      source: SOURCE,
      classes: ours,
      sentence: `A child is on its turn for ${floorOf(worst.percent)} % of the lesson at the least: ${whose(ours)}. ${targetPercent} % is a target published for physical education, where ${accelerometerPercent} to ${measuredPercent} % were measured.`,
    },
  ];
}
