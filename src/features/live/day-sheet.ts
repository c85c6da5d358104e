import { setImmediate } from 'node:timers/promises';
import { completedMonths, type Floor, type Names } from '../../cover/index.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { grouped } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { LANGUAGE_OF_RECORD } from '../../platform/language.ts';
import { refuse } from '../../platform/problem.ts';
import { custodyNotesOf, daysOfNow, heldFromActivity } from '../attendance/repo.ts';
import { recordHealthRead } from '../people/health.ts';
import { holds } from '../people/persons.ts';
import { blockCover } from '../staffing/cover.ts';
import * as repo from './day-sheet-repo.ts';
import {
  type DaySheet,
  MOST_ATHLETES,
  MOST_OF_ONE_SESSION,
  MOST_STAFF,
  type SheetAthlete,
  type SheetBlock,
  type SheetSession,
  type SheetStaff,
} from './day-sheet-schema.ts';

/**
 * All that a desk needs of one local day, or of one of its sessions, when the network is down: planned cover, rolls as
 * last recorded, who may collect, and whom to call. Leaves its lines in the audit trail. The statements are as many for
 * one session as for sixty. Refuses a session that is none of that day's.
 */
export async function readDaySheet(
  ctx: Context,
  gymId: string,
  day: string,
  only: string | null = null,
): Promise<DaySheet> {
  const gym = await repo.getSheetGym(ctx, gymId);
  const rows = await repo.selectSessions(ctx, gymId, day, only);
  if (only !== null && rows.length === 0) throw refuse('not-found', 'There is no such session here on that day.');
  const sessionIds = rows.map(({ sessionId }) => sessionId);
  const here = await loadFloor(ctx, { gymId, day });
  // All that is on paper is in one language.
  const names = await loadNames({ ...ctx, language: LANGUAGE_OF_RECORD }, here);
  const rolls = await readRolls(ctx, gymId, day, sessionIds, only === null ? MOST_ATHLETES : MOST_OF_ONE_SESSION, here);
  const blocksOf = await readBlocks(ctx, sessionIds, here, names);
  const present = await repo.selectPresent(
    ctx,
    gymId,
    daysOfNow(gym.zone, ctx.now).flatMap((one) => one ?? []),
  );

  const sessions = rows.map((row): SheetSession => {
    const roll = rolls(row.sessionId);
    const { onRoll = 0, present: inside = 0, onHold = 0, absent = 0, left = 0 } = roll[0]?.row ?? {};
    return {
      sessionId: row.sessionId,
      className: row.className,
      programme: row.programme,
      plan: row.plan,
      startsAt: instantOf(new Date(row.startsAt)),
      endsAt: instantOf(new Date(row.endsAt)),
      counts: { onRoll, present: inside, onHold, absent, left },
      overseenBy: here.floor.staff
        .filter(({ at }) => at.some(({ unit }) => unit.per === 'session' && unit.id === row.sessionId))
        .map(({ person }) => names.person(person)),
      blocks: blocksOf(row.sessionId).map(({ block }) => block),
      roll: roll.map(({ athlete }) => athlete),
      athletesLeftOut: onRoll - roll.length,
    };
  });
  await ctx.record('live.day-sheet-read', { subjectId: gymId, gymId }, { day, sessionIds });
  await recordHealthRead(
    ctx,
    { subjectId: gymId, gymId },
    sessions.flatMap(({ roll }) => roll),
  );
  return {
    gymId,
    gymName: gym.name,
    zone: gym.zone,
    day,
    printedAt: instantOf(ctx.now),
    sessions,
    sessionsLeftOut: (rows[0]?.of ?? 0) - rows.length,
    ...(await readStaff(ctx, gymId, day, only, here.floor)),
    onPremises: present.map(({ endsAt, since, outSince, outWith, of: _, ...row }) => ({
      ...row,
      endsAt: instantOf(new Date(endsAt)),
      since: instantOf(new Date(since)),
      out: outSince === null ? null : { since: instantOf(new Date(outSince)), with: outWith },
    })),
    onPremisesLeftOut: (present[0]?.of ?? 0) - present.length,
  };
}

const momentOf = (value: Date | null) => maybeInstant(value === null ? null : new Date(value));

