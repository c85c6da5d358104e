import { overlaps } from './passes.ts';
import type { Floor, Span } from './types.ts';

/**
 * The floor as far as a span is concerned. Staff keep all their places, which can be in the way of others, and all blocks
 * stay: what somebody came for can be over.
 */
export function narrowed(floor: Floor, span: Span): Floor {
  return {
    ...floor,
    over: span,
    athletes: floor.athletes.filter(
      ({ at, enrolled }) => enrolled.length > 0 || at.some((place) => overlaps(place.span, span)),
    ),
  };
}
