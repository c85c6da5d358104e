import type { PlanBlock } from '../plan-content-schema.ts';
import { atMost, by, type CheckedClass, counted, exact, type Finding, SETTING, whose } from './finding.ts';
import type { Limits } from './limits.ts';

interface Watered {
  blocks: readonly PlanBlock[];
  classes: readonly CheckedClass[];
  limits: Limits;
}

/**
 * How long does a class go without water: from its start, or from a drink, to the next drink or its end? With the blocks
 * in the plan's order; groups that pass them in another may drink earlier or later.
 */
export function checkWater({ blocks, classes, limits: { waterEveryMinutes: most } }: Watered): Finding[] {
  if (blocks.length === 0) return [];
  const dry = classes.flatMap((one) => {
    const longest = longestWithout(blocks, one.minutes);
    return longest > most ? [{ one, longest }] : [];
  });
  return by(dry, ({ longest }) => String(longest)).map((alike): Finding => {
    const longest = alike[0]?.longest ?? 0;
    const ours = alike.map(({ one }) => one);
    return {
      check: 'time',
      about: 'water',
      severity: 'warn',
      where: [{ pointer: '/blocks', names: [] }],
      number: exact(longest),
      limit: atMost(most),
      unit: 'minutes',
      limitFrom: 'setting',
      source: SETTING,
      classes: ours,
      sentence: `${counted(longest, 'minute')} without water; at most ${most} are usual: ${whose(ours)}. Say before which block everybody drinks.`,
    };
  });
}

/** In minutes of a lesson that lasts so many. */
function longestWithout(blocks: readonly PlanBlock[], lasts: number): number {
  let [now, drunk, longest] = [0, 0, 0];
  for (const { minutes, waterFirst } of blocks) {
    if (now >= lasts) break;
    if (waterFirst) {
      longest = Math.max(longest, now - drunk);
      drunk = now;
    }
    now += minutes;
  }
  return Math.max(longest, lasts - drunk);
}
