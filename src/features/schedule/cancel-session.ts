import { lockCover } from '../../enforcement/lock.ts';
import { asFact, type Settled } from '../../enforcement/settle.ts';
import type { Context } from '../../platform/context.ts';
import { releaseStaff, staffOf, unconfirmBlocks } from './blocks-repo.ts';
import { membersOf, releasePlaces } from './places-repo.ts';
import { sessionOnWire } from './read-sessions.ts';
import { getSession, refuseUnlessOpen, updateSession } from './repo.ts';
import type { Session } from './schema.ts';
import { staffDays } from './staff-days.ts';
import { laterInTerm } from './term-places-repo.ts';

export interface Cancelled {
  session: Session;
  released: { assignmentId: string; personId: string }[];
  laterInTerm: { sessionId: string; week: number }[];
  settled: Settled;
}

const WHY = 'session cancelled';

/**
 * Cancels a session that has not ended. A fact: it stands whatever it leads to. Its staff and athletes are free again,
 * and its blocks lose their confirmation; those that had ended keep what was true of them.
 */
export async function cancelSession(
  ctx: Context,
  gymId: string,
  sessionId: string,
  reason: string,
): Promise<Cancelled> {
  const lock = await lockCover(ctx, 'fact', async () => {
    const session = await getSession(ctx, gymId, sessionId);
    const athletes = (await membersOf(ctx, sessionId)).map(({ athleteId }) => athleteId);
    const staff = (await staffOf(ctx, sessionId)).map(({ personId }) => personId);
    return {
      days: [{ gymId, day: session.day }, ...(await staffDays(ctx, athletes, [session]))],
      people: [...athletes, ...staff],
      sessions: [sessionId],
    };
  });
  refuseUnlessOpen(ctx, await getSession(ctx, gymId, sessionId));

  const { done, settled } = await asFact(ctx, lock, async () => {
    const staff = await staffOf(ctx, sessionId);
    const members = await membersOf(ctx, sessionId);
    await releaseStaff(
      ctx,
      lock,
      staff.map(({ id }) => id),
      WHY,
    );
    await releasePlaces(
      ctx,
      lock,
      members.map(({ id }) => id),
    );
    const unconfirmed = await unconfirmBlocks(ctx, lock, sessionId);
    const revision = await updateSession(ctx, lock, sessionId, { cancelledAt: ctx.now, cancelledWhy: reason });
    return { staff, unconfirmed, revision };
  });

  await ctx.record(
    'schedule.session-cancelled',
    { subjectId: sessionId, gymId, revision: done.revision },
    { sessionId, reason },
  );
  for (const { id, personId, duty, per, blockId } of done.staff) {
    const unit = { per, id: blockId ?? sessionId };
    await ctx.record('staffing.released', { subjectId: id, gymId }, { personId, duty, unit, why: WHY });
  }
  for (const { id: blockId, revision } of done.unconfirmed) {
    await ctx.record('staffing.unconfirmed', { subjectId: blockId, gymId, revision }, { blockId, why: WHY });
  }
  return {
    session: await sessionOnWire(ctx, sessionId),
    released: done.staff.map(({ id, personId }) => ({ assignmentId: id, personId })),
    laterInTerm: await laterInTerm(ctx, sessionId),
    settled,
  };
}
