import { and, asc, eq, gt, type SQL, sql } from 'drizzle-orm';
import type { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { members } from '../../tables/identity.ts';
import { personNames } from '../../tables/people.ts';
import { planBlocks, planStations } from '../../tables/plans.ts';
import { stationFeedback } from '../../tables/teaching.ts';
import * as plans from '../curriculum/plans-repo.ts';
import { holds } from '../people/persons.ts';
import type { Feedback, FeedbackSummary, NewFeedback } from './feedback-schema.ts';
import { getBlock, ownBlockOrRefuse, stationIdsOf } from './own-blocks.ts';

/** Refuses stations that are not the block's, or named twice; a block that has not begun has none to speak of. */
export async function refuseOtherStations(
  ctx: Context,
  block: Awaited<ReturnType<typeof getBlock>>,
  named: readonly string[],
): Promise<void> {
  if (block.startsAt > ctx.now) throw refuse('conflict', 'That block has not begun.');
  const known = new Set(await stationIdsOf(ctx, block.planBlockId));
  for (const [index, stationId] of named.entries()) {
    const at = `/stations/${index}/stationId`;
    if (!known.has(stationId)) throw invalid(at, 'There is no such station in that block.');
    if (named.indexOf(stationId) < index) throw invalid(at, 'That station is named twice.');
  }
}

/** Whoever answers has an account. */
const answerer = (ctx: Context): string => found(ctx.accountId, 'account');

/** Says how stations of one's block went; what was said of one before is replaced, and its reply with it. */
export async function answerStations(
  ctx: Context,
  { gymId, blockId }: { gymId: string; blockId: string },
  { stations }: NewFeedback,
): Promise<{ items: Feedback[] }> {
  await ownBlockOrRefuse(ctx, 'teaching.record', gymId, blockId);
  const block = await getBlock(ctx, gymId, blockId);
  const stationIds = stations.map(({ stationId }) => stationId);
  await refuseOtherStations(ctx, block, stationIds);
  const { franchiseId } = ctx;
  const said = { gymId, blockId, answeredAt: ctx.now, answeredBy: answerer(ctx) };
  await ctx.tx
    .insert(stationFeedback)
    .values(stations.map((one) => ({ franchiseId, id: newId(), ...said, ...one })))
    .onConflictDoUpdate({
      target: [
        stationFeedback.franchiseId,
        stationFeedback.blockId,
        stationFeedback.stationId,
        stationFeedback.answeredBy,
      ],
      set: {
        answer: sql`excluded.answer`,
        line: sql`excluded.line`,
        answeredAt: ctx.now,
        reply: null,
        repliedAt: null,
        repliedBy: null,
      },
    });
  await ctx.record('teaching.answered', { subjectId: blockId, gymId }, { blockId, stationIds });
  return readBlockFeedback(ctx, { gymId, blockId });
}

/** What was said of a block: one's own, or for those who read all of it, everybody's. */
export async function readBlockFeedback(ctx: Context, { gymId, blockId }: { gymId: string; blockId: string }) {
  await ownBlockOrRefuse(ctx, 'teaching.record', gymId, blockId);
  await getBlock(ctx, gymId, blockId);
  const mine = holds(ctx, 'teaching.record', gymId) ? undefined : eq(stationFeedback.answeredBy, answerer(ctx));
  const rows = await select(ctx, and(eq(stationFeedback.blockId, blockId), mine)).limit(1000);
  return { items: rows.map(onWire) };
}

const select = (ctx: Context, which: SQL | undefined) =>
  ctx.tx
    .select({
      row: stationFeedback,
      station: planStations.name,
      given: personNames.given,
      family: personNames.family,
    })
    .from(stationFeedback)
    .innerJoin(planStations, and(ours(ctx, planStations), eq(planStations.id, stationFeedback.stationId)))
    .innerJoin(planBlocks, and(ours(ctx, planBlocks), eq(planBlocks.id, planStations.planBlockId)))
    .leftJoin(members, and(ours(ctx, members), eq(members.accountId, stationFeedback.answeredBy)))
    .leftJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, members.personId)))
    .where(and(ours(ctx, stationFeedback), which))
    .orderBy(asc(stationFeedback.id));

const onWire = ({ row, station, given, family }: Awaited<ReturnType<typeof select>>[number]): Feedback => ({
  id: row.id,
  gymId: row.gymId,
  blockId: row.blockId,
  stationId: row.stationId,
  station,
  answer: row.answer,
  line: row.line,
  by: { accountId: row.answeredBy, name: given === null ? null : `${given} ${family ?? ''}`.trim() },
  answeredAt: instantOf(row.answeredAt),
  reply: row.reply,
  repliedAt: maybeInstant(row.repliedAt),
});

