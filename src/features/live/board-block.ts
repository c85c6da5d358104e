import {
  type Athlete,
  type Block,
  type Cover,
  compare,
  type Finding,
  type Floor,
  type FloorReading,
  formatFraction,
  HEADROOM_BOUND,
  headroomReader,
  type Span,
  ZERO,
} from '../../cover/index.ts';
import type { FloorNames } from '../../enforcement/names.ts';
import { type Recorded, type StaffState, stateAt } from '../../enforcement/recorded.ts';
import { grouped } from '../../enforcement/rows.ts';
import { holds } from '../../enforcement/spans.ts';
import { findingOnWire } from '../../enforcement/wire.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { uncoveringOf } from './ahead.ts';
import { type BoardAthlete, type BoardBlock, type BoardStaff, MOST_ROOM, type Room } from './schema.ts';

/** What the lines of a board are made from. */
export interface Sight {
  moment: number;
  planned: Floor;
  recorded: Recorded;
  /** As it stands, with those who are there; and with everybody expected. */
  here: Floor;
  expected: Floor;
  readings: { here: FloorReading; expected: FloorReading };
  stateOf: (personId: string) => StaffState;
  names: FloorNames;
  /** May the caller see who the athletes of these blocks are? */
  mayName: (blockIds: readonly string[]) => boolean;
  athleteName: (athleteId: string) => string;
}

export type Counts = Pick<BoardBlock, 'present' | 'outOfHall' | 'expected' | 'onHold'>;

/** Reads a board's blocks one by one. */
export function blockReader(sight: Sight, staffAt: StaffAt) {
  const { moment, recorded, here, names } = sight;
  const coverOf = coverReader(sight);
  const roomOf = youngestRoom(sight);
  const attendedOf = grouped(recorded.attended, ({ groupId }) => groupId ?? '');
  const marksOf = grouped(recorded.attended, ({ athleteId }) => athleteId);
  const confirmed = new Set(sight.planned.blocks.flatMap((block) => (block.confirmed ? [block.id] : [])));
  const isOut = new Set(
    recorded.outings
      .filter(({ from, to }) => from <= moment && (to === null || to > moment))
      .map(({ sessionId, athleteId }) => `${sessionId} ${athleteId}`),
  );

  /** Everybody who belongs to a block's group and is not absent or gone. */
  const groupOf = ({ id, session, group }: Block): BoardAthlete[] => {
    const athletes: BoardAthlete[] = [];
    const show = (athleteId: string, state: BoardAthlete['state']) =>
      athletes.push({ athleteId, state, name: sight.athleteName(athleteId) });
    for (const one of attendedOf(group)) {
      const state = stateAt(one, moment);
      if (state === 'absent' || state === 'left') continue;
      const isAway = state === 'present' && isOut.has(`${session} ${one.athleteId}`);
      show(one.athleteId, isAway ? 'out-of-hall' : state);
    }
    for (const { person, enrolled } of here.athletes) {
      if (!enrolled.some(({ block }) => block === id)) continue;
      if (!marksOf(person).some(({ sessionId }) => sessionId === session)) show(person, 'expected');
    }
    return athletes.sort(byName);
  };
  // Whoever is enrolled in a group is so in all its blocks.
  const groups = new Map<string, BoardAthlete[]>();
  const athletesOf = (block: Block): BoardAthlete[] => {
    const athletes = groups.get(block.group) ?? groupOf(block);
    groups.set(block.group, athletes);
    return athletes;
  };

  return (block: Block, state: BoardBlock['state']): BoardBlock => {
    const { id, span } = block;
    const athletes = athletesOf(block);
    const { covers, findings } = coverOf(block, state);
    const worst = worstOf(covers);
    const told = findings.map((finding) => findingOnWire(finding, names));
    return {
      blockId: id,
      name: names.unit({ per: 'block', id }),
      group: names.block(id).group,
      areas: block.areas.map(names.area),
      startsAt: instantOf(new Date(span.from)),
      endsAt: instantOf(new Date(span.to)),
      state,
      confirmed: confirmed.has(id),
      ...countsOf(athletes),
      athletes: sight.mayName([id]) ? athletes : null,
      staff: staffAt(id, ({ to }) => to > moment),
      covered: uncoveringIn(findings).length === 0,
      needed: worst?.needed ?? 0,
      counted: formatFraction(worst?.counted ?? ZERO),
      findings: [...new Map(told.map((one) => [JSON.stringify(one), one])).values()],
      room: state === 'running' ? roomOf(block) : null,
    };
  };
}

const byName = (a: BoardAthlete, b: BoardAthlete) =>
  a.name < b.name ? -1 : a.name > b.name ? 1 : a.athleteId < b.athleteId ? -1 : 1;

