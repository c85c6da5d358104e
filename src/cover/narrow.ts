import { overlaps } from './passes.ts';
import type { Floor, Span } from './types.ts';

/**
 * The floor as far as a span is concerned. Staff keep all their places, which can be in the way of others. While somebody
 * waits on the premises all blocks stay: what they came for can be over. So do those of a session while somebody oversees
 * it: between them, that is what a rule knows the overseer by.
 */
export function narrowed(floor: Floor, span: Span): Floor {
  const isNear = (place: { span: Span }) => overlaps(place.span, span);
  if (floor.athletes.some(({ at }) => at.some((place) => place.unit.per === 'premises' && isNear(place)))) {
    return {
      ...floor,
      over: span,
      athletes: floor.athletes.filter(({ at, enrolled }) => enrolled.length > 0 || at.some(isNear)),
    };
  }
  const overseen = new Set(
    floor.staff.flatMap(({ at }) =>
      at.filter((place) => place.unit.per === 'session' && isNear(place)).map(({ unit }) => unit.id),
    ),
  );
  const blocks = floor.blocks.filter((block) => isNear(block) || overseen.has(block.session));
  const ids = new Set(blocks.map(({ id }) => id));
  return {
    ...floor,
    over: span,
    blocks,
    athletes: floor.athletes.filter(
      ({ at, enrolled }) => at.some(isNear) || enrolled.some(({ block }) => ids.has(block)),
    ),
  };
}
