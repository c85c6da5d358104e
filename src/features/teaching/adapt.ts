import { sql } from 'drizzle-orm';
import { asChoice, uncovered } from '../../enforcement/choice.ts';
import type { Floors } from '../../enforcement/floors.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { contentOf } from '../curriculum/plan-content-repo.ts';
import type { PlanStation } from '../curriculum/plan-content-schema.ts';
import { holds } from '../people/persons.ts';
import type { Adaptation, NewAdaptation } from './adaptation-schema.ts';
import * as repo from './adaptations-repo.ts';
import { judgeDrill } from './other-drill.ts';
import { teachesOn } from './own-blocks.ts';
import { newsIn, unspottedAt } from './unspotted.ts';

/**
 * Teaches a station otherwise than its plan says, at a gym, in a class, a session or a block: a drill along the
 * progressions, an if-time step left out, or what the plan allows instead of a piece. A coach does so in their own
 * blocks. Another drill changes what the station asks of its spotter, so that it is a choice like any other; one that
 * asks for more is refused wherever it would not be spotted.
 */
export async function adapt(ctx: Context, gymId: string, wanted: NewAdaptation): Promise<Adaptation> {
  await refuseBeyondReach(ctx, gymId, wanted);
  const station = await repo.getStation(ctx, wanted.stationId);
  const { change } = wanted;
  const id =
    change.kind === 'drill'
      ? await doOtherDrill(ctx, gymId, wanted, change.drillId, station)
      : await doWithout(ctx, gymId, wanted, await plannedStation(ctx, station));
  const { per, unitId, stationId } = wanted;
  const drillId = change.kind === 'drill' ? change.drillId : null;
  const data = { kind: change.kind, unit: { per, id: unitId }, stationId, drillId };
  await ctx.record('teaching.adapted', { subjectId: id, gymId }, data);
  return repo.getAdaptation(ctx, gymId, id);
}

async function refuseBeyondReach(ctx: Context, gymId: string, { per, unitId }: repo.Unit): Promise<void> {
  if (!(await repo.isAtGym(ctx, gymId, { per, unitId }))) throw invalid('/unitId', `There is no such ${per} here.`);
  if (holds(ctx, 'plans.adapt', gymId)) return;
  if (per === 'block' && (await teachesOn(ctx, sql`b.id = ${unitId}`))) return;
  throw refuse('not-allowed', 'A coach adapts what they teach themselves: name a block of your own.', {
    permission: 'plans.adapt',
  });
}

type Station = Awaited<ReturnType<typeof repo.getStation>>;

async function plannedStation(ctx: Context, { id, versionId }: Station): Promise<PlanStation> {
  const { blocks } = await contentOf(ctx, versionId);
  return found(
    blocks.flatMap(({ stations }) => stations).find((one) => one.id === id),
    'station',
  );
}

/** Changes that no cover depends on: what spots a station stays as strict as it was. */
async function doWithout(ctx: Context, gymId: string, wanted: NewAdaptation, station: PlanStation): Promise<string> {
  const { change } = wanted;
  if (change.kind === 'drop-step') {
    const step = station.steps[change.step - 1];
    if (!step) throw invalid('/change/step', `That station has ${station.steps.length} step(s).`);
    if (step.weight !== 'if-time')
      throw invalid('/change/step', `Only an if-time step can be left out; that is ${step.weight}.`);
  }
  if (change.kind === 'set-up') {
    const piece = station.setUp.pieces[change.piece - 1];
    if (!piece) throw invalid('/change/piece', `That set-up has ${station.setUp.pieces.length} piece(s).`);
    if (!piece.orInstead[change.choice - 1]) {
      throw invalid('/change/choice', `The plan allows ${piece.orInstead.length} other(s) instead of that piece.`);
    }
  }
  return repo.insertAdaptation(ctx, gymId, wanted);
}

const lockAhead = (ctx: Context, gymId: string, unit: repo.Unit, planBlockId: string) =>
  lockCover(ctx, 'choice', async () => ({
    days: (await repo.blocksAhead(ctx, gymId, unit, planBlockId)).map(({ day }) => ({ gymId, day })),
  }));

async function doOtherDrill(
  ctx: Context,
  gymId: string,
  wanted: NewAdaptation,
  drillId: string,
  station: Station,
): Promise<string> {
  const lock = await lockAhead(ctx, gymId, wanted, station.planBlockId);
  const ahead = await repo.blocksAhead(ctx, gymId, wanted, station.planBlockId);
  if (ahead.length === 0) throw refuse('conflict', 'No block ahead is taught from that station there.');
  const judged = await judgeDrill(ctx, gymId, await plannedStation(ctx, station), drillId, ahead);
  const blockIds = ahead.map(({ id }) => id);
  const { done, after } = await asChoice(ctx, lock, async (before) => {
    await repo.insertOtherDrill(ctx, lock, gymId, station.id, blockIds, {
      drillId,
      spotting: judged.spotting,
      reason: wanted.reason,
    });
    const id = await repo.insertAdaptation(ctx, gymId, wanted, judged.direction);
    // A step up stands only where somebody may spot it; a step down, wherever nobody could spot what was done there either.
    return { id, before: judged.direction === 'harder' ? [] : before };
  });
  await refuseUnspotted(ctx, done.before, after, blockIds, station.id);
  return done.id;
}

/** Refuses where the station is not spotted, at a time at which it was before, whether the block is confirmed or not. */
async function refuseUnspotted(
  ctx: Context,
  before: Floors,
  after: Floors,
  blockIds: readonly string[],
  stationId: string,
): Promise<void> {
  for (const at of after) {
    const was = before.find(({ gymId, day }) => gymId === at.gymId && day === at.day);
    for (const blockId of blockIds) {
      const known = was === undefined ? [] : unspottedAt(was.floor, blockId, stationId);
      const findings = newsIn(unspottedAt(at.floor, blockId, stationId), known);
      if (findings.length > 0) throw await uncovered(ctx, 'not-covered', at, findings);
    }
  }
}

/** Teaches the station as its plan says again; refused where that would uncover a confirmed block. */
export async function undoAdaptation(ctx: Context, gymId: string, adaptationId: string): Promise<Adaptation> {
  const known = await repo.getAdaptation(ctx, gymId, adaptationId);
  await refuseBeyondReach(ctx, gymId, known);
  if (known.undoneAt !== null) throw refuse('conflict', 'That has been taken back already.');
  const { change, stationId } = known;
  if (change.kind === 'drill') {
    const { planBlockId } = await repo.getStation(ctx, stationId);
    const lock = await lockAhead(ctx, gymId, known, planBlockId);
    const { blockIds } = await repo.getAdaptation(ctx, gymId, adaptationId);
    if (blockIds.length === 0) throw refuse('conflict', 'No block ahead is taught otherwise by that.');
    await asChoice(ctx, lock, () => repo.takeBackDrill(ctx, lock, stationId, blockIds, change.drillId));
  }
  await repo.undoAdaptation(ctx, adaptationId);
  await ctx.record('teaching.adaptation-undone', { subjectId: adaptationId, gymId }, { stationId });
  return repo.getAdaptation(ctx, gymId, adaptationId);
}
