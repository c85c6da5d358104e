import { common } from '../hall.ts';
import type { Place, Span } from '../types.ts';
import type { Guard } from './guard.ts';

/** Nobody is in two places at once; other gyms, and the way there, count. */
export const onePlace: Guard = {
  why: 'two-places',
  refuse({ staff, place }) {
    const own = staff.at.findIndex((one) => isSame(one, place));
    const others: Span[] = staff.at.filter((_, i) => i !== own).map(({ span }) => span);
    return [...others, ...staff.elsewhere].flatMap((span) => {
      const both = common(span, place.span);
      return both === null ? [] : [{ why: 'two-places' as const, span: both, failed: null }];
    });
  },
};

function isSame(a: Place, b: Place): boolean {
  return (
    a.unit.per === b.unit.per &&
    a.unit.id === b.unit.id &&
    a.duty === b.duty &&
    a.span.from === b.span.from &&
    a.span.to === b.span.to
  );
}
