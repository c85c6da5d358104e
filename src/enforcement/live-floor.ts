import type { Athlete, Block, Floor, Place, Span, Staff } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { beginFloor, endFloor } from './load-floor.ts';
import type { GymDay } from './lock.ts';
import { askNames, type FloorNames } from './names.ts';
import { type Attended, loadRecorded, type Outing, type Recorded, spanFrom } from './recorded.ts';
import { grouped } from './rows.ts';
import { united, within, without } from './spans.ts';

/** The floor of a gym-day as it is planned, and what was recorded: what `liveFloor` is made from. */
export interface OnRecord extends GymDay {
  planned: Floor;
  recorded: Recorded;
}

/** Reads what a live floor of a gym-day is made from, as far as a span is concerned; `coming` are athletes to read as well. */
export async function loadOnRecord(
  ctx: Context,
  day: GymDay,
  over: Span,
  coming: readonly string[] = [],
): Promise<OnRecord> {
  const { recorded, begun } = await beginOnRecord(ctx, day, over, coming);
  const { floor: planned } = await endFloor(ctx, begun);
  return { ...day, planned, recorded };
}

/** The same, with what everybody and everything on it is called. */
export async function loadNamedRecord(
  ctx: Context,
  day: GymDay,
  over: Span,
): Promise<OnRecord & { names: FloorNames }> {
  const { recorded, begun } = await beginOnRecord(ctx, day, over, []);
  const { rows, there, rules, athletes } = begun;
  const [{ floor: planned }, named] = await Promise.all([
    endFloor(ctx, begun),
    askNames(ctx, day.gymId, {
      blocks: rows.map(({ id }) => id),
      staff: there.placed.map(({ personId }) => personId),
      athletes,
      sessions: rows.map(({ sessionId }) => sessionId),
      rules: rules.map(({ id }) => id),
    }),
  ]);
  return { ...day, planned, recorded, names: named(planned) };
}

async function beginOnRecord(ctx: Context, day: GymDay, over: Span, coming: readonly string[]) {
  const recording = loadRecorded(ctx, day, over);
  const athletes = recording.then(({ attended }) => [...attended.map(({ athleteId }) => athleteId), ...coming]);
  const [recorded, begun] = await Promise.all([recording, beginFloor(ctx, day, { athletes, within: over })]);
  return { recorded, begun };
}

/**
 * The floor from the facts: the same blocks, rules and people as planned, other spans.
 *
 * **Athletes** are where they were checked in, for as long as they stay: enrolled or not, in the blocks of the group
 * that they go with; of two sessions at once, in that to which they came last. Whoever is in the building and at no
 * block is on the premises: before, between, out of the hall, and after their last block until somebody collects them.
 * Of those whose last block is still to come, nobody is taken to be left over. Those absent, on hold or not there yet are nowhere.
 * Where nobody said when they came, they count from the session's start.
 *
 * **Staff** who checked in that day hold their places while they are at work: not on a break, not after leaving (as long
 * as nobody says that they are back), and not while they are out of the hall with a child. Meanwhile, and before,
 * between and after their places, they are on the premises. Of those who have not checked in, nothing is known, so that
 * the plan counts; but where a colleague with a place that day did check in, a place that has begun by `at` counts only
 * once they are in. One who went without ever coming counts for nothing.
 *
 * Every block is taken to be held, confirmed or not: the rules per session and per premises see who is there.
 */
export function liveFloor(planned: Floor, recorded: Recorded, at: number): Floor {
  const out = endedOutings(recorded);
  const blocksOf = blocksOfGroups(planned.blocks);
  const attendedBy = grouped(recorded.attended, ({ athleteId }) => athleteId);
  const outingsOf = grouped(out, ({ athleteId }) => athleteId);
  const outWith = grouped(out, ({ withPersonId }) => withPersonId ?? '');
  const workOf = grouped(recorded.staff, ({ personId }) => personId);
  const placed = planned.staff.filter((one) => one.at.length > 0);
  const staffCheckIn = placed.some(({ person }) => workOf(person).some(({ from, to }) => (from ?? to ?? at) <= at));
  return {
    ...planned,
    blocks: planned.blocks.map((block) => ({ ...block, confirmed: true })),
    athletes: planned.athletes.map((athlete) => {
      const { person } = athlete;
      return { ...athlete, at: whereAthlete(planned, athlete, attendedBy(person), blocksOf, outingsOf(person), at) };
    }),
    staff: planned.staff.map((one) => {
      const work = workOf(one.person);
      if (one.at.length === 0) return one;
      if (work.length === 0 && staffCheckIn) return { ...one, at: one.at.filter(({ span }) => span.from > at) };
      const away = outWith(one.person).map(({ span }) => span);
      return { ...one, at: whereStaff(planned.gym, one, work.length === 0 ? null : atWork(work), away, at) };
    }),
  };
}

/** A live floor with everybody who is expected at some of the sessions, each at their blocks. */
export function withExpected(live: Floor, { attended }: Recorded, isAsked: (session: string) => boolean): Floor {
  const blocksOf = blocksOfGroups(live.blocks);
  const blockWith = new Map(live.blocks.map((block) => [block.id, block]));
  const attendedBy = grouped(attended, ({ athleteId }) => athleteId);
  return {
    ...live,
    athletes: live.athletes.map((athlete) => {
      const coming = expectedAt(blockWith, athlete, attendedBy(athlete.person), blocksOf, isAsked);
      return coming.length === 0 ? athlete : { ...athlete, at: [...athlete.at, ...coming] };
    }),
  };
}

/** The blocks of the group that somebody goes with; their last end, or, where there are none, that of the session. */
type BlocksOf = (one: Pick<Attended, 'groupId' | 'endsAt'>) => { blocks: readonly Block[]; end: number };

