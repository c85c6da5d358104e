import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { blocksOf, repinBlocks } from './blocks-repo.ts';
import { findPublished, getVersion, planBlocksOf } from './plan-repo.ts';
import { readSession } from './read-sessions.ts';
import { getSession, getSessionAt, updateSession } from './repo.ts';
import type { WholeSession } from './schema.ts';

/**
 * Pins a session's blocks to another published version of their plan, the newest unless one is named: each to the block
 * that has its position there. Times and areas stay. Blocks that have ended stay pinned to what was taught.
 */
export async function takePlanVersion(
  ctx: Context,
  gymId: string,
  sessionId: string,
  ifMatch: number,
  planVersionId?: string,
): Promise<WholeSession> {
  const lock = await lockCover(ctx, 'choice', async () => {
    const { day } = await getSession(ctx, gymId, sessionId);
    return { days: [{ gymId, day }], sessions: [sessionId] };
  });
  const session = await getSessionAt(ctx, lock, gymId, sessionId, ifMatch);
  if (session.planVersionId === null) throw refuse('conflict', 'No blocks are laid out in this session yet.');

  const { planId, number } = await getVersion(ctx, session.planVersionId);
  const next = await findPublished(ctx, planVersionId === undefined ? { planId } : { planVersionId });
  if (next === null || next.planId !== planId) {
    if (planVersionId !== undefined) throw invalid('/planVersionId', 'Expected a published version of the same plan.');
    throw refuse('conflict', 'No version of that plan is published.');
  }
  if (next.id === session.planVersionId) throw refuse('conflict', `The session is on version ${number} already.`);

  const ahead = (await blocksOf(ctx, sessionId)).filter(({ endsAt }) => endsAt > ctx.now);
  const theirs = new Map((await planBlocksOf(ctx, next.id)).map(({ id, position }) => [position, id]));
  const pins = ahead.map(({ id, position, title }) => {
    const planBlockId = theirs.get(position);
    if (planBlockId === undefined) {
      throw refuse(
        'conflict',
        `Version ${next.number} has no block ${position}, where “${title}” was: lay it out anew.`,
      );
    }
    return { blockId: id, planBlockId };
  });
  await asChoice(ctx, lock, async () => {
    await repinBlocks(ctx, lock, next.id, pins);
    await updateSession(ctx, lock, sessionId, { planVersionId: next.id });
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.plan-version-taken',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, planVersionId: next.id },
  );
  return whole;
}
