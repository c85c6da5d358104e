import { overlaps } from './passes.ts';
import type { Floor, Span } from './types.ts';

/** The floor as far as a span is concerned. Staff keep all their places: somebody's other places can be in the way. */
export function narrowed(floor: Floor, span: Span): Floor {
  return {
    ...floor,
    over: span,
    blocks: floor.blocks.filter((block) => overlaps(block.span, span)),
    athletes: floor.athletes.filter(
      ({ at, enrolled }) => enrolled.length > 0 || at.some((place) => overlaps(place.span, span)),
    ),
  };
}