/** Groups, each of one session, with their blocks. */
export function blocksOfGroups(blocks: readonly Block[]): BlocksOf {
  const blocksOf = grouped(blocks, ({ group }) => group);
  const ends = new Map<string, number>();
  for (const { group, span } of blocks) ends.set(group, Math.max(ends.get(group) ?? span.to, span.to));
  return ({ groupId, endsAt }) =>
    groupId === null ? { blocks: [], end: endsAt } : { blocks: blocksOf(groupId), end: ends.get(groupId) ?? endsAt };
}

/** Outings with their ends: one that nobody ended is over with its session, or, begun after it, still goes on. */
function endedOutings({ outings }: Recorded): (Outing & { span: Span })[] {
  return outings.map((one) => ({
    ...one,
    span: spanFrom(one.from, one.to ?? (one.endsAt > one.from ? one.endsAt : null)),
  }));
}

function whereAthlete(
  { gym }: Floor,
  athlete: Athlete,
  attended: readonly Attended[],
  blocksOf: BlocksOf,
  outings: readonly { sessionId: string; span: Span }[],
  at: number,
): Athlete['at'] {
  if (attended.length === 0) return [];
  const inside: Span[] = [];
  const places: Athlete['at'] = [];
  const taken: Span[] = [];
  for (const { stay, blocks, sessionId } of staysOf(attended, blocksOf, at)) {
    inside.push(stay);
    const away = outings.filter((one) => one.sessionId === sessionId).map(({ span }) => span);
    for (const block of blocks) {
      const there = without(within(stay, block.span), taken);
      taken.push(...there);
      for (const span of without(there, away)) places.push(atBlock(athlete, block, span));
    }
  }
  const spans = places.map(({ span }) => span);
  const onPremises = without(united(inside), spans);
  return [
    ...places,
    ...onPremises.map((span) => ({ unit: { per: 'premises', id: gym } as const, span, category: null })),
  ];
}

/** An athlete's stays, the one begun last first: whoever goes on to another session is in that one. */
function staysOf(attended: readonly Attended[], blocksOf: BlocksOf, at: number) {
  const stays = attended.flatMap((one) => {
    const { blocks, end } = blocksOf(one);
    return one.stays.map(({ from, to }) => ({
      stay: spanFrom(from ?? one.startsAt, to ?? (end > at ? end : null)),
      blocks,
      sessionId: one.sessionId,
    }));
  });
  return stays.sort((a, b) => b.stay.from - a.stay.from || (a.sessionId < b.sessionId ? -1 : 1));
}

/** The blocks of those who are to come yet. */
function expectedAt(
  blockWith: ReadonlyMap<string, Block>,
  athlete: Athlete,
  attended: readonly Attended[],
  blocksOf: BlocksOf,
  isAsked: (session: string) => boolean,
): Athlete['at'] {
  const coming: Athlete['at'] = [];
  for (const { block: id } of athlete.enrolled) {
    const block = blockWith.get(id);
    if (block === undefined || attended.some(({ sessionId }) => sessionId === block.session)) continue;
    if (isAsked(block.session)) coming.push(atBlock(athlete, block, block.span));
  }
  for (const one of attended) {
    if (one.state !== 'expected' || !isAsked(one.sessionId)) continue;
    for (const block of blocksOf(one).blocks) coming.push(atBlock(athlete, block, block.span));
  }
  return coming;
}

/** A place at a block: as it was planned, where that is just what it is. */
function atBlock({ at, enrolled }: Athlete, { id }: Block, span: Span): Athlete['at'][number] {
  const category = enrolled.find(({ block }) => block === id)?.category ?? null;
  const planned = at.find((one) => one.unit.id === id && one.span.from === span.from && one.span.to === span.to);
  return planned?.category === category ? planned : { unit: { per: 'block', id }, span, category };
}

/** When somebody was at work, breaks left out. */
function atWork(stays: readonly { kind: 'work' | 'break'; from: number | null; to: number | null }[]): readonly Span[] {
  const spans = (kind: 'work' | 'break') =>
    stays.flatMap((one) => (one.kind === kind && one.from !== null ? [spanFrom(one.from, one.to)] : []));
  return without(united(spans('work')), spans('break'));
}

/** A member of the staff's places as far as they hold them, and the premises meanwhile. Null work: nothing is known. */
function whereStaff(
  gym: string,
  { at: places }: Staff,
  work: readonly Span[] | null,
  away: readonly Span[],
  at: number,
): Place[] {
  const there = work ?? united(places.map(({ span }) => span));
  const held = places.flatMap((place) =>
    without(
      there.flatMap((span) => within(place.span, span)),
      place.unit.per === 'premises' ? [] : away,
    ).map((span): Place => ({ ...place, span })),
  );
  const lastEnd = Math.max(...places.map(({ span }) => span.to));
  const known = there.map(({ from, to }) => ({
    from,
    to: to === Infinity && lastEnd > at ? Math.max(from, lastEnd) : to,
  }));
  const between = without(
    known,
    held.map(({ span }) => span),
  );
  return [
    ...held,
    ...between.map((span): Place => ({ unit: { per: 'premises', id: gym }, duty: dutyNear(places, span), span })),
  ];
}

/** The duty that they came for: of the place that they had last, or will have first. */
function dutyNear(places: readonly Place[], { from }: Span): Place['duty'] {
  const inOrder = [...places].sort((a, b) => a.span.from - b.span.from);
  const { duty } = inOrder.findLast((place) => place.span.from <= from) ?? inOrder[0] ?? { duty: 'assist' as const };
  return duty === 'oversee' ? 'assist' : duty;
}
