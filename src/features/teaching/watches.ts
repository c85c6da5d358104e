import { and, asc, eq, gt, isNotNull, isNull, type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readCursor, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { personNames, skills } from '../../tables/people.ts';
import { pairRequests } from '../../tables/teaching.ts';
import { todayAt } from '../people/persons.ts';
import { findStaffOf } from '../people/staff-repo.ts';
import { rankOf, SIGN_OFFS } from './other-drill.ts';
import type { DueWatch, NewPairRequest, PairRequest } from './watch-schema.ts';

/**
 * Who is to be watched: whoever has a block ahead with a station whose skills want a sign-off that they never had, that
 * does not go far enough, or that ends before the last of those days. The soonest first.
 */
export async function listDueWatches(ctx: Context, gymId: string, { limit, cursor, days }: Paging & { days: number }) {
  const us = ctx.franchiseId;
  const after = readCursor(cursor, 3);
  const today = todayAt(ctx, gymId);
  const { rows } = await ctx.tx.execute<DueWatch & Record<string, unknown>>(sql`
    WITH asked AS (
      SELECT a.person_id, k.skill AS skill_id, max(${rankOf(sql`k.level`)}) AS rank, min(b.day) AS first_on,
        max(b.day) AS last_on, count(DISTINCT b.id)::int AS blocks
      FROM assignments a
      JOIN blocks b ON b.franchise_id = ${us} AND b.id = a.block_id AND b.superseded_at IS NULL
      JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id AND s.cancelled_at IS NULL
      JOIN plan_stations p ON p.franchise_id = ${us} AND p.plan_block_id = b.plan_block_id
      LEFT JOIN block_step_downs d ON d.franchise_id = ${us} AND d.block_id = b.id AND d.station_id = p.id
        AND d.undone_at IS NULL
      CROSS JOIN LATERAL jsonb_to_recordset(coalesce(d.spotting, p.spotting) -> 'skills') AS k (skill uuid, level text)
      WHERE a.franchise_id = ${us} AND a.gym_id = ${gymId} AND a.released_at IS NULL AND a.duty <> 'shadow'
        AND b.day >= ${today} AND b.day < ${today} + ${days}::int
      GROUP BY a.person_id, k.skill
    ), due AS (
      SELECT q.person_id, q.skill_id, q.rank, q.first_on, q.blocks, o.level, o.until_day,
        CASE WHEN o.level IS NULL THEN 'never' WHEN ${rankOf(sql`o.level`)} < q.rank THEN 'lower' ELSE 'ending' END AS why
      FROM asked q
      LEFT JOIN LATERAL (SELECT o.level, o.until_day FROM sign_offs o
        WHERE o.franchise_id = ${us} AND o.person_id = q.person_id AND o.skill_id = q.skill_id
          AND o.from_day <= q.first_on AND (o.until_day IS NULL OR o.until_day > q.first_on)
        ORDER BY ${rankOf(sql`o.level`)} >= q.rank DESC, o.until_day DESC NULLS FIRST LIMIT 1) o ON true
      WHERE o.level IS NULL OR ${rankOf(sql`o.level`)} < q.rank OR o.until_day <= q.last_on
    )
    SELECT d.person_id AS "personId", concat_ws(' ', n.given, n.family) AS name, d.skill_id AS "skillId",
      s.name AS skill, (${SIGN_OFFS})[d.rank] AS needs, d.level AS holds,
      d.until_day::text AS until, d.why, d.first_on::text AS "firstOn", d.blocks
    FROM due d
    JOIN skills s ON s.franchise_id = ${us} AND s.id = d.skill_id
    LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = d.person_id
    WHERE ${
      after === null
        ? sql`true`
        : sql`(d.first_on::text, d.person_id::text, d.skill_id::text) > (${after[0]}, ${after[1]}, ${after[2]})`
    }
    ORDER BY d.first_on, d.person_id, d.skill_id LIMIT ${limit + 1}`);
  return pageOf(
    rows,
    limit,
    (row): DueWatch => row,
    ({ firstOn, personId, skillId }) => [firstOn, personId, skillId],
  );
}

/** Asks to be watched at a skill: whoever is on the gym's staff, for themselves. */
export async function askForPairing(
  ctx: Context,
  gymId: string,
  { skillId, note }: NewPairRequest,
): Promise<PairRequest> {
  const staff = ctx.personId === null ? null : await findStaffOf(ctx, [gymId], ctx.personId);
  if (staff === null) throw refuse('conflict', 'You are not on the staff of that gym.');
  const { personId } = staff;
  const id = newId();
  try {
    await ctx.tx
      .insert(pairRequests)
      .values({ franchiseId: ctx.franchiseId, id, gymId, personId, skillId, note, askedAt: ctx.now });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'You have asked for that already.');
    if (violates(error, 'reference')) throw invalid('/skillId', 'There is no such skill here; see `listSkills`.');
    throw error;
  }
  await ctx.record('teaching.pair-asked', { subjectId: id, gymId }, { personId, skillId });
  return getPairRequest(ctx, gymId, id);
}

const select = (ctx: Context, gymId: string, which: SQL | undefined) =>
  ctx.tx
    .select({ row: pairRequests, skill: skills.name, given: personNames.given, family: personNames.family })
    .from(pairRequests)
    .innerJoin(skills, and(ours(ctx, skills), eq(skills.id, pairRequests.skillId)))
    .leftJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, pairRequests.personId)))
    .where(and(ours(ctx, pairRequests), eq(pairRequests.gymId, gymId), which))
    .orderBy(asc(pairRequests.id));

const onWire = ({ row, skill, given, family }: Awaited<ReturnType<typeof select>>[number]): PairRequest => ({
  id: row.id,
  personId: row.personId,
  name: [given, family].filter((part) => part !== null).join(' '),
  skillId: row.skillId,
  skill,
  note: row.note,
  askedAt: instantOf(row.askedAt),
  settledAt: maybeInstant(row.settledAt),
});

async function getPairRequest(ctx: Context, gymId: string, id: string): Promise<PairRequest> {
  const [row] = await select(ctx, gymId, eq(pairRequests.id, id));
  return onWire(found(row, 'request'));
}

/** Who has asked, the oldest first. */
export async function listPairRequests(
  ctx: Context,
  gymId: string,
  { limit, cursor, settled }: Paging & { settled: 'true' | 'false' },
) {
  const after = readIdCursor(cursor);
  const which = and(
    settled === 'true' ? isNotNull(pairRequests.settledAt) : isNull(pairRequests.settledAt),
    after ? gt(pairRequests.id, after) : undefined,
  );
  return pageOf(await select(ctx, gymId, which).limit(limit + 1), limit, onWire, ({ row }) => [row.id]);
}

/** Marks a request as settled: they are paired, or it is not needed any more. A second time changes nothing. */
export async function settlePairRequest(ctx: Context, gymId: string, id: string): Promise<PairRequest> {
  const { personId, skillId } = await getPairRequest(ctx, gymId, id);
  // Of two who settle it at once, one does.
  const { rowCount } = await ctx.tx
    .update(pairRequests)
    .set({ settledAt: ctx.now, settledBy: ctx.accountId })
    .where(and(ours(ctx, pairRequests), eq(pairRequests.id, id), isNull(pairRequests.settledAt)));
  if (rowCount === 1) await ctx.record('teaching.pair-settled', { subjectId: id, gymId }, { personId, skillId });
  return getPairRequest(ctx, gymId, id);
}
