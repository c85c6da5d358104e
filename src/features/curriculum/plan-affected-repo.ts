import { and, asc, eq, gt, isNull, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { blocks, classes, sessions } from '../../tables/schedule.ts';
import type { AffectedByWithdrawal } from './plan-schema.ts';

const MOST_SESSIONS = 200;

/** What is still to be taught from a version, at all gyms: the blocks that have not ended, by their sessions. */
export async function affectedBy(ctx: Context, versionId: string): Promise<AffectedByWithdrawal> {
  const toBeTaught = and(
    ours(ctx, blocks),
    eq(blocks.planVersionId, versionId),
    isNull(blocks.supersededAt),
    gt(blocks.endsAt, ctx.now),
  );
  const ofSession = and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId), isNull(sessions.cancelledAt));
  const confirmedCount = sql<number>`count(*) FILTER (WHERE ${blocks.confirmedAt} IS NOT NULL)::int`;
  const gyms = await ctx.tx
    .select({
      gymId: blocks.gymId,
      sessionCount: sql<number>`count(DISTINCT ${blocks.sessionId})::int`,
      blockCount: sql<number>`count(*)::int`,
      confirmedCount,
    })
    .from(blocks)
    .innerJoin(sessions, ofSession)
    .where(toBeTaught)
    .groupBy(blocks.gymId)
    .orderBy(asc(blocks.gymId))
    .limit(500);
  const rows = await ctx.tx
    .select({
      gymId: sessions.gymId,
      sessionId: sessions.id,
      className: classes.name,
      day: sessions.day,
      startsAt: sessions.startsAt,
      blockIds: sql<string[]>`(array_agg(${blocks.id}::text ORDER BY ${blocks.startsAt}, ${blocks.id}))[:200]`,
      confirmedCount,
    })
    .from(blocks)
    .innerJoin(sessions, ofSession)
    .innerJoin(classes, and(ours(ctx, classes), eq(classes.id, sessions.classId)))
    .where(toBeTaught)
    .groupBy(sessions.gymId, sessions.id, classes.name, sessions.day, sessions.startsAt)
    .orderBy(asc(sessions.startsAt), asc(sessions.id))
    .limit(MOST_SESSIONS);
  const [total] = await ctx.tx
    .select({ sessionCount: sql<number>`count(DISTINCT ${blocks.sessionId})::int` })
    .from(blocks)
    .innerJoin(sessions, ofSession)
    .where(toBeTaught);
  return {
    gyms,
    sessions: rows.map((row) => ({ ...row, startsAt: instantOf(row.startsAt) })),
    moreSessions: Math.max(0, (total?.sessionCount ?? 0) - rows.length),
  };
}
