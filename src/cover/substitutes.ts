import { admissible } from './admissible/index.ts';
import { applyChange } from './change.ts';
import { stoppedAt } from './headroom.ts';
import { narrowed } from './narrow.ts';
import { overlaps } from './passes.ts';
import { coverOf } from './timeline.ts';
import type { Finding, Floor, Id, Place, Staff } from './types.ts';
import { isUncovering } from './uncovered.ts';

/** Somebody who may take a place; `isEnough`: its unit is then covered. `isThere`: they are in the building that day. */
export type Substitute = { person: Id; isEnough: boolean; isThere: boolean };

/**
 * Who could take a place that somebody gave up: free, employed, qualified and of age for it, and not away. Those who are
 * enough come first, then those who are in the building that day anyhow, then by ids.
 */
export function substitutes(floor: Floor, place: Place): Substitute[] {
  return floor.staff
    .filter(({ at }) => !at.some(({ span }) => overlaps(span, place.span)))
    .filter(({ person }) => admissible(floor, person, place).length === 0)
    .map((one) => ({
      person: one.person,
      isEnough: missingWith(floor, one.person, place).length === 0,
      isThere: isThere(floor, one),
    }))
    .sort((a, b) => rank(a) - rank(b) || (a.person < b.person ? -1 : 1));
}

const rank = ({ isEnough, isThere }: Substitute): number => (isEnough ? 0 : 2) + (isThere ? 0 : 1);

const isThere = (floor: Floor, { at }: Staff): boolean => at.some(({ span }) => overlaps(span, floor.over));

/** What a place's unit still lacks when somebody takes it: of a block, its session and the premises included. */
export function missingWith(floor: Floor, person: Id, place: Place): Finding[] {
  const after = applyChange(floor, { move: person, to: place });
  const { unit, span } = place;
  if (unit.per === 'block') {
    const blocks = after.blocks.map((block) => (block.id === unit.id ? { ...block, confirmed: true } : block));
    return stoppedAt({ ...after, blocks }, [unit.id]).flatMap(({ findings }) => findings);
  }
  return coverOf(narrowed(after, span), unit).flatMap(({ findings }) => findings.filter(isUncovering));
}
