import { admissible } from './admissible/index.ts';
import { candidates } from './candidates.ts';
import { applyChange } from './change.ts';
import { narrowed } from './narrow.ts';
import { overlaps } from './passes.ts';
import { coverTimeline } from './timeline.ts';
import type { Change, Cover, Finding, Floor, Id, Place, Span } from './types.ts';
import { lostUnits } from './uncovered.ts';

const OFFERED = { move: 8, swap: 4, step: 2, merge: 2, admit: 1 };

/**
 * Changes that would clear a finding of this floor, best first: somebody free, somebody from elsewhere, a swap, an easier
 * drill, a merged group, an admission cap. Each was applied and judged again: the finding is gone, no unit is uncovered
 * that was covered, and everybody who was placed is admissible. Empty where nothing of the kind helps.
 */
export function remedies(floor: Floor, finding: Finding): Change[] {
  const span = windowOf(floor, finding);
  const near = narrowed(floor, span);
  const before = coverTimeline(near);
  const offered = { move: 0, swap: 0, step: 0, merge: 0, admit: 0 };
  const placed = new Set<Id>();

  return candidates(near, finding).filter((change) => {
    const kind = kindOf(change);
    const person = 'move' in change ? change.move : null;
    if (offered[kind] >= OFFERED[kind] || (person !== null && placed.has(person))) return false;
    if (!clears(near, before, finding, change)) return false;
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

function clears(floor: Floor, before: Cover[], finding: Finding, change: Change): boolean {
  const after = applyChange(floor, change);
  if (!placings(after, change).every(({ person, place }) => admissible(after, person, place).length === 0))
    return false;
  const covers = coverTimeline(after);
  return !covers.some((cover) => stillHas(cover, finding)) && lostUnits(before, covers).length === 0;
}

function stillHas({ unit, findings }: Cover, finding: Finding): boolean {
  return (
    unit.per === finding.unit.per &&
    unit.id === finding.unit.id &&
    findings.some(
      (one) =>
        one.code === finding.code &&
        one.rule === finding.rule &&
        one.override === null &&
        overlaps(one.span, finding.span),
    )
  );
}

/** Everybody whom a change puts somewhere, and where. */
function placings(after: Floor, change: Change): { person: Id; place: Place }[] {
  if ('move' in change) return [{ person: change.move, place: change.to }];
  const people = 'swap' in change ? change.swap : 'merge' in change ? staffAt(after, change.merge[0]) : [];
  const span = 'swap' in change ? change.span : after.over;
  return people.flatMap((person) => {
    const places = after.staff.find((one) => one.person === person)?.at ?? [];
    return places.filter((place) => overlaps(place.span, span)).map((place) => ({ person, place }));
  });
}

function staffAt({ staff }: Floor, block: Id): Id[] {
  return staff
    .filter(({ at }) => at.some(({ unit }) => unit.per === 'block' && unit.id === block))
    .map(({ person }) => person);
}

/** The time that a change may touch: the finding's, and of a block the whole block. */
function windowOf(floor: Floor, { unit, span }: Finding): Span {
  const block = unit.per === 'block' ? floor.blocks.find(({ id }) => id === unit.id) : undefined;
  return block?.span ?? span;
}
