import { localDay, midnightsIn } from './day.ts';
import { overlaps } from './passes.ts';
import type { Enrolled } from './scene.ts';
import { isAbout, isInForce, isUnscoped } from './scope.ts';
import type { Athlete, Block, Day, Floor, Id, Override, Place, Rule, Span, Staff, Unit } from './types.ts';

export type Seat = { athlete: Athlete; span: Span; category: string | null };
export type Post = { staff: Staff; place: Place };
export type BlockPlace = { block: Block; span: Span; seats: Seat[]; posts: Post[]; enrolled: Enrolled[] };
/** `blocks` are those in view; `known` all that are on the floor, by which a rule knows whom it is about. */
export type SessionPlace = { id: Id; blocks: BlockPlace[]; known: Block[]; overseers: Post[] };

/** A floor, sorted by who stands where, so that no unit has to look at everybody. */
export type Hall = {
  floor: Floor;
  blocks: Map<Id, BlockPlace>;
  sessions: Map<Id, SessionPlace>;
  waiting: Seat[]; // on the premises, at no block
  floaters: Post[];
  overrides: Map<string, Override[]>;
};

export const keyOf = ({ per, id }: Unit): string => `${per} ${id}`;

/** Sorts a floor. What doesn't meet `floor.over` is left out, and units are cut to it. */
export function openHall(floor: Floor): Hall {
  const hall: Hall = { floor, blocks: new Map(), sessions: new Map(), waiting: [], floaters: [], overrides: new Map() };
  for (const block of floor.blocks) addBlock(hall, block);
  for (const athlete of floor.athletes) seat(hall, athlete);
  const staff = floor.staff.length < 2 ? floor.staff : [...floor.staff].sort((a, b) => (a.person < b.person ? -1 : 1));
  for (const one of staff) post(hall, one);
  for (const override of floor.overrides) {
    const key = keyOf(override.unit);
    hall.overrides.set(key, [...(hall.overrides.get(key) ?? []), override]);
  }
  return hall;
}

/** The rules of one kind in force on a day. */
export function rulesPer(hall: Hall, per: Unit['per'], day: Day): Rule[] {
  return hall.floor.rules.filter((rule) => rule.per === per && isInForce(rule, day));
}

export function rulesAbout(hall: Hall, block: Block, day: Day): Rule[] {
  return rulesPer(hall, 'block', day).filter((rule) => isAbout(rule, block));
}

/** Whether a rule counts somebody who waits on the premises: by the blocks that they are enrolled in, if any. */
export function isAboutWaiting({ floor }: Hall, rule: Rule, { enrolled }: Athlete): boolean {
  const came = floor.blocks.filter(({ id }) => enrolled.some(({ block }) => block === id));
  return came.length === 0 ? isUnscoped(rule.scope) : came.some((block) => isAbout(rule, block));
}

/** The instants strictly inside a span at which a local day begins. */
export function midnights({ floor }: Hall, span: Span): number[] {
  return localDay(floor.zone, span.from) === localDay(floor.zone, span.to - 1) ? [] : midnightsIn(floor.zone, span);
}

/** The part of a span that lies in another, null for none. */
export function common(a: Span, b: Span): Span | null {
  return overlaps(a, b) ? { from: Math.max(a.from, b.from), to: Math.min(a.to, b.to) } : null;
}

function addBlock(hall: Hall, block: Block): void {
  const session = hall.sessions.get(block.session) ?? { id: block.session, blocks: [], known: [], overseers: [] };
  hall.sessions.set(block.session, session);
  session.known.push(block);
  const span = common(block.span, hall.floor.over);
  if (span === null) return;
  const place: BlockPlace = { block, span, seats: [], posts: [], enrolled: [] };
  hall.blocks.set(block.id, place);
  session.blocks.push(place);
}

function seat(hall: Hall, athlete: Athlete): void {
  for (const { unit, span, category } of athlete.at) {
    if (unit.per === 'block') {
      const place = hall.blocks.get(unit.id);
      if (place !== undefined && overlaps(span, place.span)) place.seats.push({ athlete, span, category });
    } else if (unit.per === 'premises' && overlaps(span, hall.floor.over))
      hall.waiting.push({ athlete, span, category });
  }
  for (const { block, category } of athlete.enrolled) hall.blocks.get(block)?.enrolled.push({ athlete, category });
}

function post(hall: Hall, staff: Staff): void {
  for (const place of staff.at) {
    const one = { staff, place };
    if (place.unit.per === 'block') {
      const at = hall.blocks.get(place.unit.id);
      if (at !== undefined && overlaps(place.span, at.span)) at.posts.push(one);
    } else if (place.unit.per === 'session') {
      if (overlaps(place.span, hall.floor.over)) hall.sessions.get(place.unit.id)?.overseers.push(one);
    } else if (overlaps(place.span, hall.floor.over)) hall.floaters.push(one);
  }
}
