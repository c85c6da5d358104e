import { localDay } from './day.ts';
import { type BlockPlace, common, type Hall, keyOf, midnights, type Post, type Seat } from './hall.ts';
import { type Moment, NOBODY, type OnDuty, type Spot } from './scene.ts';
import type { Athlete, Span, Unit } from './types.ts';

/** One unit cut into moments: the edges inside its span at which something that a check may ask can change. */
export function momentsOf(hall: Hall, unit: Unit, span: Span, changes: readonly Span[]): Moment[] {
  const edges = new Set<number>();
  for (const change of changes) addEdges(edges, span, change);
  for (const override of hall.overrides.get(keyOf(unit)) ?? []) addEdges(edges, span, override.span);
  for (const at of midnights(hall, span)) edges.add(at);
  if (edges.size === 0) return [momentAt(hall, span)];
  const cuts = [span.from, ...[...edges].sort((a, b) => a - b), span.to];
  return cuts.slice(1).map((to, i) => momentAt(hall, { from: cuts[i] as number, to }));
}

function addEdges(edges: Set<number>, { from, to }: Span, change: Span): void {
  if (from < change.from && change.from < to) edges.add(change.from);
  if (from < change.to && change.to < to) edges.add(change.to);
}

/** Everything about a block that can change inside its span. */
export function changesAt({ block, seats, posts, enrolled }: BlockPlace, overseers: readonly Post[]): Span[] {
  const changes = changesAmong(seats);
  for (const { athlete } of enrolled) addTraits(changes, athlete); // who can govern without being there
  addPosts(changes, posts);
  addPosts(changes, overseers);
  for (const { span } of block.stations) changes.push(span);
  return changes;
}

export function changesOf(posts: readonly Post[]): Span[] {
  const changes: Span[] = [];
  addPosts(changes, posts);
  return changes;
}

export function changesAmong(seats: readonly Seat[]): Span[] {
  const changes: Span[] = [];
  for (const { athlete, span } of seats) {
    changes.push(span);
    addTraits(changes, athlete);
  }
  return changes;
}

function addPosts(changes: Span[], posts: readonly Post[]): void {
  for (const { staff, place } of posts) changes.push(place.span, ...staff.takingPart);
}

function addTraits(changes: Span[], { traits }: Athlete): void {
  for (const { spans } of traits) if (spans !== null) changes.push(...spans);
}

/** A block as it stands at a moment. */
export function blockSpot(
  hall: Hall,
  { block, seats, posts }: BlockPlace,
  overseers: readonly Post[],
  moment: Moment,
): Spot {
  const { zone } = hall.floor;
  const days = { first: localDay(zone, block.span.from), last: localDay(zone, block.span.to - 1) };
  const spot = emptySpot({ per: 'block', id: block.id }, days, seatedIn(seats, moment));
  spot.block = block;
  spot.staff = staffIn(posts, spot, moment);
  if (overseers.length > 0) {
    const above = emptySpot({ per: 'session', id: block.session }, days, []);
    above.watched = spot.athletes;
    above.staff = staffIn(overseers, above, moment);
    spot.overseers = above.staff;
  }
  return spot;
}

/** Those who stand at no block: the overseers of a session, or the premises with whoever waits there. */
export function openSpot(unit: Unit, posts: readonly Post[], waiting: readonly Seat[], moment: Moment): Spot {
  const spot = emptySpot(unit, { first: moment.day, last: moment.day }, seatedIn(waiting, moment));
  spot.staff = staffIn(posts, spot, moment);
  return spot;
}

function momentAt({ floor }: Hall, span: Span): Moment {
  return { span, day: localDay(floor.zone, span.from), leapDay: floor.leapDay, ages: new Map(), young: [] };
}

function emptySpot(unit: Unit, days: Spot['days'], seated: readonly Seat[]): Spot {
  const athletes = seated.map(({ athlete }) => athlete);
  const categories = new Map<Athlete, string>();
  for (const { athlete, category } of seated) if (category !== null) categories.set(athlete, category);
  const nobody = { helped: NOBODY, helpers: NOBODY, handsOn: NOBODY };
  return { unit, block: null, days, athletes, categories, watched: athletes, staff: [], overseers: [], ...nobody };
}

/** Seats of one athlete stand side by side, so that somebody seated twice is found by looking at the last. */
function seatedIn(seats: readonly Seat[], { span }: Moment): Seat[] {
  const found: Seat[] = [];
  for (const seat of seats) {
    if (common(seat.span, span) !== null && found.at(-1)?.athlete !== seat.athlete) found.push(seat);
  }
  return found;
}

function staffIn(posts: readonly Post[], spot: Spot, { span }: Moment): OnDuty[] {
  const found: OnDuty[] = [];
  for (const { staff, place } of posts) {
    if (common(place.span, span) === null || found.at(-1)?.staff === staff) continue;
    found.push({ staff, duty: place.duty, spot });
  }
  return found;
}
