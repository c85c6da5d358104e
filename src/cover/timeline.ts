import { arrange } from './arrange.ts';
import {
  type BlockPlace,
  common,
  type Hall,
  isAboutWaiting,
  openHall,
  type Post,
  rulesAbout,
  rulesPer,
  type SessionPlace,
} from './hall.ts';
import { coverAt, merged } from './judge.ts';
import type { Enrolled, Moment, OnDuty, Spot } from './scene.ts';
import { isAbout } from './scope.ts';
import { blockSpot, changesAmong, changesAt, changesOf, momentsOf, openSpot } from './slices.ts';
import type { Athlete, Cover, Floor, Id, Rule, Span, Unit } from './types.ts';
import { viewOf } from './view.ts';

type Slice = { moment: Moment; spot: Spot; cover: Cover };

/** A block as it was read. */
type ReadBlock = { slices: Slice[]; covers: Cover[] };

/** Reads the units of a hall, each once, and only those that are asked for. */
type Reader = {
  hall: Hall;
  block(place: BlockPlace): ReadBlock;
  session(session: SessionPlace): Cover[];
  premises(): Cover[];
};

/** The cover of a floor, and a way to read one that differs from it a little: what nothing has changed for is taken over. */
export type FloorReading = {
  readonly covers: Cover[];
  /** Only of some blocks; and only of their sessions and of the premises. */
  own(blocks: readonly Id[]): Cover[];
  above(blocks: readonly Id[]): Cover[];
  again(floor: Floor): FloorReading;
};

/**
 * Cover of every unit on the floor: each block, each session that has blocks, the premises (their id is the gym's), cut
 * into segments in which nothing changes. Units come in the order of the floor, segments in time; together they fill the
 * part of the unit's span that lies in `floor.over`. A block's own cover says nothing about its session and the premises:
 * ask `uncoveredBlocks`.
 */
export const coverTimeline = (floor: Floor): Cover[] => readFloor(floor).covers;

/** Cover of every unit, as `coverTimeline` gives it, to try changes on: of floors that share what they have in common. */
export const readFloor = (floor: Floor): FloorReading => readingWith(readerOf(floor, null));

function readingWith(reader: Reader): FloorReading {
  const { hall } = reader;
  let covers: Cover[] | null = null;
  return {
    get covers() {
      covers ??= coversOf(reader, [...hall.blocks.values()], [...hall.sessions.values()]);
      return covers;
    },
    own: (ids) => ids.flatMap((id) => coverIf(hall.blocks.get(id), (place) => reader.block(place).covers)),
    above(ids) {
      const sessions = new Set(ids.flatMap((id) => hall.blocks.get(id)?.block.session ?? []));
      return coversOf(
        reader,
        [],
        [...sessions].flatMap((id) => hall.sessions.get(id) ?? []),
      );
    },
    again: (floor) => readingWith(readerOf(floor, reader)),
  };
}

function coversOf(reader: Reader, blocks: readonly BlockPlace[], sessions: readonly SessionPlace[]): Cover[] {
  return [
    ...blocks.flatMap((place) => reader.block(place).covers),
    ...sessions.flatMap((session) => reader.session(session)),
    ...reader.premises(),
  ];
}

/** Cover of one unit, as `coverTimeline` gives it; empty for a unit that is not on the floor. */
export function coverOf(floor: Floor, unit: Unit): Cover[] {
  const reader = readerOf(floor, null);
  const { blocks, sessions } = reader.hall;
  if (unit.per === 'premises') return unit.id === floor.gym ? reader.premises() : [];
  if (unit.per === 'block') return coverIf(blocks.get(unit.id), (place) => reader.block(place).covers);
  return coverIf(sessions.get(unit.id), (session) => reader.session(session));
}

const coverIf = <P>(place: P | undefined, cover: (place: P) => Cover[]): Cover[] =>
  place === undefined ? [] : cover(place);

function readerOf(floor: Floor, before: Reader | null): Reader {
  const hall = openHall(floor);
  const old = before !== null && isSameHouse(before.hall, hall) ? before : null;
  /** The block as it was before, where everything that its cover is read from is the same; of its span, maybe only a part. */
  const unchanged = remembering((place: BlockPlace): BlockPlace | null => {
    const was = old?.hall.blocks.get(place.block.id);
    if (old === null || was === undefined || !isPart(place.span, was.span) || !isSamePlace(was, place)) return null;
    return areSamePosts(overseersOf(old.hall, was), overseersOf(hall, place)) ? was : null;
  });
  const block = remembering((place: BlockPlace): ReadBlock => {
    const was = unchanged(place);
    return old !== null && was !== null ? partOf(old.block(was), was.span, place.span) : newlyRead(hall, place);
  });
  const slices = (place: BlockPlace): Slice[] => block(place).slices;
  const session = remembering((one: SessionPlace): Cover[] => {
    const was = old?.hall.sessions.get(one.id);
    const isSame =
      was !== undefined &&
      was.blocks.length === one.blocks.length &&
      one.blocks.every((place, i) => unchanged(place) === was.blocks[i] && isPart(was.blocks[i]?.span, place.span)) &&
      areSamePosts(was.overseers, one.overseers);
    return old !== null && isSame ? old.session(was) : coverSession(hall, one, slices);
  });
  return { hall, block, session, premises: () => coverPremises(hall, slices) };
}

