import { candidates } from './candidates.ts';
import { compare, ZERO } from './fraction.ts';
import { keyOf } from './hall.ts';
import { narrowed } from './narrow.ts';
import { overlaps } from './passes.ts';
import { afterTrying, isSameKind, toTry, windowOf } from './trying.ts';
import type { Cover, Finding, FirstStep, Floor, Id } from './types.ts';
import { isUncovering } from './uncovered.ts';

const OFFERED = 4;

/**
 * For a finding that no single move clears: the moves that make its shortfall strictly smaller all through its span, those
 * that leave least first, then as `remedies` ranks; one a person. Each was applied and judged again: whoever moves is
 * admissible, and no finding that uncovers is new or grew. Empty where a move clears it, or where none helps.
 */
export function firstSteps(floor: Floor, finding: Finding): FirstStep[] {
  const near = toTry(narrowed(floor, windowOf(floor, finding)));
  const before = near.reading.covers;
  const was = worst(before, finding)?.short ?? ZERO;
  const steps: (FirstStep & { person: Id })[] = [];

  for (const change of candidates(near.floor, finding)) {
    if (!('move' in change)) continue;
    const after = afterTrying(near, change);
    if (after === null || !isNoWorse(before, after)) continue;
    const still = worst(after, finding);
    if (still === null) return [];
    if (compare(still.short, was) < 0) steps.push({ person: change.move, change, still });
  }

  steps.sort((a, b) => compare(a.still.short, b.still.short));
  const moved = new Set<Id>();
  const best = steps.filter(({ person }) => !moved.has(person) && moved.add(person));
  return best.slice(0, OFFERED).map(({ change, still }) => ({ change, still }));
}

/** The largest finding of a kind. */
function worst(covers: Cover[], finding: Finding): Finding | null {
  const found = covers.flatMap(({ findings }) => findings.filter((one) => isSameKind(one, finding)));
  return found.reduce<Finding | null>((a, b) => (a === null || compare(b.short, a.short) > 0 ? b : a), null);
}

/** Whether nothing uncovers more than it did, at any time: nobody is taken from where they are needed, covered or not. */
function isNoWorse(before: Cover[], after: Cover[]): boolean {
  const uncovering = after.flatMap(({ findings }) => findings.filter(isUncovering));
  return uncovering.every((one) => {
    const then = before.filter(({ unit, span }) => keyOf(unit) === keyOf(one.unit) && overlaps(span, one.span));
    return then.every((cover) => compare(one.short, worst([cover], one)?.short ?? ZERO) <= 0);
  });
}
