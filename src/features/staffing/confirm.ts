import { uncoveredBlocks } from '../../cover/index.ts';
import { asChoice, uncovered } from '../../enforcement/choice.ts';
import { floorAt } from '../../enforcement/floors.ts';
import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import { asIfConfirmed } from './cover.ts';
import * as repo from './repo.ts';

/** Confirms one block: refused, with findings and remedies, until it is covered. Confirmed already is fine. */
export const confirmBlock = (ctx: Context, gymId: string, blockId: string) =>
  confirm(ctx, gymId, async () => {
    const { at } = await repo.getBlockUnit(ctx, gymId, blockId);
    return { day: at.day, blockIds: [blockId] };
  });

/** Confirms all blocks of a session that have not ended, together or not at all. */
export const confirmSession = (ctx: Context, gymId: string, sessionId: string) =>
  confirm(ctx, gymId, async () => {
    const { session } = await repo.getSessionUnit(ctx, gymId, sessionId);
    const blocks = await repo.blocksOfSession(ctx, gymId, sessionId);
    if (blocks.length === 0) throw refuse('conflict', 'It has no blocks yet: lay them out first.');
    const blockIds = blocks.filter(({ endsAt }) => endsAt > ctx.now).map(({ id }) => id);
    return { day: session.day, blockIds };
  });

async function confirm(
  ctx: Context,
  gymId: string,
  wanted: () => Promise<{ day: string; blockIds: string[] }>,
): Promise<{ confirmed: string[] }> {
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [{ gymId, day: (await wanted()).day }] }));
  const { day, blockIds } = await wanted();
  const { done } = await asChoice(ctx, lock, async (before) => {
    const at = floorAt(before, gymId, day);
    const ahead = at.floor.blocks.filter(({ id, span }) => blockIds.includes(id) && span.to > ctx.now.getTime());
    if (ahead.length === 0) throw refuse('already-over', 'There is nothing left of it to confirm.');
    const floor = asIfConfirmed(at.floor, ...blockIds);
    const short = uncoveredBlocks(floor).filter(({ block }) => blockIds.includes(block));
    if (short.length > 0)
      throw await uncovered(
        ctx,
        'not-covered',
        { ...at, floor },
        short.flatMap(({ findings }) => findings),
      );
    return confirmBlocks(ctx, lock, blockIds, 'hand');
  });
  return { confirmed: done };
}

/** Stores the confirmation of blocks that were found covered, and says so. */
export async function confirmBlocks(ctx: Context, lock: CoverLock, blockIds: readonly string[], by: 'hand' | 'sweep') {
  const rows = await repo.setConfirmed(ctx, lock, blockIds);
  for (const { id, gymId, revision } of rows) {
    await ctx.record('staffing.confirmed', { subjectId: id, gymId, revision }, { blockId: id, by });
  }
  return rows.map(({ id }) => id);
}

/** Takes a confirmation back by hand, with a reason; the sweep then keeps away from that block. */
export async function unconfirmBlock(ctx: Context, gymId: string, blockId: string, why: string) {
  const get = () => repo.getBlockUnit(ctx, gymId, blockId);
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [{ gymId, day: (await get()).at.day }] }));
  const { block } = await get();
  if (block.endsAt <= ctx.now) throw refuse('already-over', 'That block has ended.');
  if (block.confirmedAt === null) throw refuse('conflict', 'That block is not confirmed.');
  const { done } = await asChoice(ctx, lock, () => repo.setUnconfirmed(ctx, lock, blockId, why));
  await ctx.record('staffing.unconfirmed', { subjectId: blockId, gymId, revision: done.revision }, { blockId, why });
}
