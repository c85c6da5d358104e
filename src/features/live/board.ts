import { and, eq, gt, inArray, lte, sql } from 'drizzle-orm';
import { type Block, type Floor, narrowed, readFloor } from '../../cover/index.ts';
import { blocksOfGroups, liveFloor, loadNamedRecord, type OnRecord } from '../../enforcement/live-floor.ts';
import type { FloorNames } from '../../enforcement/names.ts';
import { staffStates, stateAt } from '../../enforcement/recorded.ts';
import { grouped, some } from '../../enforcement/rows.ts';
import { holds } from '../../enforcement/spans.ts';
import { findingOnWire } from '../../enforcement/wire.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { personNames, staffStays } from '../../tables/index.ts';
import { uncoveringOf, warnings } from './ahead.ts';
import { blockReader, type Counts, type Sight, type StaffAt, staffReader } from './board-block.ts';
import { boardDay } from './board-day.ts';
import { type Shown, shownAt, standingAt, windowAt } from './board-floor.ts';
import type { Board, BoardSession } from './schema.ts';

/**
 * A gym as it is at this moment: what runs and what comes next, who is there and who is still to come, the cover of each
 * block by who is really there, and what will go wrong. A function of what is stored and of the caller's moment, which
 * it tells in `at`; the rest changes only with facts, and when something begins or ends.
 */
export async function readBoard(ctx: Context, gymId: string): Promise<Board> {
  const moment = ctx.now.getTime();
  const day = await boardDay(ctx, gymId);
  const [onRecord, staffCheckIn] = await Promise.all([
    loadNamedRecord(ctx, { gymId, day }, windowAt(moment)),
    hasStaffCheckIn(ctx, gymId, day),
  ]);
  const { planned, recorded, names } = onRecord;
  const shown = shownAt(planned, moment);
  const live = liveFloor(planned, recorded, moment);
  const { here, expected } = standingAt(live, recorded, moment, shown);
  const reading = readFloor(narrowed(here, here.over));
  const readings = { here: reading, expected: reading.again(narrowed(expected, expected.over)) };
  const stateOf = staffStates(recorded, moment);
  const isNamed = whoseBlocks(ctx, gymId, planned);
  const athleteName = await namesOfOwn(ctx, onRecord, isNamed, names);
  const sight: Sight = {
    moment,
    planned,
    recorded,
    here,
    expected,
    readings,
    stateOf,
    names,
    mayName: isNamed,
    athleteName,
  };
  const staffAt = staffReader(sight);
  const onPremises = readings.here.covers.filter(({ unit, span }) => unit.per === 'premises' && holds(span, moment));
  return {
    gymId,
    at: instantOf(ctx.now),
    day,
    sessions: sessionsOf(sight, staffAt, shown),
    premises: {
      athletes: here.athletes.filter(({ at }) =>
        at.some(({ unit, span }) => unit.per === 'premises' && holds(span, moment)),
      ).length,
      staff: premisesStaff(sight, staffAt),
      covered: uncoveringOf(onPremises).length === 0,
      findings: onPremises.flatMap(({ findings }) => findings.map((one) => findingOnWire(one, names))),
    },
    notCollected: notCollected(sight),
    ahead: warnings({
      moment,
      planned,
      here: readings.here.covers,
      expected: readings.expected.covers,
      stateOf,
      staffCheckIn,
      names,
    }),
  };
}

const STAFF_CHECK_IN_DAYS = 14;

const hasStaffCheckIn = async (ctx: Context, gymId: string, day: string): Promise<boolean> =>
  (await selectStaffStay(ctx, { gymId, day })).length > 0;

const selectStaffStay = statement((tx, given: Given<{ gymId: string; day: string }>) =>
  tx
    .select({ personId: staffStays.personId })
    .from(staffStays)
    .where(
      and(
        ours(given, staffStays),
        eq(staffStays.gymId, given('gymId')),
        gt(staffStays.day, sql`${given('day')}::date - ${sql.raw(String(STAFF_CHECK_IN_DAYS))}`),
        lte(staffStays.day, given('day')),
      ),
    )
    .limit(1),
);

/** May the caller read the attendance of one of these blocks? At the desk of every one; a coach of those that they do not only watch. */
function whoseBlocks(ctx: Context, gymId: string, { blocks, staff }: Floor): (blockIds: readonly string[]) => boolean {
  const scopes = scopesAt(ctx, 'attendance.read', gymId);
  if (scopes.has('franchise') || scopes.has('gym')) return () => true;
  if (!scopes.has('own-blocks')) return () => false;
  const places = staff.find(({ person }) => person === ctx.personId)?.at ?? [];
  const mine = new Set(places.filter(({ duty }) => duty !== 'shadow').map(({ unit }) => unit.id));
  const own = new Set(blocks.filter(({ id, session }) => mine.has(id) || mine.has(session)).map(({ id }) => id));
  return (blockIds) => blockIds.some((id) => own.has(id));
}

