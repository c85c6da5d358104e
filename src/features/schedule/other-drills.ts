import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import * as repo from './other-drills-repo.ts';

/**
 * Has done at a station of blocks what stands for them, wherever it is done for one of these adaptations, or comes to be:
 * the drill of the narrowest unit, else what the plan says. What was chosen for a block alone, to have it spotted, stays.
 * Gives what is done now that was not; whoever calls sees to its being spotted.
 */
export async function settleOtherDrills(
  ctx: Context,
  lock: CoverLock,
  blockIds: readonly string[],
  stationId: string,
  about: readonly (string | null)[],
): Promise<NewlyDone[]> {
  const byBlock = <T extends { blockId: string }>(rows: readonly T[]) =>
    new Map(rows.map((one) => [one.blockId, one] as const));
  const wanted = byBlock(await repo.standingDrills(ctx, blockIds, stationId));
  const done = byBlock(await repo.otherDrillsAt(ctx, blockIds, stationId));
  const changed = blockIds.filter((blockId) => {
    // By hand: null; as planned: undefined.
    const was = done.get(blockId)?.adaptationId;
    const next = wanted.get(blockId)?.adaptationId;
    return was !== null && was !== next && about.some((one) => one === was || one === next);
  });
  await repo.takeBackOtherDrills(ctx, lock, changed, stationId);
  const news = changed.flatMap((blockId) => wanted.get(blockId) ?? []);
  await repo.insertOtherDrills(ctx, lock, news.map(asDone));
  return news.map((drill) => newlyDone(drill, done.get(drill.blockId)));
}

/** A drill that comes to be done at a station of a block: did what was done there before ask for somebody to spot it? */
export interface NewlyDone extends repo.StandingDrill {
  wasSpotted: boolean;
}

const newlyDone = (drill: repo.StandingDrill, before: repo.OtherDrill | undefined): NewlyDone => ({
  ...drill,
  wasSpotted: before ? before.spotting.mode !== 'none' : drill.isPlanSpotted,
});

/**
 * Does at a station of a block what stands for it, in place of what was chosen there by hand. Gives what is done now, none
 * where that is what the plan says; whoever calls sees to its being spotted.
 */
export async function undoByHand(
  ctx: Context,
  lock: CoverLock,
  blockId: string,
  stationId: string,
): Promise<{ undone: repo.OtherDrill | undefined; news: NewlyDone[] }> {
  const [undone] = await repo.takeBackOtherDrills(ctx, lock, [blockId], stationId);
  const news = await repo.standingDrills(ctx, [blockId], stationId);
  await repo.insertOtherDrills(ctx, lock, news.map(asDone));
  return { undone, news: news.map((drill) => newlyDone(drill, undone)) };
}

/**
 * Is an adaptation's drill done in blocks that are laid out later? Not what is harder, nor what has to be spotted where the
 * plan asks for nobody: that stands only where somebody may spot it, which is judged where it is adapted.
 */
export const isTakenUp = ({
  direction,
  spotting,
  isPlanSpotted,
}: Pick<repo.StandingDrill, 'direction' | 'spotting' | 'isPlanSpotted'>): boolean =>
  direction === 'easier' && (spotting.mode === 'none' || isPlanSpotted);

/** Has done at stations of blocks that are newly laid out, or newly taught from a version, what stands for them and is taken up. */
export async function takeUpOtherDrills(ctx: Context, lock: CoverLock, blockIds: readonly string[]): Promise<void> {
  const standing = await repo.standingDrills(ctx, blockIds);
  await repo.insertOtherDrills(ctx, lock, standing.filter(isTakenUp).map(asDone));
}

const asDone = ({ direction: _, isPlanSpotted: __, day: ___, ...drill }: repo.StandingDrill): repo.NewOtherDrill =>
  drill;
