import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';
import * as repo from './repo.ts';
import type { Assignment } from './schema.ts';

/** Takes somebody off a place: refused, with remedies, when a confirmed block would be left uncovered. */
export async function release(ctx: Context, gymId: string, assignmentId: string, reason: string): Promise<Assignment> {
  const get = () => repo.getAssignment(ctx, gymId, assignmentId);
  const lock = await lockCover(ctx, 'choice', async () => {
    const { day, personId } = await get();
    return { days: [{ gymId, day }], people: [personId] };
  });
  const held = await get();
  if (held.releasedAt !== null) throw refuse('conflict', 'That place has been given up already.');
  if (held.endsAt <= ctx.now) throw refuse('already-over', 'That place has ended; what was, stays on record.');
  const { done } = await asChoice(ctx, lock, () => repo.releaseAssignment(ctx, lock, assignmentId, reason));
  const assignment = repo.assignmentOnWire(done);
  const { personId, duty, unit } = assignment;
  await ctx.record('staffing.released', { subjectId: assignmentId, gymId }, { personId, duty, unit, why: reason });
  return assignment;
}
