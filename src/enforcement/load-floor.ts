import { and, eq, isNull, lte, or, type SQL, sql } from 'drizzle-orm';
import { parseFraction } from '../cover/index.ts';
import type { Athlete, Block, Floor, Override, Rule, Span, Staff, Station } from '../cover/types.ts';
import type { Context } from '../platform/context.ts';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours, type Tx } from '../platform/db/tenant.ts';
import { found } from '../platform/problem.ts';
import * as t from '../tables/index.ts';
import { type GivenPast, isKnown, isStanding, type Past, reading, stands } from './as-of.ts';
import { daySpan } from './day-span.ts';
import { loadAthletes } from './load-athletes.ts';
import { loadStaff, loadThere, type There } from './load-staff.ts';
import type { GymDay } from './lock.ts';
import { grouped, isOneOf, spanOf } from './rows.ts';
import { ruleOf } from './rule-codec.ts';

/** The floor of one gym on one local day, from what is stored at this moment. */
export interface GymFloor extends GymDay {
  floor: Floor;
}

/** What to read of a day, where that is not all of it; and who beside those placed. */
export interface Reading {
  /** Only the blocks that meet this span, and all of a session that somebody is still in the building for. */
  within?: Span;
  /** Athletes to read as well, whether they have a place there or not; those still being looked for are waited for. */
  athletes?: readonly string[] | Promise<readonly string[]>;
  /** The day as it was, where it is past. */
  past?: Past;
}

/**
 * Reads everything that cover depends on for one gym-day: blocks with stations, the athletes placed in their groups,
 * the staff placed or employed there that day, the rules in force and the overrides. Planned cover: enrolments and
 * assignments, not who has come. `people` are staff to read as well, whether they have a place there or not.
 */
export const loadFloor = async (
  ctx: Context,
  day: GymDay,
  people: readonly string[] = [],
  how: Reading = {},
): Promise<GymFloor> => endFloor(ctx, await beginFloor(ctx, day, how), people);

/** A floor of which only that is read which waits for nothing else. */
export interface BegunFloor extends GymDay, Pick<Floor, 'zone' | 'leapDay' | 'rules' | 'overrides' | 'duties'> {
  rows: BlockRow[];
  there: There;
  travelMs: number;
  athletes: readonly string[];
  past: Past | undefined;
}

/** The first part of `loadFloor`, for whoever asks for something else beside the second. */
export async function beginFloor(
  ctx: Context,
  { gymId, day }: GymDay,
  { within, athletes: named = [], past }: Reading,
): Promise<BegunFloor> {
  const theDay = { gymId, day };
  const [[gym], rows, there, rules, overrides, duties, athletes] = await Promise.all([
    selectSettings(ctx, { gymId }),
    within
      ? selectBlocksNear(ctx, { ...theDay, from: new Date(within.from), to: new Date(within.to) }, past)
      : selectBlocks(ctx, theDay, past),
    loadThere(ctx, theDay, past),
    loadRules(ctx, theDay, past),
    loadOverrides(ctx, theDay, past),
    selectDuties(ctx, {}),
    named,
  ]);
  const { travelMinutes, ...settings } = found(gym, 'gym');
  const travelMs = travelMinutes * 60_000;
  return { ...theDay, ...settings, rules, overrides, duties, rows, there, travelMs, athletes, past };
}

/** The second part: whatever hangs from the first. `people` are staff to read as well. */
export async function endFloor(ctx: Context, begun: BegunFloor, people: readonly string[] = []): Promise<GymFloor> {
  const { gymId, day, zone, leapDay, rules, overrides, duties, rows, there, travelMs, past } = begun;
  const over = daySpan(day, zone);
  const when = { over, travelMs, past };
  const [blocks, athletes, known] = await Promise.all([
    withStations(ctx, rows, past),
    loadAthletes(ctx, day, { blocks: rows, others: begun.athletes, past }),
    loadStaff(ctx, begun, there, { ...when, others: people }),
  ]);
  const staff = [...known, ...(await loadHelpers(ctx, begun, { athletes, known, when }))];
  return { gymId, day, floor: { gym: gymId, zone, leapDay, over, blocks, athletes, staff, rules, overrides, duties } };
}

interface Helping {
  athletes: readonly Athlete[];
  /** The staff read already. */
  known: readonly Staff[];
  when: { over: Span; travelMs: number; past: Past | undefined };
}

