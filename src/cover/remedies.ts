import { candidates } from './candidates.ts';
import { narrowed } from './narrow.ts';
import { afterTrying, isSameKind, type Tried, toTry, windowOf } from './trying.ts';
import type { Change, Finding, Floor, Id, Span } from './types.ts';
import { lostUnits } from './uncovered.ts';

const OFFERED = { move: 8, swap: 4, step: 2, merge: 2, admit: 1 };

/**
 * Changes that would clear a finding of this floor, best first: somebody free, somebody from elsewhere, a swap, an easier
 * drill, a merged group, an admission cap. Each was applied and judged again: the finding is gone, no unit is uncovered
 * that was covered, and everybody who was placed is admissible. Empty where nothing of the kind helps.
 */
export function remedies(floor: Floor, finding: Finding): Change[] {
  const span = windowOf(floor, finding);
  const near = toTry(narrowed(floor, span));
  const whole = () => (wide ??= toTry(narrowed(floor, sessionSpan(floor, finding))));
  let wide: Tried | undefined;
  const offered = { move: 0, swap: 0, step: 0, merge: 0, admit: 0 };
  const placed = new Set<Id>();

  return candidates(near.floor, finding).filter((change) => {
    const kind = kindOf(change);
    const person = 'move' in change ? change.move : null;
    if (offered[kind] >= OFFERED[kind] || (person !== null && placed.has(person))) return false;
    if (!clears('merge' in change ? whole() : near, finding, change)) return false;
    offered[kind] += 1;
    if (person !== null) placed.add(person);
    return true;
  });
}

function kindOf(change: Change): keyof typeof OFFERED {
  if ('move' in change) return 'move';
  if ('swap' in change) return 'swap';
  if ('merge' in change) return 'merge';
  return 'station' in change ? 'step' : 'admit';
}

/** A group joins another for all of their session, so that is what has to hold. */
function sessionSpan({ blocks }: Floor, { unit, span }: Finding): Span {
  const block = blocks.find(({ id }) => unit.per === 'block' && id === unit.id);
  const spans = blocks.filter(({ session }) => session === block?.session).map((one) => one.span);
  return {
    from: Math.min(span.from, ...spans.map(({ from }) => from)),
    to: Math.max(span.to, ...spans.map(({ to }) => to)),
  };
}

function clears(tried: Tried, finding: Finding, change: Change): boolean {
  const after = afterTrying(tried, change);
  if (after === null) return false;
  const isLeft = after.some(({ findings }) => findings.some((one) => isSameKind(one, finding)));
  return !isLeft && lostUnits(tried.reading.covers, after).length === 0;
}
