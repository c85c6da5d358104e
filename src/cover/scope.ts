import { holdsDays } from './day.ts';
import type { Block, Day, Rule, Scope } from './types.ts';

/** Whether a rule is about a block: inside its scope, outside its exceptions. Of each word named, one shared id is enough. */
export function isAbout({ scope, except }: Rule, block: Block): boolean {
  return fits(scope, block) && !(except !== null && !isUnscoped(except) && fits(except, block));
}

/** Whether a scope names nothing, so that it holds everywhere. */
export function isUnscoped(scope: Scope): boolean {
  return Object.values(scope).every((ids) => ids === undefined);
}

export const isInForce = (rule: Rule, day: Day): boolean => holdsDays(rule.inForce, day, day);

function fits({ programme, level, apparatus, activity, area }: Scope, block: Block): boolean {
  return (
    (programme === undefined || share(programme, block.programmes)) &&
    (level === undefined || share(level, block.levels)) &&
    (activity === undefined || activity.includes(block.activity)) &&
    (area === undefined || share(area, block.areas)) &&
    (apparatus === undefined || block.stations.some((station) => apparatus.includes(station.apparatus)))
  );
}

const share = (some: readonly string[], others: readonly string[]): boolean => others.some((id) => some.includes(id));
