import type { PlanBlock } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import {
  by,
  type CheckedClass,
  counted,
  exact,
  type Finding,
  isWithin,
  rangeWords,
  SETTING,
  stationsIn,
  whose,
  within,
  yearsOf,
} from './finding.ts';
import { bandAt, type Limits } from './limits.ts';

/** Is each stretch held as long as is usual at the class's age? */
export function checkHolds({
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
  const held = stationsIn(blocks)
    .filter(({ block }) => block.activity === 'stretches')
    .flatMap(({ station, where }) =>
      station.steps.flatMap(({ dose, drillIds }, k) =>
        dose.unit === 'seconds' && dose.amount !== null
          ? [
              {
                seconds: dose.amount,
                where: {
                  pointer: `${where.pointer}/steps/${k}`,
                  names: [...where.names, drills.get(drillIds[0] ?? '')?.name ?? ''],
                },
              },
            ]
          : [],
      ),
    );
  return held.flatMap(({ seconds, where }) => {
    const odd = classes.flatMap((one) => {
      const years = yearsOf(one);
      const usual = years === null ? null : bandAt(limits, years).holdSeconds;
      return usual === null || isWithin(usual, seconds) ? [] : [{ one, usual }];
    });
    return by(odd, ({ usual }) => rangeWords(usual)).flatMap((alike): Finding[] => {
      const [first] = alike;
      if (!first) return [];
      const ours = alike.map(({ one }) => one);
      return [
        {
          check: 'holds',
          about: 'hold',
          severity: 'warn',
          where: [where],
          number: exact(seconds),
          limit: within(first.usual),
          unit: 'seconds',
          limitFrom: 'setting',
          source: SETTING,
          classes: ours,
          sentence: `“${where.names.at(-1)}” is held ${counted(seconds, 'second')}; ${rangeWords(first.usual)} are usual at this age: ${whose(ours)}.`,
        },
      ];
    });
  });
}
