import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import * as repo from './other-drills-repo.ts';

const keyOf = ({ blockId, stationId }: { blockId: string; stationId: string }) => `${blockId}/${stationId}`;

/**
 * Has done at a station of blocks what stands for them: the drill of the narrowest adaptation, else what the plan says.
 * What was chosen for a block alone, to have it spotted, stays. Gives the blocks in which something else is done now.
 */
export async function settleOtherDrills(
  ctx: Context,
  lock: CoverLock,
  blockIds: readonly string[],
  stationId: string,
): Promise<string[]> {
  const wanted = new Map((await repo.standingDrills(ctx, blockIds, stationId)).map((one) => [keyOf(one), one]));
  const done = new Map((await repo.otherDrillsAt(ctx, blockIds, stationId)).map((one) => [keyOf(one), one]));
  const changed = blockIds.filter((blockId) => {
    const key = keyOf({ blockId, stationId });
    const was = done.get(key);
    return was?.adaptationId !== null && was?.adaptationId !== wanted.get(key)?.adaptationId;
  });
  await repo.takeBackOtherDrills(ctx, lock, changed, stationId);
  const news = changed.flatMap((blockId) => wanted.get(keyOf({ blockId, stationId })) ?? []);
  await repo.insertOtherDrills(ctx, lock, news.map(asDone));
  return changed;
}

/**
 * Has done at stations of blocks that are newly laid out, or newly taught from a version, the easier drills that stand for
 * their gym, class or session. Not what is harder, nor what has to be spotted where the plan asks for nobody: that stands
 * only where somebody may spot it, which is judged where it is adapted.
 */
export async function takeUpOtherDrills(ctx: Context, lock: CoverLock, blockIds: readonly string[]): Promise<void> {
  const standing = await repo.standingDrills(ctx, blockIds);
  const safe = standing.filter(
    ({ per, direction, spotting, isPlanSpotted }) =>
      per !== 'block' && direction === 'easier' && (spotting.mode === 'none' || isPlanSpotted),
  );
  await repo.insertOtherDrills(ctx, lock, safe.map(asDone));
}

const asDone = ({ per: _, direction: __, isPlanSpotted: ___, ...drill }: repo.StandingDrill): repo.NewOtherDrill =>
  drill;