/** Whoever may help one of these athletes, and is not there that day. */
async function loadHelpers(ctx: Context, day: GymDay, { athletes, known, when }: Helping): Promise<Staff[]> {
  const isKnown = new Set(known.map(({ person }) => person));
  const others = athletes.flatMap(({ support }) => support?.anyOf ?? []).filter((person) => !isKnown.has(person));
  return others.length === 0 ? [] : loadStaff(ctx, day, { placed: [], employed: [] }, { ...when, others });
}

const selectSettings = statement((tx, given: Given<{ gymId: string }>) =>
  tx
    .select({ zone: t.gyms.zone, leapDay: t.franchises.leapDay, travelMinutes: t.franchises.travelMinutes })
    .from(t.gyms)
    .innerJoin(t.franchises, ours(given, t.franchises))
    .where(and(ours(given, t.gyms), eq(t.gyms.id, given('gymId')))),
);

const selectDuties = statement((tx, given: Given<Record<never, never>>) =>
  tx.select({ duty: t.dutyRules.duty, who: t.dutyRules.who }).from(t.dutyRules).where(ours(given, t.dutyRules)),
);

type OfDay = { gymId: string; day: string };

const selectBlocks = reading((tx, given: Given<OfDay>, past) => blocksOf(tx, given, past));

const selectBlocksNear = reading((tx, given: Given<OfDay & { from: Date; to: Date }>, past) => {
  const isNear = sql`(${t.blocks.startsAt} < ${given('to')}::timestamptz
      AND ${t.blocks.endsAt} > ${given('from')}::timestamptz
    OR EXISTS (SELECT FROM stays y WHERE y.franchise_id = ${given.franchiseId}
      AND y.session_id = ${t.blocks.sessionId} AND y.out_at IS NULL))`;
  return blocksOf(tx, given, past, isNear);
});

function blocksOf(tx: Tx, given: Given<OfDay>, past: GivenPast, isNear?: SQL) {
  return tx
    .select({
      id: t.blocks.id,
      sessionId: t.blocks.sessionId,
      groupId: t.blocks.groupId,
      planBlockId: t.blocks.planBlockId,
      startsAt: t.blocks.startsAt,
      endsAt: t.blocks.endsAt,
      confirmedAt: t.blocks.confirmedAt,
      classId: t.sessions.classId,
      programmeId: t.classes.programmeId,
      activity: t.planBlocks.activity,
      stationsRun: t.planBlocks.stationsRun,
      planState: t.planVersions.state,
      areas: sql<string | null>`(SELECT string_agg(a.area_id::text, ',' ORDER BY a.area_id) FROM block_areas a
        WHERE a.franchise_id = ${given.franchiseId} AND a.block_id = ${t.blocks.id})`,
      levels: sql<string | null>`(SELECT string_agg(l.level_id::text, ',' ORDER BY l.level_id) FROM class_levels l
        WHERE l.franchise_id = ${given.franchiseId} AND l.class_id = ${t.sessions.classId})`,
    })
    .from(t.blocks)
    .innerJoin(t.sessions, and(ours(given, t.sessions), eq(t.sessions.id, t.blocks.sessionId)))
    .innerJoin(t.classes, and(ours(given, t.classes), eq(t.classes.id, t.sessions.classId)))
    .innerJoin(t.planBlocks, and(ours(given, t.planBlocks), eq(t.planBlocks.id, t.blocks.planBlockId)))
    .innerJoin(t.planVersions, and(ours(given, t.planVersions), eq(t.planVersions.id, t.blocks.planVersionId)))
    .where(
      and(
        ours(given, t.blocks),
        eq(t.blocks.gymId, given('gymId')),
        eq(t.blocks.day, given('day')),
        stands(t.blocks.createdAt, t.blocks.supersededAt, past),
        isStanding(t.sessions.cancelledAt, past),
        isNear,
      ),
    )
    .orderBy(t.blocks.startsAt, t.blocks.id);
}

type BlockRow = Awaited<ReturnType<typeof selectBlocks>>[number];

const selectStations = statement((tx, given: Given<{ planBlocks: string[] }>) =>
  tx
    .select({
      id: t.planStations.id,
      planBlockId: t.planStations.planBlockId,
      apparatusId: t.planStations.apparatusId,
      items: t.planStations.items,
      spotting: t.planStations.spotting,
    })
    .from(t.planStations)
    .where(and(ours(given, t.planStations), isOneOf(t.planStations.planBlockId, given('planBlocks'))))
    .orderBy(t.planStations.planBlockId, t.planStations.position),
);

