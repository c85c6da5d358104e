import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { blocksOf, repinBlocks } from './blocks-repo.ts';
import { takeUpOtherDrills } from './other-drills.ts';
import { takeBackOtherDrills } from './other-drills-repo.ts';
import { areasOf, findPublished, getVersion, planBlocksOf } from './plan-repo.ts';
import { readSession } from './read-sessions.ts';
import { getSession, getSessionAt, updateSession } from './repo.ts';
import type { WholeSession } from './schema.ts';

/**
 * Pins a session's blocks to another published version of their plan, each to the block that has its position there: to
 * the one that is named, else to the newest in effect that day, which has to be newer than theirs unless that has been
 * withdrawn. Times and areas stay; what was done otherwise at their stations is taken back, and what
 * stands for those of the other version is taken up. Blocks that have ended stay
 * pinned to what was taught.
 */
export async function takePlanVersion(
  ctx: Context,
  gymId: string,
  sessionId: string,
  ifMatch: number,
  planVersionId?: string,
): Promise<WholeSession> {
  const lock = await lockCover(ctx, 'choice', async () => {
    const { day, classId } = await getSession(ctx, gymId, sessionId);
    return { classes: [classId], days: [{ gymId, day }], sessions: [sessionId] };
  });
  const session = await getSessionAt(ctx, lock, gymId, sessionId, ifMatch);
  if (session.planVersionId === null) throw refuse('conflict', 'No blocks are laid out in this session yet.');

  const { planId, number, state } = await getVersion(ctx, session.planVersionId);
  const next = await findPublished(ctx, planVersionId === undefined ? { planId, day: session.day } : { planVersionId });
  if (next === null || next.planId !== planId) {
    if (planVersionId !== undefined) throw invalid('/planVersionId', 'Expected a published version of the same plan.');
    throw refuse('conflict', 'No version of that plan is published and in effect that day.');
  }
  if (next.id === session.planVersionId) throw refuse('conflict', `The session is on version ${number} already.`);

  if (planVersionId === undefined && next.number < number && state !== 'withdrawn') {
    throw refuse('conflict', `The session is on version ${number}, and no newer one is in effect that day.`);
  }

  const ahead = (await blocksOf(ctx, sessionId)).filter(({ endsAt }) => endsAt > ctx.now);
  const theirs = new Map((await planBlocksOf(ctx, next.id)).map((block) => [block.position, block]));
  const used = new Map((await planBlocksOf(ctx, session.planVersionId)).map((block) => [block.id, block.apparatusIds]));
  const standing = new Map((await areasOf(ctx, gymId)).map((area) => [area.id, area.apparatusIds]));
  const pins = ahead.map(({ id, position, title, planBlockId, areaIds }) => {
    const planned = theirs.get(position);
    if (planned === undefined) {
      throw refuse(
        'conflict',
        `Version ${next.number} has no block ${position}, where “${title}” was: lay it out anew.`,
      );
    }
    const known = new Set([...(used.get(planBlockId) ?? []), ...areaIds.flatMap((area) => standing.get(area) ?? [])]);
    if (!planned.apparatusIds.every((apparatusId) => known.has(apparatusId))) {
      throw refuse(
        'conflict',
        `Version ${next.number} uses apparatus that does not stand where “${title}” is taught: lay it out anew.`,
      );
    }
    return { blockId: id, planBlockId: planned.id };
  });
  const { done: steppedBack } = await asChoice(ctx, lock, async () => {
    await repinBlocks(ctx, lock, next.id, pins);
    await updateSession(ctx, lock, sessionId, { planVersionId: next.id });
    const blockIds = pins.map(({ blockId }) => blockId);
    const takenBack = await takeBackOtherDrills(ctx, lock, blockIds);
    await takeUpOtherDrills(ctx, lock, blockIds);
    return [...new Set(takenBack.map(({ blockId }) => blockId))].sort();
  });
  const whole = await readSession(ctx, gymId, sessionId);
  await ctx.record(
    'schedule.plan-version-taken',
    { subjectId: sessionId, gymId, revision: whole.revision },
    { sessionId, planVersionId: next.id, steppedBack },
  );
  return whole;
}