/** Finds out once what is asked for again. */
function remembering<K extends object, V>(find: (key: K) => V): (key: K) => V {
  const known = new Map<K, V>();
  return (key) => {
    const had = known.get(key);
    if (had !== undefined) return had;
    const found = find(key);
    known.set(key, found);
    return found;
  };
}

const overseersOf = (hall: Hall, { block }: BlockPlace): readonly Post[] =>
  hall.sessions.get(block.session)?.overseers ?? [];

function newlyRead(hall: Hall, place: BlockPlace): ReadBlock {
  const slices = sliceBlock(hall, place, overseersOf(hall, place));
  return { slices, covers: merged(slices.map(({ cover }) => cover)) };
}

const isPart = (part: Span | undefined, whole: Span): boolean =>
  part !== undefined && whole.from <= part.from && part.to <= whole.to;

/** What was read of a block, as far as a part of its span is concerned: nothing changes within a slice. */
function partOf(read: ReadBlock, whole: Span, part: Span): ReadBlock {
  if (isPart(whole, part)) return read;
  const slices = read.slices.flatMap(({ moment, spot, cover }): Slice[] => {
    const span = common(moment.span, part);
    if (span === null) return [];
    const findings = cover.findings.map((finding) => ({ ...finding, span }));
    return [{ moment: { ...moment, span }, spot, cover: { ...cover, span, findings } }];
  });
  return { slices, covers: merged(slices.map(({ cover }) => cover)) };
}

function isSamePlace({ block, seats, posts, enrolled }: BlockPlace, other: BlockPlace): boolean {
  return (
    block === other.block &&
    areSamePosts(posts, other.posts) &&
    seats.length === other.seats.length &&
    seats.every((seat, i) => isSameSeat(seat, other.seats[i])) &&
    enrolled.length === other.enrolled.length &&
    enrolled.every((one, i) => isSameSeat(one, other.enrolled[i]))
  );
}

/** What holds for every unit of a floor. */
const isSameHouse = ({ floor: a }: Hall, { floor: b }: Hall): boolean =>
  a.gym === b.gym && a.zone === b.zone && a.leapDay === b.leapDay && a.rules === b.rules && a.overrides === b.overrides;

const areSamePosts = (posts: readonly Post[], others: readonly Post[]): boolean =>
  posts.length === others.length &&
  posts.every(({ staff, place }, i) => staff === others[i]?.staff && place === others[i].place);

const isSameSeat = <S extends Enrolled & { span?: Span }>(seat: S, other: S | undefined): boolean =>
  seat.athlete === other?.athlete && seat.category === other.category && seat.span === other.span;

function sliceBlock(hall: Hall, place: BlockPlace, overseers: readonly Post[]): Slice[] {
  const { block, span, enrolled } = place;
  const unit: Unit = { per: 'block', id: block.id };
  return momentsOf(hall, unit, span, changesAt(place, overseers)).map((moment) => {
    const spot = blockSpot(hall, place, overseers, moment);
    const rules = rulesAbout(hall, block, moment.day);
    const { views, spotters } = arrange({ spot, moment, rules, enrolled });
    return { moment, spot, cover: coverAt(hall, { unit, moment, views, spotters, places: [spot] }) };
  });
}

type Slices = (place: BlockPlace) => Slice[];

function coverSession(hall: Hall, session: SessionPlace, slices: Slices): Cover[] {
  const { id, blocks, overseers } = session;
  if (blocks.length === 0) return [];
  const span = {
    from: Math.min(...blocks.map((place) => place.span.from)),
    to: Math.max(...blocks.map((place) => place.span.to)),
  };
  const unit: Unit = { per: 'session', id };
  const seen = blocks.filter(({ block }) => block.confirmed);
  if (seen.length === 0 || !hasRules(hall, 'session')) return [quiet(unit, span)];
  const changes = [...changesOf(overseers), ...changesIn(seen, slices)];

  const covers = momentsOf(hall, unit, span, changes).map((moment) => {
    const running = spotsAt(seen, slices, moment);
    const views = rulesPer(hall, 'session', moment.day).flatMap((rule) => {
      const spots = running.filter(({ block }) => block !== null && isAbout(rule, block));
      if (spots.length === 0) return [];
      return [viewOf(rule, unit, moment, seenTogether(spots, [session], moment), governingIn(hall, rule, spots))];
    });
    return coverAt(hall, { unit, moment, views, spotters: [], places: [] });
  });
  return merged(covers);
}