const selectStepDowns = reading((tx, given: Given<{ blocks: string[] }>, past) =>
  tx
    .select({
      blockId: t.blockStepDowns.blockId,
      stationId: t.blockStepDowns.stationId,
      spotting: t.blockStepDowns.spotting,
    })
    .from(t.blockStepDowns)
    .where(
      and(
        ours(given, t.blockStepDowns),
        isOneOf(t.blockStepDowns.blockId, given('blocks')),
        stands(t.blockStepDowns.createdAt, t.blockStepDowns.undoneAt, past),
      ),
    ),
);

/** Blocks with what is done at their stations: as planned, or as it was stepped down. */
async function withStations(ctx: Context, rows: readonly BlockRow[], past: Past | undefined): Promise<Block[]> {
  const planBlocks = [...new Set(rows.map(({ planBlockId }) => planBlockId))];
  const [stations, steppedDown] = await Promise.all([
    selectStations(ctx, { planBlocks }),
    selectStepDowns(ctx, { blocks: rows.map(({ id }) => id) }, past),
  ]);

  const insteadOf = new Map(steppedDown.map((row) => [`${row.blockId}/${row.stationId}`, row.spotting]));
  const stationsOf = grouped(stations, ({ planBlockId }) => planBlockId);
  return rows.map((row): Block => {
    const span = spanOf(row);
    const its = stationsOf(row.planBlockId);
    return {
      id: row.id,
      session: row.sessionId,
      group: row.groupId,
      areas: row.areas?.split(',') ?? [],
      span,
      programmes: [row.programmeId],
      levels: row.levels?.split(',') ?? [],
      activity: row.activity,
      confirmed: row.confirmedAt !== null,
      planWithdrawn: row.planState === 'withdrawn',
      stations: its.map(
        (station, position): Station => ({
          // Two blocks may be taught from one plan block: a station stands in each.
          id: `${row.id}/${station.id}`,
          apparatus: station.apparatusId,
          items: station.items,
          span: row.stationsRun === 'in-turn' ? turnOf(span, position, its.length) : span,
          spotting: insteadOf.get(`${row.id}/${station.id}`) ?? station.spotting ?? { mode: 'none' },
          easier: [],
        }),
      ),
    };
  });
}

/** The share of a block's span that falls to one of its stations run in turn, evenly, to the millisecond. */
function turnOf(span: Span, position: number, of: number): Span {
  const at = (turn: number) => span.from + Math.floor(((span.to - span.from) * turn) / of);
  return { from: at(position), to: at(position + 1) };
}

const selectRules = reading((tx, given: Given<OfDay>, past) =>
  tx
    .selectDistinctOn([t.ratioRules.id])
    .from(t.ratioRules)
    .where(
      and(
        ours(given, t.ratioRules),
        lte(t.ratioRules.from, given('day')),
        isKnown(t.ratioRules.createdAt, past),
        or(isNull(t.ratioRules.gymId), eq(t.ratioRules.gymId, given('gymId'))),
      ),
    )
    .orderBy(t.ratioRules.id, sql`${t.ratioRules.version} DESC`),
);

async function loadRules(ctx: Context, { gymId, day }: GymDay, past: Past | undefined): Promise<Rule[]> {
  const newest = await selectRules(ctx, { gymId, day }, past);
  return newest
    .filter(({ retired, until }) => !retired && (until === null || until > day))
    .map(
      (row): Rule => ({
        ...ruleOf(row.body),
        id: row.id,
        version: row.version,
        owner: row.gymId === null ? 'franchise' : 'gym',
        inForce: { from: row.from, to: row.until },
      }),
    );
}

const selectOverrides = reading((tx, given: Given<OfDay>, past) =>
  tx
    .select()
    .from(t.overrides)
    .where(
      and(
        ours(given, t.overrides),
        eq(t.overrides.gymId, given('gymId')),
        eq(t.overrides.day, given('day')),
        stands(t.overrides.createdAt, t.overrides.withdrawnAt, past),
      ),
    )
    .orderBy(t.overrides.id),
);

async function loadOverrides(ctx: Context, { gymId, day }: GymDay, past: Past | undefined): Promise<Override[]> {
  const rows = await selectOverrides(ctx, { gymId, day }, past);
  return rows.map((row) => ({
    id: row.id,
    unit: { per: row.per, id: row.unitId },
    span: spanOf(row),
    code: row.code,
    rule: row.ruleId,
    subjects: row.subjects,
    short: parseFraction(row.short),
  }));
}