async function readRolls(
  ctx: Context,
  gymId: string,
  day: string,
  sessionIds: readonly string[],
  most: number,
  { floor }: GymFloor,
) {
  const rows = await repo.selectRolls(ctx, gymId, sessionIds, most);
  // Of a sister gym's athletes nothing beyond the roll is read any more, once their day is over.
  const athleteIds = [...new Set(rows.filter(({ isKnown }) => isKnown).map(({ athleteId }) => athleteId))];
  const guardiansOf = grouped(await repo.selectGuardians(ctx, athleteIds), ({ athleteId }) => athleteId);
  const othersOf = grouped(await repo.selectCollectors(ctx, athleteIds, day), ({ athleteId }) => athleteId);
  const custody = await custodyNotesOf(ctx, gymId, athleteIds);
  const stopped = await heldFromActivity(ctx, athleteIds);
  const mayReadHealth = holds(ctx, 'health.read', gymId);
  const ageOf = (born: string) => Math.floor(completedMonths(born, day, floor.leapDay) / 12);

  const listed = rows.map((row) => {
    const { athleteId, born } = row;
    const athlete: SheetAthlete = {
      athleteId,
      given: row.given,
      family: row.family,
      age: born === null || born > day ? null : ageOf(born),
      groupId: row.groupId,
      group: row.group,
      ownGym: row.ownGym,
      kind: row.kind,
      state: row.state,
      late: row.late,
      inAt: momentOf(row.inAt),
      outAt: momentOf(row.outAt),
      stopped: stopped.has(athleteId),
      alerts: mayReadHealth && row.isKnown ? row.alerts : null,
      phone: row.isKnown ? row.phone : null,
      guardians: guardiansOf(athleteId).map(({ athleteId: _, ...guardian }) => guardian),
      others: othersOf(athleteId).map(({ athleteId: _, ...other }) => other),
      custodyNote: custody.get(athleteId) ?? null,
    };
    return { row, athlete };
  });
  return grouped(listed, ({ row }) => row.sessionId);
}

/** The floor with only the athletes of whatever runs while a session does: its cover is the same, and sooner judged. */
function around({ floor, ...at }: GymFloor, sessionId: string): GymFloor {
  const own = floor.blocks.filter(({ session }) => session === sessionId).map(({ span }) => span);
  const from = Math.min(...own.map((span) => span.from));
  const to = Math.max(...own.map((span) => span.to));
  const near = new Set(floor.blocks.filter(({ span }) => span.from < to && from < span.to).map(({ id }) => id));
  const athletes = floor.athletes.filter(
    (one) =>
      one.enrolled.some(({ block }) => near.has(block)) || one.at.some(({ span }) => span.from < to && from < span.to),
  );
  return { ...at, floor: { ...floor, athletes } };
}

async function readBlocks(ctx: Context, sessionIds: readonly string[], here: GymFloor, names: Names) {
  const planned = new Map(here.floor.blocks.map((block) => [block.id, block]));
  const floors = new Map(sessionIds.map((id) => [id, around(here, id)]));
  const listed: { session: string; block: SheetBlock }[] = [];
  for (const { position: _, ...row } of await repo.selectBlocks(ctx, sessionIds)) {
    const block = planned.get(row.blockId);
    if (!block) continue;
    // A full day has hundreds of blocks to judge: others are served in between.
    await setImmediate();
    const near = floors.get(block.session) ?? here;
    const { startsAt, endsAt, staff, athletes, needed, counted, covered, headroom, findings } = blockCover(
      near,
      names,
      row.blockId,
    );
    const sheetBlock: SheetBlock = {
      ...row,
      startsAt,
      endsAt,
      areas: block.areas.map(names.area),
      staff,
      spotting: block.stations.flatMap(({ id, spotting }) =>
        spotting.mode === 'none'
          ? []
          : [{ station: names.station(id), mode: spotting.mode, kind: names.kind(spotting.kind, spotting.grade) }],
      ),
      athletes,
      needed,
      counted,
      covered,
      why: findings.map((finding) => finding.sentence).slice(0, 50),
      atMost: covered && headroom?.bindingRuleId ? athletes + headroom.more : null,
    };
    listed.push({ session: block.session, block: sheetBlock });
  }
  return grouped(listed, ({ session }) => session);
}

/** Whoever has a place that day (of one session: at it, or on the premises), and whoever is there. */
async function readStaff(ctx: Context, gymId: string, day: string, only: string | null, { staff, blocks }: Floor) {
  const sessionOf = new Map(blocks.map(({ id, session }) => [id, session]));
  const places = new Map(
    staff.map(({ person, at }) => [
      person,
      at
        .filter(({ unit }) => unit.per !== 'premises' || unit.id === gymId)
        .map(({ unit, duty, span }): SheetStaff['places'][number] => ({
          per: unit.per,
          sessionId: unit.per === 'block' ? (sessionOf.get(unit.id) ?? null) : unit.per === 'session' ? unit.id : null,
          duty,
          startsAt: instantOf(new Date(span.from)),
          endsAt: instantOf(new Date(span.to)),
        }))
        .filter(({ sessionId }) => only === null || sessionId === null || sessionId === only)
        .sort((a, b) => (a.startsAt < b.startsAt ? -1 : 1)),
    ]),
  );
  const planned = [...places].filter(([, at]) => at.length > 0).map(([person]) => person);
  const rows = await repo.selectStaff(ctx, gymId, day, planned);
  return {
    staff: rows.slice(0, MOST_STAFF).map((row): SheetStaff => ({ ...row, places: places.get(row.personId) ?? [] })),
    staffLeftOut: Math.max(0, rows.length - MOST_STAFF),
  };
}
