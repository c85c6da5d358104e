import { readFloor } from './timeline.ts';
import type { Floor, Id, Staff, Unit } from './types.ts';
import { lostUnits } from './uncovered.ts';

/**
 * Whose absence would uncover which units (blocks, sessions, the premises) that are covered now. People whose absence
 * changes nothing are left out; those on whom most hangs come first.
 */
export function fragility(floor: Floor): { person: Id; uncovers: Unit[] }[] {
  const reading = readFloor(floor);
  return floor.staff
    .filter(({ at }) => at.length > 0)
    .map((one) => {
      const without = { ...near(floor, one), staff: floor.staff.filter((other) => other !== one) };
      return { person: one.person, uncovers: lostUnits(reading.covers, reading.again(without).covers) };
    })
    .filter(({ uncovers }) => uncovers.length > 0)
    .sort((a, b) => b.uncovers.length - a.uncovers.length || (a.person < b.person ? -1 : 1));
}

/** The sessions that somebody is part of; where rules look at the whole premises, everything. */
function near(floor: Floor, { at }: Staff): Floor {
  if (floor.rules.some(({ per }) => per === 'premises')) return floor;
  const places = new Set(at.map(({ unit }) => unit.id));
  const sessions = new Set(floor.blocks.filter(({ id }) => places.has(id)).map(({ session }) => session));
  return { ...floor, blocks: floor.blocks.filter(({ session }) => sessions.has(session) || places.has(session)) };
}
