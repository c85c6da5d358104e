import { sql } from 'drizzle-orm';
import { asChoice } from '../../enforcement/choice.ts';
import { type CoverLock, type GymDay, lockCover, lockGym } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { StartOver } from '../../platform/db/constraint.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { contentOf } from '../curriculum/plan-content-repo.ts';
import type { PlanStation } from '../curriculum/plan-content-schema.ts';
import { holds } from '../people/persons.ts';
import { settleOtherDrills } from '../schedule/other-drills.ts';
import { takeBackOtherDrills } from '../schedule/other-drills-repo.ts';
import { refuseUnspotted } from '../staffing/unspotted.ts';
import type { Adaptation, NewAdaptation } from './adaptation-schema.ts';
import * as repo from './adaptations-repo.ts';
import { judgeDrill } from './other-drill.ts';
import { teachesOn } from './own-blocks.ts';

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
      : await doWithout(ctx, gymId, wanted, station);
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
async function doWithout(ctx: Context, gymId: string, wanted: NewAdaptation, its: Station): Promise<string> {
  const station = await plannedStation(ctx, its);
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
  const ahead = await repo.blocksAhead(ctx, gymId, wanted, its.planBlockId);
  if (!hasMoreToCome(wanted)) refuseNoneAhead(ahead);
  return repo.insertAdaptation(ctx, gymId, wanted, null);
}

function refuseNoneAhead(ahead: readonly repo.BlockAhead[]): void {
  if (ahead.length === 0) throw refuse('conflict', 'No block ahead is taught from that station there.');
}

/** May blocks be laid out for it that are not there yet, in sessions to come? */
const hasMoreToCome = ({ per }: repo.Unit) => per === 'gym' || per === 'class';

/** Holds the days of the blocks ahead within a unit, and its classes, so that no block comes to it meanwhile. */
async function lockAhead(ctx: Context, gymId: string, unit: repo.Unit, planBlockId: string) {
  if (unit.per === 'gym') await lockGym(ctx, gymId, 'alone');
  const lock = await lockCover(ctx, 'choice', async () => ({
    classes: await repo.classesIn(ctx, gymId, unit),
    days: (await repo.blocksAhead(ctx, gymId, unit, planBlockId)).map(({ day }) => ({ gymId, day })),
  }));
  const ahead = await repo.blocksAhead(ctx, gymId, unit, planBlockId);
  if (ahead.some(({ day }) => !isHeld(lock, { gymId, day }))) throw new StartOver();
  // Whose blocks these are may have changed until they were held.
  await refuseBeyondReach(ctx, gymId, unit);
  return { lock, ahead };
}

const isHeld = ({ days }: CoverLock, { gymId, day }: GymDay) =>
  days === 'all' || days.some((held) => held.gymId === gymId && held.day === day);

async function doOtherDrill(
  ctx: Context,
  gymId: string,
  wanted: NewAdaptation,
  drillId: string,
  station: Station,
): Promise<string> {
  const { lock, ahead } = await lockAhead(ctx, gymId, wanted, station.planBlockId);
  refuseNoneAhead(ahead);
  const judged = await judgeDrill(ctx, gymId, await plannedStation(ctx, station), drillId, ahead);
  const blockIds = ahead.map(({ id }) => id);
  const { done, after } = await asChoice(ctx, lock, async (before) => {
    const instead = await repo.undoOtherDrill(ctx, wanted, station.id);
    if (instead !== null) await recordUndone(ctx, gymId, instead, station.id);
    const id = await repo.insertAdaptation(ctx, gymId, wanted, judged);
    // Nothing is narrower than a block, so that it takes the place of what was chosen to have it spotted.
    if (wanted.per === 'block') await takeBackOtherDrills(ctx, lock, blockIds, station.id);
    const news = await settleOtherDrills(ctx, lock, blockIds, station.id, [id, instead]);
    return { id, news, before };
  });
  await refuseUnspotted(ctx, done.before, after, done.news);
  return done.id;
}

/**
 * Teaches the station as it would be without that: as another adaptation says, of a wider unit, or the plan. Refused where
 * that would uncover a confirmed block, where nobody may spot what the other adaptation says, and where there is nothing
 * ahead: what was taught stays.
 */
export async function undoAdaptation(ctx: Context, gymId: string, adaptationId: string): Promise<Adaptation> {
  const known = await repo.getAdaptation(ctx, gymId, adaptationId);
  await refuseBeyondReach(ctx, gymId, known);
  if (known.undoneAt !== null) throw alreadyUndone();
  const { change, stationId } = known;
  const { planBlockId } = await repo.getStation(ctx, stationId);
  if (!hasMoreToCome(known) && (await repo.blocksAhead(ctx, gymId, known, planBlockId)).length === 0) {
    throw refuse('conflict', 'No block ahead is taught otherwise by that.');
  }
  if (change.kind === 'drill') {
    const { lock, ahead } = await lockAhead(ctx, gymId, known, planBlockId);
    const blockIds = ahead.map(({ id }) => id);
    const { done, after } = await asChoice(ctx, lock, async (before) => {
      await undoOnce(ctx, adaptationId);
      return { before, news: await settleOtherDrills(ctx, lock, blockIds, stationId, [adaptationId]) };
    });
    await refuseUnspotted(ctx, done.before, after, done.news);
  } else await undoOnce(ctx, adaptationId);
  await recordUndone(ctx, gymId, adaptationId, stationId);
  return repo.getAdaptation(ctx, gymId, adaptationId);
}

/** Of two who take it back at once, one does. */
async function undoOnce(ctx: Context, adaptationId: string): Promise<void> {
  if (!(await repo.undoAdaptation(ctx, adaptationId))) throw alreadyUndone();
}

const alreadyUndone = () => refuse('conflict', 'That has been taken back already.');

const recordUndone = (ctx: Context, gymId: string, adaptationId: string, stationId: string) =>
  ctx.record('teaching.adaptation-undone', { subjectId: adaptationId, gymId }, { stationId });
