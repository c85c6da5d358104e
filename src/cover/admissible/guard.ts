import { type Hall, openHall } from '../hall.ts';
import { failing, overlaps, passes } from '../passes.ts';
import type { Moment, OnDuty } from '../scene.ts';
import { blockSpot, changesAt, changesOf, momentsOf, openSpot } from '../slices.ts';
import type { Floor, Place, Refusal, Span, Staff, Test } from '../types.ts';

/** What a guard looks at: somebody, and the place that they have or are to have. */
export type Placing = { floor: Floor; staff: Staff; place: Place; unmet: Unmet[] };

/** Something that no cover can excuse. */
export type Guard = { why: Refusal['why']; refuse: (placing: Placing) => Refusal[] };

/** A part of what a duty asks that somebody does not meet, and when. */
export type Unmet = { test: Test; span: Span };

/** What the duty asks and the person does not meet at some moment of the place, each part once. */
export function unmetBy(floor: Floor, staff: Staff, place: Place): Unmet[] {
  const asked = floor.duties.filter(({ duty }) => duty === place.duty).map(({ who }) => who);
  if (asked.length === 0) return [];
  const found = new Map<Test, Span>();
  for (const { one, moment } of standing(floor, staff, place)) {
    for (const test of asked.flatMap((who) => failures(who, one, moment))) {
      const before = found.get(test);
      found.set(test, { from: before?.from ?? moment.span.from, to: moment.span.to });
    }
  }
  return [...found].map(([test, span]) => ({ test, span }));
}

/** Every part of a test that fails, rather than only the first. */
function failures(test: Test, one: OnDuty, moment: Moment): Test[] {
  if (test.test === 'all') return test.of.flatMap((part) => failures(part, one, moment));
  if (test.test === 'any' && test.of.length === 1) return test.of.flatMap((part) => failures(part, one, moment));
  return passes(test, one, moment) ? [] : [failing(test, one, moment) as Test];
}

/** The person in their place, moment by moment, with whoever else is there. */
function standing(floor: Floor, staff: Staff, place: Place): { one: OnDuty; moment: Moment }[] {
  const others = floor.staff.filter(({ person }) => person !== staff.person);
  const hall = openHall({ ...floor, over: place.span, staff: [...others, { ...staff, at: [place] }] });
  return momentsOf(hall, place.unit, place.span, changesIn(hall, place)).map((moment) => {
    const spot = spotOf(hall, place, moment);
    return { moment, one: { staff, duty: place.duty, spot } };
  });
}

function changesIn(hall: Hall, { unit }: Place): readonly Span[] {
  if (unit.per === 'block') {
    const block = blockOf(hall, unit.id);
    return changesAt(block, hall.sessions.get(block.block.session)?.overseers ?? []);
  }
  return unit.per === 'session' ? changesOf(hall.sessions.get(unit.id)?.overseers ?? []) : changesOf(hall.floaters);
}

function spotOf(hall: Hall, { unit }: Place, moment: Moment): OnDuty['spot'] {
  if (unit.per === 'block') {
    const place = blockOf(hall, unit.id);
    return blockSpot(hall, place, hall.sessions.get(place.block.session)?.overseers ?? [], moment);
  }
  const session = hall.sessions.get(unit.id);
  const blocks = unit.per === 'session' ? (session?.blocks ?? []) : [...hall.blocks.values()];
  const waiting = unit.per === 'session' ? [] : hall.waiting;
  const spot = openSpot(unit, unit.per === 'session' ? (session?.overseers ?? []) : hall.floaters, waiting, moment);
  const seats = [...blocks.flatMap((place) => place.seats), ...waiting];
  spot.watched = seats.filter(({ span }) => overlaps(span, moment.span)).map(({ athlete }) => athlete);
  return spot;
}

function blockOf(hall: Hall, id: string) {
  const place = hall.blocks.get(id);
  if (place === undefined)
    throw new RangeError(`Block "${id}" is not on the floor during that place: add it to floor.blocks`);
  return place;
}