/** What coaches said of a version, one by one. */
export async function listFeedback(
  ctx: Context,
  { planId, number }: { planId: string; number: number },
  {
    limit,
    cursor,
    stationId,
    answer,
  }: Paging & { stationId?: string | undefined; answer?: Feedback['answer'] | undefined },
) {
  const version = await plans.getVersion(ctx, planId, number, 'published');
  const after = readIdCursor(cursor);
  const which = and(
    eq(planBlocks.planVersionId, version.id),
    stationId ? eq(stationFeedback.stationId, stationId) : undefined,
    answer ? eq(stationFeedback.answer, answer) : undefined,
    after ? gt(stationFeedback.id, after) : undefined,
  );
  return pageOf(await select(ctx, which).limit(limit + 1), limit, onWire, ({ row }) => [row.id]);
}

interface SummaryRow extends Record<string, unknown> {
  stationId: string;
  block: string;
  station: string;
  worked: number;
  hard: number;
  easy: number;
  kit: number;
  unsure: number;
  done: number;
  skipped: number;
  adapted: number;
  lines: number;
  unreplied: number;
}

/** A version as it was taught, station by station: what went wrong most often first. */
export async function summarizeFeedback(
  ctx: Context,
  { planId, number }: { planId: string; number: number },
): Promise<z.input<typeof FeedbackSummary>> {
  const { id } = await plans.getVersion(ctx, planId, number, 'published');
  const us = ctx.franchiseId;
  const said = (answer: string) => sql`count(*) FILTER (WHERE f.answer = ${answer})::int`;
  const ticked = (outcome: string) => sql`(SELECT count(*)::int FROM taught_stations t
    WHERE t.franchise_id = ${us} AND t.station_id = s.id AND t.outcome = ${outcome})`;
  const { rows } = await ctx.tx.execute<SummaryRow>(sql`
    SELECT s.id AS "stationId", b.title AS block, s.name AS station, ${said('worked')} AS worked,
      ${said('too-hard')} AS hard, ${said('too-easy')} AS easy, ${said('no-kit')} AS kit, ${said('unsure')} AS unsure,
      ${ticked('done')} AS done, ${ticked('skipped')} AS skipped, ${ticked('adapted')} AS adapted,
      count(f.line)::int AS lines, count(*) FILTER (WHERE f.line IS NOT NULL AND f.reply IS NULL)::int AS unreplied
    FROM plan_stations s
    JOIN plan_blocks b ON b.franchise_id = ${us} AND b.id = s.plan_block_id
    LEFT JOIN station_feedback f ON f.franchise_id = ${us} AND f.station_id = s.id
    WHERE s.franchise_id = ${us} AND b.plan_version_id = ${id}
    GROUP BY s.id, s.name, s.position, b.title, b.position
    ORDER BY count(*) FILTER (WHERE f.answer <> 'worked') DESC, b.position, s.position LIMIT 240`);
  const taught = await ctx.tx.execute<{ count: number }>(sql`
    SELECT count(*)::int AS count FROM blocks b
    JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id AND s.cancelled_at IS NULL
    WHERE b.franchise_id = ${us} AND b.plan_version_id = ${id} AND b.superseded_at IS NULL
      AND b.ends_at <= ${ctx.now.toISOString()}::timestamptz`);
  return {
    planId,
    number,
    blocksTaught: taught.rows[0]?.count ?? 0,
    stations: rows.map(({ worked, hard, easy, kit, unsure, ...row }) => ({
      ...row,
      answers: { worked, 'too-hard': hard, 'too-easy': easy, 'no-kit': kit, unsure },
    })),
  };
}

/** Replies to what a coach said; a later reply stands in place of an earlier one. */
export async function replyToFeedback(ctx: Context, feedbackId: string, reply: string): Promise<Feedback> {
  const [row] = await ctx.tx
    .update(stationFeedback)
    .set({ reply, repliedAt: ctx.now, repliedBy: ctx.accountId })
    .where(and(ours(ctx, stationFeedback), eq(stationFeedback.id, feedbackId)))
    .returning({ stationId: stationFeedback.stationId, gymId: stationFeedback.gymId });
  const { stationId, gymId } = found(row, 'feedback');
  await ctx.record('teaching.replied', { subjectId: feedbackId, gymId }, { stationId });
  const [whole] = await select(ctx, eq(stationFeedback.id, feedbackId));
  return onWire(found(whole, 'feedback'));
}