/** The names of the athletes whom the caller may see: the floor's names have them where they may see all. */
async function namesOfOwn(
  ctx: Context,
  { gymId, planned, recorded }: OnRecord,
  isNamed: (blockIds: readonly string[]) => boolean,
  names: FloorNames,
): Promise<(athleteId: string) => string> {
  const scopes = scopesAt(ctx, 'athletes.read', gymId);
  if (scopes.has('franchise') || scopes.has('gym')) return names.person;
  const blocksOf = blocksOfGroups(planned.blocks);
  const ids = [
    ...planned.athletes
      .filter(({ enrolled }) => isNamed(enrolled.map(({ block }) => block)))
      .map(({ person }) => person),
    ...recorded.attended
      .filter((one) => isNamed(blocksOf(one).blocks.map(({ id }) => id)))
      .map(({ athleteId }) => athleteId),
  ];
  if (ids.length === 0) return names.person;
  const rows = await ctx.tx
    .select()
    .from(personNames)
    .where(and(ours(ctx, personNames), inArray(personNames.personId, some(ids))));
  const nameOf = new Map(rows.map(({ personId, given, family }) => [personId, `${given} ${family}`.trim()]));
  return (id) => nameOf.get(id) ?? names.person(id);
}

function sessionsOf(sight: Sight, staffAt: StaffAt, { running, next }: Shown): BoardSession[] {
  const { moment, planned, names } = sight;
  const read = blockReader(sight, staffAt);
  const lines = [
    ...running.map((block) => ({ block, line: read(block, 'running') })),
    ...next.map((block) => ({ block, line: read(block, 'next') })),
  ];
  const bySession = new Map<string, typeof lines>();
  for (const one of lines) bySession.set(one.block.session, [...(bySession.get(one.block.session) ?? []), one]);
  const blocksOf = grouped(planned.blocks, ({ session }) => session);
  return [...bySession].map(([sessionId, its]): BoardSession => {
    const spans = blocksOf(sessionId).map(({ span }) => span);
    // A group is counted once, in the block that it is in or comes to first.
    const first = its.filter(({ block }, index) => its.findIndex((one) => one.block.group === block.group) === index);
    const total = (count: keyof Counts) => first.reduce((sum, { line }) => sum + line[count], 0);
    return {
      sessionId,
      name: names.unit({ per: 'session', id: sessionId }),
      startsAt: instantOf(new Date(Math.min(...spans.map(({ from }) => from)))),
      endsAt: instantOf(new Date(Math.max(...spans.map(({ to }) => to)))),
      state: its.some(({ line }) => line.state === 'running') ? 'running' : 'next',
      present: total('present'),
      outOfHall: total('outOfHall'),
      expected: total('expected'),
      onHold: total('onHold'),
      overseers: staffAt(sessionId, ({ to }) => to > moment),
      blocks: its.map(({ line }) => line),
    };
  });
}

/** Who is on the premises at this moment: planned there as a floater, or between places. */
function premisesStaff(sight: Sight, staffAt: StaffAt): Board['premises']['staff'] {
  const { moment, planned, here, stateOf, names } = sight;
  const floaters = staffAt(planned.gym, (span) => holds(span, moment));
  const known = new Set(floaters.map(({ personId }) => personId));
  const between = here.staff
    .filter(({ person }) => !known.has(person))
    .flatMap(({ person, at }) =>
      at
        .filter(({ unit, span }) => unit.per === 'premises' && holds(span, moment))
        .map(({ duty }) => ({
          personId: person,
          name: names.person(person),
          duty,
          state: stateOf(person),
          there: true,
        })),
    );
  return [...floaters, ...between];
}

const MOST_NAMED = 200;

/** Those still here after the last block of every session that they are here for. */
function notCollected({ moment, planned, recorded, mayName, athleteName }: Sight): Board['notCollected'] {
  const blocksOf = blocksOfGroups(planned.blocks);
  const lastOf = new Map<string, { sessionId: string; end: number; blocks: readonly Block[] }>();
  for (const one of recorded.attended) {
    if (stateAt(one, moment) !== 'present') continue;
    const { end, blocks } = blocksOf(one);
    if (end > (lastOf.get(one.athleteId)?.end ?? -Infinity))
      lastOf.set(one.athleteId, { sessionId: one.sessionId, end, blocks });
  }
  const waiting = [...lastOf]
    .filter(([, { end }]) => end <= moment)
    .sort(([a, x], [b, y]) => x.end - y.end || (a < b ? -1 : 1));
  return {
    count: waiting.length,
    athletes: waiting
      .filter(([, { blocks }]) => mayName(blocks.map(({ id }) => id)))
      .slice(0, MOST_NAMED)
      .map(([athleteId, { sessionId, end }]) => ({
        athleteId,
        name: athleteName(athleteId),
        sessionId,
        since: instantOf(new Date(end)),
      })),
  };
}
