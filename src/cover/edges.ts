import { midnightsIn } from './day.ts';
import type { Cover, Floor, Id, Place, Span, Unit } from './types.ts';

/** Why something may change at a moment. */
export type EdgeCode =
  | 'day-begins'
  | 'block-starts'
  | 'block-ends'
  | 'station-starts'
  | 'station-ends'
  | 'staff-come'
  | 'staff-go'
  | 'break-starts'
  | 'break-ends'
  | 'takes-part-from'
  | 'takes-part-until'
  | 'athlete-comes'
  | 'athlete-goes'
  | 'trait-starts'
  | 'trait-ends'
  | 'override-starts'
  | 'override-ends';
export type Edge = {
  at: number;
  code: EdgeCode;
  subject: { what: 'athlete' | 'staff' | 'station' | 'block' | 'override' | 'day'; id: Id };
};

/**
 * Everything that begins or ends in a unit, by moment: why its cover may be another from then on. A unit that looks at
 * several blocks has the edges of each. Of one person with a gap at one place, the gap is a break.
 */
export function edgesOf(floor: Floor, unit: Unit): Map<number, Edge[]> {
  const found = new Map<number, Edge[]>();
  const add = (at: number, code: EdgeCode, what: Edge['subject']['what'], id: Id) => {
    const there = found.get(at) ?? [];
    if (there.some((one) => one.code === code && one.subject.id === id)) return;
    found.set(at, [...there, { at, code, subject: { what, id } }]);
  };
  const both = ({ from, to }: Span, starts: EdgeCode, ends: EdgeCode, what: Edge['subject']['what'], id: Id) => {
    add(from, starts, what, id);
    add(to, ends, what, id);
  };

  const blocks = floor.blocks.filter(({ id, session, confirmed }) => {
    if (unit.per === 'block') return id === unit.id;
    return unit.per === 'premises' ? confirmed : session === unit.id;
  });
  const ids = new Set(blocks.map(({ id }) => id));
  const sessions = new Set(blocks.map(({ session }) => session));
  const isIn = (place: { unit: Unit }) => {
    if (place.unit.per === 'block') return ids.has(place.unit.id);
    return place.unit.per === 'session' ? sessions.has(place.unit.id) : unit.per === 'premises';
  };

  for (const { id, span, stations } of blocks) {
    both(span, 'block-starts', 'block-ends', 'block', id);
    for (const station of stations) both(station.span, 'station-starts', 'station-ends', 'station', station.id);
  }
  for (const { person, at, takingPart } of floor.staff) {
    const here = at.filter(isIn);
    for (const place of here) {
      add(place.span.from, wasHereBefore(here, place) ? 'break-ends' : 'staff-come', 'staff', person);
      add(place.span.to, isBackLater(here, place) ? 'break-starts' : 'staff-go', 'staff', person);
    }
    if (here.length > 0)
      for (const span of takingPart) both(span, 'takes-part-from', 'takes-part-until', 'staff', person);
  }
  for (const { person, at, traits, enrolled } of floor.athletes) {
    const here = at.filter(isIn);
    for (const { span } of here) both(span, 'athlete-comes', 'athlete-goes', 'athlete', person);
    if (here.length === 0 && !enrolled.some(({ block }) => ids.has(block))) continue;
    for (const span of traits.flatMap(({ spans }) => spans ?? []))
      both(span, 'trait-starts', 'trait-ends', 'athlete', person);
  }
  for (const { id, unit: about, span } of floor.overrides) {
    const isHere = (about.per === unit.per && about.id === unit.id) || (about.per === 'block' && ids.has(about.id));
    if (isHere) both(span, 'override-starts', 'override-ends', 'override', id);
  }
  for (const at of [floor.over.from, ...midnightsIn(floor.zone, floor.over), floor.over.to])
    add(at, 'day-begins', 'day', unit.id);
  return found;
}

const isSamePlace = (one: Place, other: Place): boolean =>
  one !== other && one.unit.per === other.unit.per && one.unit.id === other.unit.id && one.duty === other.duty;
const wasHereBefore = (places: Place[], place: Place): boolean =>
  places.some((one) => isSamePlace(one, place) && one.span.to < place.span.from);
const isBackLater = (places: Place[], place: Place): boolean =>
  places.some((one) => isSamePlace(one, place) && one.span.from > place.span.to);

/** A stretch of a unit, with why it begins and ends where it does. */
export type Reasoned = { cover: Cover; because: Edge[]; until: Edge[] };

/**
 * The segments of units, as `coverTimeline` gave them, each with the reasons for its edges. Of what begins or ends at an edge,
 * what the block itself does comes first. A segment that is cut by the span that was asked for begins with the day.
 */
export function reasoned(floor: Floor, covers: readonly Cover[]): Reasoned[] {
  const known = new Map<string, Map<number, Edge[]>>();
  return covers.map((cover) => {
    const key = `${cover.unit.per} ${cover.unit.id}`;
    const edges = known.get(key) ?? edgesOf(floor, cover.unit);
    known.set(key, edges);
    const at = (moment: number, code: EdgeCode) =>
      (edges.get(moment) ?? []).filter((edge) => edge.code !== code || edges.get(moment)?.length === 1);
    return { cover, because: at(cover.span.from, 'day-begins'), until: at(cover.span.to, 'day-begins') };
  });
}
