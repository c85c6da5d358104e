import { and, eq } from 'drizzle-orm';
import { z } from 'zod';
import type { Spotting } from '../../cover/index.ts';
import { asChoice } from '../../enforcement/choice.ts';
import { easierFor } from '../../enforcement/easier.ts';
import { floorAt } from '../../enforcement/floors.ts';
import type { GymFloor } from '../../enforcement/load-floor.ts';
import { lockCover } from '../../enforcement/lock.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { Id, Instant, instantOf, maybeInstant, Reason } from '../../platform/http/wire.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { blockStepDowns } from '../../tables/schedule.ts';
import { undoByHand } from '../schedule/other-drills.ts';
import { insertOtherDrills, type OtherDrill, takeBackOtherDrills } from '../schedule/other-drills-repo.ts';
import { Covered, coveredBy } from './cover.ts';
import * as repo from './repo.ts';
import { refuseUnspotted } from './unspotted.ts';

export const NewStepDown = z
  .strictObject({
    stationId: Id.meta({ description: 'Of the block’s plan' }),
    drillId: Id.meta({ description: 'A drill that leads to what is done there, and is spotted less' }),
    reason: Reason,
  })
  .meta({
    id: 'NewStepDown',
    example: {
      stationId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
      drillId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a12',
      reason: 'Nobody who may spot the vault by hand is here today.',
    },
  });
export type NewStepDown = z.output<typeof NewStepDown>;

export const StepDown = z
  .strictObject({
    id: Id,
    blockId: Id,
    stationId: Id,
    drillId: Id,
    adaptationId: Id.nullable().meta({
      description:
        'The adaptation that it is done for, and that is undone instead of it; null: chosen for this block alone',
    }),
    reason: Reason,
    createdAt: Instant,
    undoneAt: Instant.nullable(),
  })
  .meta({ id: 'StepDown', description: 'At one station of one block, an easier drill instead of the plan’s' });
export type StepDown = z.output<typeof StepDown>;
export const SteppedDown = z.strictObject({ stepDown: StepDown, cover: Covered }).meta({ id: 'SteppedDown' });

const stepDownOnWire = (row: OtherDrill): StepDown => ({
  id: row.id,
  blockId: row.blockId,
  stationId: row.stationId,
  drillId: row.drillId,
  adaptationId: row.adaptationId,
  reason: row.reason,
  createdAt: instantOf(row.createdAt),
  undoneAt: maybeInstant(row.undoneAt),
});

interface BlockAt {
  gymId: string;
  blockId: string;
}

/**
 * Does an easier drill at one station of a block: one that leads to what is done there, and is spotted less. What the
 * station asks of its spotter from then on is what the drills ask on that day. A coach may do so at their own blocks.
 */
export async function stepDown(ctx: Context, { gymId, blockId }: BlockAt, { stationId, drillId, reason }: NewStepDown) {
  const lock = await lockBlock(ctx, gymId, blockId);
  const { at } = await getBlockAhead(ctx, gymId, blockId);
  const { done, after } = await asChoice(ctx, lock, async (before) => {
    const here = floorAt(before, gymId, at.day);
    refuseOthersBlock(ctx, here, blockId);
    const spotting = await spottingAfter(ctx, here, blockId, { stationId, drillId });
    await takeBackOtherDrills(ctx, lock, [blockId], stationId);
    const createdBy = ctx.accountId;
    const chosen = { gymId, blockId, stationId, drillId, adaptationId: null, spotting, reason, createdBy };
    const [row] = await insertOtherDrills(ctx, lock, [chosen]);
    return found(row, 'step-down');
  });
  await ctx.record('staffing.stepped-down', { subjectId: done.id, gymId }, { blockId, stationId, drillId });
  return { stepDown: stepDownOnWire(done), cover: await coveredBy(ctx, floorAt(after, gymId, at.day), at.unit) };
}

/**
 * Does again what stands for the block without that: as an adaptation says, or the plan. Refused when that would uncover a
 * confirmed block, and where nobody may spot what the adaptation says. What is itself done for an adaptation is not undone
 * here: it would go on standing for that block, and whoever may adapt no more than a block would undo it for a class.
 */
export async function undoStepDown(ctx: Context, { gymId, blockId }: BlockAt, stepDownId: string): Promise<StepDown> {
  const lock = await lockBlock(ctx, gymId, blockId);
  const { at } = await getBlockAhead(ctx, gymId, blockId);
  const [known] = await ctx.tx
    .select()
    .from(blockStepDowns)
    .where(and(ours(ctx, blockStepDowns), eq(blockStepDowns.blockId, blockId), eq(blockStepDowns.id, stepDownId)));
  const { stationId, adaptationId, undoneAt } = found(known, 'step-down');
  if (undoneAt !== null) throw refuse('conflict', 'That has been taken back already.');
  if (adaptationId !== null) {
    throw refuse(
      'conflict',
      `That is done for adaptation ${adaptationId}: undo it, or step down for this block alone.`,
    );
  }
  const { done: undone, after } = await asChoice(ctx, lock, async (before) => {
    refuseOthersBlock(ctx, floorAt(before, gymId, at.day), blockId);
    return { before, ...(await undoByHand(ctx, lock, blockId, stationId)) };
  });
  await refuseUnspotted(ctx, undone.before, after, undone.news);
  const done = found(undone.undone, 'step-down');
  await ctx.record('staffing.step-down-undone', { subjectId: stepDownId, gymId }, { blockId, stationId });
  return stepDownOnWire(done);
}

const lockBlock = (ctx: Context, gymId: string, blockId: string) =>
  lockCover(ctx, 'choice', async () => ({
    days: [{ gymId, day: (await repo.getBlockUnit(ctx, gymId, blockId)).at.day }],
  }));

async function getBlockAhead(ctx: Context, gymId: string, blockId: string) {
  const known = await repo.getBlockUnit(ctx, gymId, blockId);
  if (known.block.endsAt <= ctx.now) throw refuse('already-over', 'That block has ended.');
  return known;
}

/** A coach changes only what they teach: to shadow is to watch. */
function refuseOthersBlock(ctx: Context, { gymId, floor }: GymFloor, blockId: string): void {
  const scopes = scopesAt(ctx, 'plans.adapt', gymId);
  if (scopes.has('franchise') || scopes.has('gym')) return;
  const session = floor.blocks.find(({ id }) => id === blockId)?.session;
  const places = floor.staff.find(({ person }) => person === ctx.personId)?.at ?? [];
  if (places.some(({ unit, duty }) => duty !== 'shadow' && (unit.id === blockId || unit.id === session))) return;
  throw refuse('not-allowed', 'You do not teach that block.', { permission: 'plans.adapt' });
}

async function spottingAfter(
  ctx: Context,
  { floor }: GymFloor,
  blockId: string,
  { stationId, drillId }: Pick<NewStepDown, 'stationId' | 'drillId'>,
): Promise<Spotting> {
  const block = floor.blocks.find(({ id }) => id === blockId);
  const station = block?.stations.find(({ id }) => id === `${blockId}/${stationId}`);
  if (!station) throw invalid('/stationId', 'There is no such station in that block.');
  const easier = (await easierFor(ctx, [station])).get(station.id) ?? [];
  const chosen = easier.find((one) => one.drillId === drillId);
  if (chosen) return chosen.spotting;
  const names = easier.slice(0, 5).map(({ name }) => `“${name}”`);
  const offered = names.length === 0 ? 'there is none in the progressions' : `expected one of ${names.join(', ')}`;
  throw invalid('/drillId', `It does not lead to what is done there, or is not spotted less: ${offered}.`);
}
