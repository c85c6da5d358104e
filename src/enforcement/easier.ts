import { and, eq, inArray, isNotNull, isNull, sql } from 'drizzle-orm';
import { type DrillNeed, isSpottedLess, spottingTogether } from '../cover/index.ts';
import type { Station } from '../cover/types.ts';
import type { Context } from '../platform/context.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import type { GymFloor } from './load-floor.ts';
import { grouped, some } from './rows.ts';

/** Steps down the progressions that are looked at. */
const DEEPEST = 8;

interface Below {
  drillId: string;
  /** How many steps down from what is done there; 0 is what is done. */
  depth: number;
  name: string;
  apparatusId: string;
  need: DrillNeed;
}

/** A drill that could be done at a station instead of what is done there now, with what the station then asks. */
export interface Easier {
  drillId: string;
  name: string;
  spotting: Station['spotting'];
}

/**
 * The floor, knowing of the stations of some blocks which drills down the progressions are spotted less than what is done
 * there: nearest first, on the same apparatus, as the drills are now. Read only where a change is looked for, since
 * cover itself does not depend on it.
 */
export async function withEasier(ctx: Context, at: GymFloor, blockIds: ReadonlySet<string>): Promise<GymFloor> {
  const spotted = at.floor.blocks
    .filter(({ id }) => blockIds.has(id))
    .flatMap(({ stations }) => stations.filter(({ spotting }) => spotting.mode !== 'none'));
  if (spotted.length === 0) return at;
  const easier = await easierFor(ctx, spotted);
  const knowing = (station: Station): Station => ({
    ...station,
    easier: (easier.get(station.id) ?? []).map(({ drillId, spotting }) => ({ drill: drillId, spotting })),
  });
  const blocks = at.floor.blocks.map((block) =>
    blockIds.has(block.id) ? { ...block, stations: block.stations.map(knowing) } : block,
  );
  return { ...at, floor: { ...at.floor, blocks } };
}

/** The easier drills of stations ("block/station"), by the station. */
export async function easierFor(ctx: Context, stations: readonly Station[]): Promise<Map<string, Easier[]>> {
  const done = await drillsDone(ctx, stations);
  const below = await drillsBelow(ctx, [...new Set([...done.values()].flatMap((drills) => [...drills.keys()]))]);
  const ways = await waysAmong(ctx, [...new Set([...below.values()].flat().map(({ drillId }) => drillId))]);
  return new Map(
    stations.map((station) => [station.id, easierAt(station, done.get(station.id) ?? new Map(), below, ways)]),
  );
}

function easierAt(
  station: Station,
  done: Done,
  below: ReadonlyMap<string, Below[]>,
  ways: (drillId: string) => ReadonlySet<string>,
): Easier[] {
  const all = new Map<string, Below>();
  for (const one of [...done.keys()].flatMap((drill) => below.get(drill) ?? [])) {
    const known = all.get(one.drillId);
    if (known === undefined || one.depth < known.depth) all.set(one.drillId, one);
  }
  const candidates = [...all.values()]
    .filter(({ drillId, apparatusId }) => apparatusId === station.apparatus && !done.has(drillId))
    .sort((a, b) => a.depth - b.depth || (a.drillId < b.drillId ? -1 : 1));
  return candidates.flatMap(({ drillId, name, need }) => {
    // What it leads to is what it takes the place of; the rest of the station stays as it is.
    const kept = [...done]
      .filter(([drill]) => !ways(drill).has(drillId))
      .flatMap(([drill, published]) => published ?? all.get(drill)?.need ?? []);
    const spotting = spottingTogether([need, ...kept]);
    return spotting !== null && isSpottedLess(spotting, station.spotting) ? [{ drillId, name, spotting }] : [];
  });
}

/** Drills done at a station, with what each asked of its spotter when the plan was published, where that is on record. */
type Done = ReadonlyMap<string, DrillNeed | null>;

/** What is done at each station: its plan's drills, or the one that it was stepped down to. */
async function drillsDone(ctx: Context, stations: readonly Station[]): Promise<Map<string, Done>> {
  const [blockIds, stationIds] = [
    stations.map(({ id }) => partsOf(id).blockId),
    stations.map(({ id }) => partsOf(id).stationId),
  ];
  const steps = await ctx.tx
    .select({
      stationId: t.planSteps.stationId,
      drillId: t.planStepDrills.drillId,
      spotting: t.planStepDrills.spotting,
    })
    .from(t.planSteps)
    .innerJoin(t.planStepDrills, and(ours(ctx, t.planStepDrills), eq(t.planStepDrills.stepId, t.planSteps.id)))
    .where(and(ours(ctx, t.planSteps), inArray(t.planSteps.stationId, some(stationIds))))
    .orderBy(t.planSteps.position, t.planStepDrills.position);
  const instead = await ctx.tx
    .select({
      blockId: t.blockStepDowns.blockId,
      stationId: t.blockStepDowns.stationId,
      drillId: t.blockStepDowns.drillId,
    })
    .from(t.blockStepDowns)
    .where(
      and(
        ours(ctx, t.blockStepDowns),
        inArray(t.blockStepDowns.blockId, some(blockIds)),
        isNull(t.blockStepDowns.undoneAt),
      ),
    );
  const stepsOf = grouped(steps, ({ stationId }) => stationId);
  const steppedTo = new Map(instead.map((row) => [`${row.blockId}/${row.stationId}`, row.drillId]));
  return new Map(
    stations.map(({ id }) => {
      const drill = steppedTo.get(id);
      if (drill !== undefined) return [id, new Map([[drill, null]])];
      return [id, new Map(stepsOf(partsOf(id).stationId).map(({ drillId, spotting }) => [drillId, needOf(spotting)]))];
    }),
  );
}