function countsOf(athletes: readonly Pick<BoardAthlete, 'state'>[]): Counts {
  const counts: Counts = { present: 0, outOfHall: 0, expected: 0, onHold: 0 };
  for (const { state } of athletes) {
    if (state === 'present' || state === 'out-of-hall') counts.present += 1;
    if (state === 'out-of-hall') counts.outOfHall += 1;
    if (state === 'expected') counts.expected += 1;
    if (state === 'on-hold') counts.onHold += 1;
  }
  return counts;
}

/** Reads a block's own cover, and all findings about it: its session's and the premises' too, where it has athletes. */
function coverReader({ moment, planned, here, expected, readings }: Sight) {
  const now = { ...here, coversOf: grouped(readings.here.covers, ({ unit }) => unit.id) };
  const later = { ...expected, coversOf: grouped(readings.expected.covers, ({ unit }) => unit.id) };
  return ({ id, session, span }: Block, state: BoardBlock['state']) => {
    const isRunning = state === 'running';
    const { coversOf, athletes } = isRunning ? now : later;
    const isThen = (one: { span: Block['span'] }) =>
      isRunning ? holds(one.span, moment) : one.span.from < span.to && one.span.to > span.from;
    const own = coversOf(id).filter(isThen);
    const wider = uncoveringOf([...coversOf(session), ...coversOf(planned.gym)].filter(isThen));
    const hasAthletes = () => athletes.some(({ at }) => at.some((place) => place.unit.id === id && isThen(place)));
    const findings = own.flatMap((one) => one.findings);
    return { covers: own, findings: wider.length > 0 && hasAthletes() ? [...findings, ...wider] : findings };
  };
}

const uncoveringIn = (findings: readonly Finding[]) =>
  findings.filter(({ strength, override }) => strength === 'refuse' && override === null);

/** The count of the rule that asks for most, where it asks for most. */
function worstOf(covers: readonly Cover[]) {
  const binding = covers.flatMap(({ counts, binding: id }) => counts.filter(({ rule }) => rule === id));
  return binding.sort((a, b) => b.needed - a.needed || compare(a.counted, b.counted)).at(0);
}

export type StaffAt = (unitId: string, isThen: (span: Span) => boolean) => BoardStaff[];

/** Reads the staff planned at a unit at a time, whether they are there or not. */
export function staffReader({ moment, planned, here, recorded, stateOf, names }: Sight): StaffAt {
  const live = new Map(here.staff.map(({ person, at }) => [person, at]));
  const isOut = new Set(
    recorded.outings
      .filter(({ from, to }) => from <= moment && (to === null || to > moment))
      .map(({ withPersonId }) => withPersonId),
  );
  const placesAt = grouped(
    planned.staff.flatMap(({ person, at }) => at.map((place) => ({ person, place }))),
    ({ place }) => place.unit.id,
  );
  return (unitId, isThen) =>
    placesAt(unitId)
      .filter(({ place }) => isThen(place.span))
      .map(({ person, place }): BoardStaff => {
        const at = Math.max(moment, place.span.from);
        const there = (live.get(person) ?? []).some(({ unit, span }) => unit.id === unitId && holds(span, at));
        const state = isOut.has(person) && !there ? 'out-of-hall' : stateOf(person);
        return { personId: person, name: names.person(person), duty: place.duty, state, there };
      });
}

/** Reads how many more like the youngest of a block fit into it, once everybody expected has come. */
function youngestRoom({ expected, readings, moment, names }: Sight): (block: Block) => Room | null {
  const read = roomReader(expected, names, { from: moment, reading: readings.expected });
  const youngestOf = new Map<string, Athlete>();
  for (const athlete of expected.athletes) {
    for (const { unit } of athlete.at) {
      const known = youngestOf.get(unit.id);
      if (known === undefined || (athlete.born ?? '') > (known.born ?? '')) youngestOf.set(unit.id, athlete);
    }
  }
  return (block) => {
    const youngest = youngestOf.get(block.id);
    return youngest ? read(block, { ...youngest, person: 'one more', support: null }, MOST_ROOM) : null;
  };
}

/** Reads how many more like somebody who comes at a moment fit into a block, with the rule that stops the next one. */
export function roomReader(
  floor: Floor,
  names: FloorNames,
  known: { from: number; reading?: FloorReading },
): (block: Block, like: Athlete, most?: number) => Room {
  const read = headroomReader(floor, known);
  return ({ id }, like, most = HEADROOM_BOUND) => {
    const { more, stop } = read([id], like, most);
    const ruleId = stop?.rule ?? null;
    return { more, ruleId, rule: ruleId === null ? null : names.rule(ruleId) };
  };
}
