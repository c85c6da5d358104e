import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { ownBlockOrRefuse, whenOf } from './repo.ts';
import type { Headcount, NewHeadcount } from './roll-schema.ts';
import { getBlock, insertRoll, refuseFar } from './rolls.ts';

/** Heads counted, against those of the group who are checked in and not out of the hall. */
export async function countHeads(
  ctx: Context,
  gymId: string,
  blockId: string,
  { rollId: ownId, counted, at: said }: NewHeadcount,
  days?: number,
): Promise<Headcount> {
  const block = await getBlock(ctx, gymId, blockId);
  const { sessionId, groupId } = block;
  await ownBlockOrRefuse(ctx, 'attendance.write', gymId, blockId);
  const at = whenOf(ctx, said, days);
  refuseFar(block, at);
  const rollId = await insertRoll(ctx, gymId, { blockId, at, counted, rollId: ownId });
  const us = ctx.franchiseId;
  const moment = at.toISOString();
  const { rows } = await ctx.tx.execute<{ heads: number }>(sql`
    SELECT count(DISTINCT y.athlete_id)::int AS heads FROM stays y
    JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = y.session_id AND a.athlete_id = y.athlete_id
    LEFT JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = y.session_id
      AND m.athlete_id = y.athlete_id AND m.released_at IS NULL
    WHERE y.franchise_id = ${us} AND y.session_id = ${sessionId} AND coalesce(m.group_id, a.group_id) = ${groupId}
      AND y.in_at <= ${moment}::timestamptz AND (y.out_at IS NULL OR y.out_at > ${moment}::timestamptz)
      AND NOT EXISTS (SELECT FROM outings o WHERE o.franchise_id = ${us} AND o.session_id = y.session_id
        AND o.athlete_id = y.athlete_id AND o.undone_at IS NULL AND o.out_at <= ${moment}::timestamptz
        AND (o.back_at IS NULL OR o.back_at > ${moment}::timestamptz))`);
  const onRoll = rows[0]?.heads ?? 0;
  await ctx.record('attendance.headcount', { subjectId: rollId, gymId }, { rollId, blockId, counted, onRoll });
  return {
    rollId,
    blockId,
    at: instantOf(at),
    recordedAt: instantOf(ctx.now),
    counted,
    onRoll,
    differs: counted !== onRoll,
  };
}