function coverPremises(hall: Hall, slices: Slices): Cover[] {
  const { floor, waiting, floaters } = hall;
  const unit: Unit = { per: 'premises', id: floor.gym };
  const needHelp = waiting.some(({ athlete }) => athlete.support !== null);
  if (!needHelp && !hasRules(hall, 'premises')) return [quiet(unit, floor.over)];
  const seen = [...hall.blocks.values()].filter(({ block }) => block.confirmed);
  const sessions = [...hall.sessions.values()];
  const overseers = sessions.flatMap((session) => session.overseers);
  const changes = [...changesOf([...floaters, ...overseers]), ...changesAmong(waiting), ...changesIn(seen, slices)];

  const covers = momentsOf(hall, unit, floor.over, changes).map((moment) => {
    const running = spotsAt(seen, slices, moment);
    const lobby = openSpot(unit, floaters, waiting, moment);
    arrange({ spot: lobby, moment, rules: [], enrolled: [] });
    const views = rulesPer(hall, 'premises', moment.day).flatMap((rule) => {
      const athletes = lobby.athletes.filter((athlete) => isAboutWaiting(hall, rule, athlete));
      const spots = running.filter(({ block }) => block !== null && isAbout(rule, block));
      if (spots.length === 0 && athletes.length === 0) return [];
      const overseen = sessions.filter(({ known }) => known.some((block) => block.confirmed && isAbout(rule, block)));
      const together = seenTogether(spots, overseen, moment);
      const watched = [...spots.flatMap((spot) => spot.athletes), ...athletes];
      const there = standingIn({ ...lobby, athletes, watched }, lobby.staff);
      return [viewOf(rule, unit, moment, [...together, there], governingIn(hall, rule, spots))];
    });
    return coverAt(hall, { unit, moment, views, spotters: [], places: [lobby] });
  });
  return merged(covers);
}

/** Blocks as a wider unit sees them: their overseers look after all of the session's blocks that are in view. */
function seenTogether(spots: Spot[], sessions: SessionPlace[], moment: Moment): Spot[] {
  const above = sessions.map(({ id, overseers }) => {
    const spot = openSpot({ per: 'session', id }, overseers, [], moment);
    spot.watched = spots.filter(({ block }) => block?.session === id).flatMap(({ athletes }) => athletes);
    return spot;
  });
  const blocks = spots.map((spot) => {
    const overseers = above.find(({ unit }) => unit.id === spot.block?.session)?.staff ?? [];
    if (overseers.length === 0 && spot.overseers.length === 0) return spot;
    return standingIn({ ...spot, overseers }, spot.staff);
  });
  return [...blocks, ...above];
}

function standingIn(spot: Spot, staff: OnDuty[]): Spot {
  spot.staff = staff.map((one) => ({ ...one, spot }));
  return spot;
}

/** The blocks that are running, as they were arranged by themselves: their edges are edges of the wider unit too. */
function spotsAt(places: BlockPlace[], slices: Slices, { span }: Moment): Spot[] {
  return places.flatMap((place) => {
    if (span.from < place.span.from || place.span.to <= span.from) return [];
    return slices(place).find(({ moment }) => span.from < moment.span.to)?.spot ?? [];
  });
}

const changesIn = (places: BlockPlace[], slices: Slices) =>
  places.flatMap((place) => slices(place).map(({ moment }) => moment.span));

/** Everybody enrolled in one of the blocks, once: as they are in the first by id. Nobody, where the rule does not ask. */
function governingIn(hall: Hall, { agesOf }: Rule, spots: Spot[]): Enrolled[] {
  if (agesOf !== 'enrolled') return [];
  const ids = spots.flatMap(({ block }) => block?.id ?? []).sort();
  const found = new Map<Athlete, Enrolled>();
  for (const one of ids.flatMap((id) => hall.blocks.get(id)?.enrolled ?? [])) {
    if (!found.has(one.athlete)) found.set(one.athlete, one);
  }
  return [...found.values()];
}

const hasRules = (hall: Hall, per: Rule['per']): boolean => hall.floor.rules.some((rule) => rule.per === per);

function quiet(unit: Unit, span: Cover['span']): Cover {
  return {
    unit,
    span,
    covered: true,
    counts: [],
    binding: null,
    spotters: [],
    supervised: [],
    youngStaff: [],
    findings: [],
  };
}