const needOf = (spotting: Station['spotting'] | null): DrillNeed | null =>
  spotting && { spotting, skills: spotting.mode === 'none' ? [] : spotting.skills };

/** The engine's station is a plan's station in one block. */
export function partsOf(id: string): { blockId: string; stationId: string } {
  const [blockId = '', stationId = ''] = id.split('/');
  return { blockId, stationId };
}

/** Each of these drills with all that lead to it, by the drill, with what each asks of its spotter. */
async function drillsBelow(ctx: Context, drillIds: readonly string[]): Promise<Map<string, Below[]>> {
  const { rows } = await ctx.tx.execute<{ from_id: string; drill_id: string; depth: number }>(sql`
    WITH RECURSIVE below (from_id, drill_id, depth) AS (
      SELECT id, id, 0 FROM unnest(${sql.param(drillIds)}::uuid[]) AS done (id)
      UNION
      SELECT b.from_id, p.easier_id, b.depth + 1 FROM below b
      JOIN progressions p ON p.franchise_id = ${ctx.franchiseId} AND p.harder_id = b.drill_id
      WHERE b.depth < ${DEEPEST})
    SELECT from_id::text, drill_id::text, min(depth)::int AS depth FROM below GROUP BY from_id, drill_id`);
  const ids = some(rows.map((row) => row.drill_id));
  const drills = await ctx.tx
    .select()
    .from(t.drills)
    .where(and(ours(ctx, t.drills), inArray(t.drills.id, ids)));
  const signOffs = await ctx.tx
    .select({ drillId: t.drillSkills.drillId, skill: t.drillSkills.skillId, level: t.drillSkills.signOff })
    .from(t.drillSkills)
    .where(and(ours(ctx, t.drillSkills), inArray(t.drillSkills.drillId, ids), isNotNull(t.drillSkills.signOff)));
  const skillsOf = grouped(signOffs, ({ drillId }) => drillId);
  const known = new Map(
    drills.map((drill) => {
      const { id, name, apparatusId, spottingMode: mode, spottingKindId: kind, spottingGrade: grade } = drill;
      const isSpotted = mode !== 'none' && kind !== null && grade !== null;
      const spotting: Station['spotting'] = isSpotted ? { mode, kind, grade, skills: [] } : { mode: 'none' };
      const skills = skillsOf(id).flatMap(({ skill, level }) => (level === null ? [] : [{ skill, level }]));
      return [id, { name, apparatusId, need: { spotting, skills } }];
    }),
  );
  const found = new Map<string, Below[]>();
  for (const row of rows) {
    const drill = known.get(row.drill_id);
    if (drill === undefined) continue;
    found.set(row.from_id, [...(found.get(row.from_id) ?? []), { drillId: row.drill_id, depth: row.depth, ...drill }]);
  }
  return found;
}

/** Among these drills: which lead to one, at any distance, itself included. */
async function waysAmong(ctx: Context, drillIds: readonly string[]): Promise<(drillId: string) => ReadonlySet<string>> {
  const rows = await ctx.tx
    .select({ easierId: t.progressions.easierId, harderId: t.progressions.harderId })
    .from(t.progressions)
    .where(and(ours(ctx, t.progressions), inArray(t.progressions.harderId, some(drillIds))));
  const easierOf = grouped(rows, ({ harderId }) => harderId);
  const known = new Map<string, Set<string>>();
  return (drillId) => {
    const found = known.get(drillId) ?? new Set([drillId]);
    if (!known.has(drillId)) {
      for (const one of found) for (const { easierId } of easierOf(one)) found.add(easierId);
      known.set(drillId, found);
    }
    return found;
  };
}

/** A drill's name, for a sentence. */
export async function drillNames(ctx: Context, drillIds: readonly string[]): Promise<Map<string, string>> {
  const rows = await ctx.tx
    .select({ id: t.drills.id, name: t.drills.name })
    .from(t.drills)
    .where(and(ours(ctx, t.drills), inArray(t.drills.id, some(drillIds))));
  return new Map(rows.map(({ id, name }) => [id, name]));
}
