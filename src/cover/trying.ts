import { admissible } from './admissible/index.ts';
import { applyChange } from './change.ts';
import { overlaps } from './passes.ts';
import { type FloorReading, readFloor } from './timeline.ts';
import type { Change, Cover, Finding, Floor, Id, Place, Span } from './types.ts';

/** A floor to try changes on, with its cover. */
export type Tried = { floor: Floor; reading: FloorReading };

export const toTry = (floor: Floor): Tried => ({ floor, reading: readFloor(floor) });

/** The cover of a floor after a change; null where somebody whom it places may not be there. */
export function afterTrying({ floor, reading }: Tried, change: Change): Cover[] | null {
  const after = applyChange(floor, change);
  const mayBeThere = placings(after, change).every(
    ({ person, place }) => admissible(after, person, place).length === 0,
  );
  return mayBeThere ? reading.again(after).covers : null;
}

/** Whether one finding is what another is about, at a time of its span, and not accepted by name. */
export function isSameKind(one: Finding, finding: Finding): boolean {
  return (
    one.unit.per === finding.unit.per &&
    one.unit.id === finding.unit.id &&
    one.code === finding.code &&
    one.rule === finding.rule &&
    one.override === null &&
    overlaps(one.span, finding.span)
  );
}

/**
 * The time that a change may touch: the finding's, and of a block the whole block. What a session or the premises lack can
 * be mended at one of their blocks, for all of it: the time of every block that runs meanwhile.
 */
export function windowOf(floor: Floor, { unit, span }: Finding): Span {
  const spans = floor.blocks
    .filter((block) => (unit.per === 'block' ? block.id === unit.id : overlaps(block.span, span)))
    .filter(({ session }) => unit.per !== 'session' || session === unit.id)
    .map((block) => block.span);
  return {
    from: Math.min(span.from, ...spans.map(({ from }) => from)),
    to: Math.max(span.to, ...spans.map(({ to }) => to)),
  };
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
