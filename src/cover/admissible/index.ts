import type { Floor, Id, Place, Refusal } from '../types.ts';
import { absent } from './absent.ts';
import { employed } from './employed.ts';
import { type Guard, unmetBy } from './guard.ts';
import { ofAge } from './of-age.ts';
import { onePlace } from './one-place.ts';
import { qualified } from './qualified.ts';

const guards: readonly Guard[] = [onePlace, absent, employed, ofAge, qualified];

/**
 * Why somebody may not have a place, whatever the cover; empty when they may. The place may be on the floor already or
 * not: it is never in its own way. Throws a RangeError on a person or a block that is not on the floor.
 */
export function admissible(floor: Floor, person: Id, place: Place): Refusal[] {
  const staff = floor.staff.find((one) => one.person === person);
  if (staff === undefined) throw new RangeError(`"${person}" is not on the floor's staff: add them to floor.staff`);
  const placing = { floor, staff, place, unmet: unmetBy(floor, staff, place) };
  return guards.flatMap(({ refuse }) => refuse(placing));
}
