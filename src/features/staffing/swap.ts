import { localDay } from '../../cover/index.ts';
import { asChoice } from '../../enforcement/choice.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { giveUp, insert } from './place.ts';
import * as repo from './repo.ts';
import type { Assignment } from './schema.ts';

export interface Swapping {
  personIds: readonly [string, string];
  startsAt: Date;
  endsAt: Date;
}

/** Two people exchange whatever they hold at a gym within a span of one day; what lies outside it they keep. */
export async function swap(ctx: Context, gymId: string, swapping: Swapping): Promise<{ assignments: Assignment[] }> {
  const { personIds, startsAt, endsAt } = swapping;
  const [first, second] = personIds;
  if (first === second) throw invalid('/personIds/1', 'Expected two different people.');
  if (startsAt >= endsAt) throw invalid('/endsAt', 'Expected an end after the start.');
  if (endsAt <= ctx.now) throw refuse('already-over', 'That span is over.');
  await repo.refuseStrangers(
    ctx,
    gymId,
    personIds.map((personId, index) => ({ personId, at: `/personIds/${index}` })),
  );
  const zone = await zoneOf(ctx, gymId);
  const day = localDay(zone, startsAt.getTime());
  if (localDay(zone, endsAt.getTime() - 1) !== day) throw invalid('/endsAt', 'Expected an end on the same day.');

  const span = { from: startsAt.getTime(), to: endsAt.getTime() };
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [{ gymId, day }], people: [...personIds] }));
  const hers = await repo.heldDuring(ctx, gymId, first, span);
  const his = await repo.heldDuring(ctx, gymId, second, span);
  if (hers.length + his.length === 0) throw refuse('conflict', 'Neither of them has a place there in that span.');

  const { done } = await asChoice(ctx, lock, async () => {
    for (const personId of personIds) await giveUp(ctx, lock, { gymId }, personId, span);
    const rows = [];
    for (const [personId, held] of [[first, his] as const, [second, hers] as const]) {
      for (const one of held) {
        const unit = { per: one.per, id: one.blockId ?? one.sessionId ?? gymId } as const;
        const part = { from: Math.max(span.from, one.startsAt.getTime()), to: Math.min(span.to, one.endsAt.getTime()) };
        rows.push(await insert(ctx, lock, personId, one.duty, { unit, gymId, day, span: part }));
      }
    }
    return rows;
  });
  await ctx.record(
    'staffing.swapped',
    { subjectId: first, gymId },
    { personIds: [...personIds], from: startsAt.toISOString(), until: endsAt.toISOString() },
  );
  return { assignments: done.map(repo.assignmentOnWire) };
}
