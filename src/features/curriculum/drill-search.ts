import { type SQL, sql } from 'drizzle-orm';
import { belongsToGym } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { plainText } from '../../platform/db/plain-text.ts';
import { pageOf, readScoreCursor } from '../../platform/http/paging.ts';
import { found, notFound } from '../../platform/problem.ts';
import { stockOf } from '../gyms/equipment-repo.ts';
import { getGym } from '../gyms/repo.ts';
import { drillsById } from './drills-repo.ts';
import type { DrillQuery } from './schema.ts';

/** Of 1, by trigrams in common: "forwrd rol" still finds the forward roll. */
const LIKE_ENOUGH = 0.45;
/** What is said of a drill beside its name counts for less. */
const BESIDE_ITS_NAME = 0.8;

/**
 * The drills that fit everything asked: best first where words are given, else oldest first. Refuses as not found a gym
 * that the caller does not belong to.
 */
export async function searchDrills(ctx: Context, query: DrillQuery) {
  const { limit, cursor, text, gymId, levelId, skillId } = query;
  if (gymId !== undefined) {
    if (!belongsToGym(ctx.roles, gymId)) throw notFound('gym');
    await getGym(ctx, gymId);
  }
  const us = ctx.franchiseId;
  const after = readScoreCursor(cursor);
  const wanted = [
    sql`d.franchise_id = ${us}`,
    query.retired ? sql`d.retired_at IS NOT NULL` : sql`d.retired_at IS NULL`,
    query.apparatusId && sql`d.apparatus_id = ${query.apparatusId}`,
    query.spotting && sql`d.spotting_mode = ${query.spotting}`,
    skillId &&
      sql`EXISTS (SELECT FROM drill_skills t WHERE t.franchise_id = ${us} AND t.drill_id = d.id AND t.skill_id = ${skillId})`,
    levelId && isFor(us, levelId),
    gymId && hasAllItNeeds(ctx, gymId),
  ].flatMap((condition) => condition || []);
  const { rows } = await ctx.tx.execute<{ id: string; likeness: number }>(sql`
    SELECT id, likeness FROM (
      SELECT d.id, ${text === undefined ? sql`0` : likeness(us, text)}::float8 AS likeness
      FROM drills d WHERE ${sql.join(wanted, sql` AND `)}) found
    WHERE ${text === undefined ? sql`true` : sql`likeness >= ${LIKE_ENOUGH}`}
      AND ${after ? sql`(-likeness, id) > (-(${after.score}::float8), ${after.id}::uuid)` : sql`true`}
    ORDER BY -likeness, id LIMIT ${limit + 1}`);
  const whole = await drillsById(
    ctx,
    rows.map(({ id }) => id),
  );
  return pageOf(
    rows,
    limit,
    ({ id }) => found(whole.get(id), 'drill'),
    (row) => [String(row.likeness), row.id],
  );
}

/** How like the words are to a drill's name, or to what is said of it: 1 where it has them as they stand. */
function likeness(us: string, text: string): SQL {
  const asked = plainText(sql`${text}::text`);
  const name = plainText(sql`d.name`);
  const said = plainText(sql`concat_ws(' ', d.say_first, d.if_it_goes_wrong,
    (SELECT string_agg(concat_ws(' ', l->>'phase', l->>'right', l->>'wrong', l->>'say'), ' ')
     FROM jsonb_array_elements(d.look_fors) l),
    (SELECT string_agg(k.name, ' ') FROM drill_skills t
     JOIN skills k ON k.franchise_id = ${us} AND k.id = t.skill_id
     WHERE t.franchise_id = ${us} AND t.drill_id = d.id))`);
  const like = (words: SQL) =>
    sql`CASE WHEN position(${asked} IN ${words}) > 0 THEN 1 ELSE word_similarity(${asked}, ${words}) END`;
  return sql`greatest(${like(name)}, ${BESIDE_ITS_NAME}::float8 * ${like(said)})`;
}

/** Is the drill `d` for that level of its programme, or for everyone? A range goes both ways: levels may be moved. */
export const isFor = (us: string, levelId: string) => sql`(
  NOT EXISTS (SELECT FROM drill_levels r WHERE r.franchise_id = ${us} AND r.drill_id = d.id)
  OR EXISTS (SELECT FROM drill_levels r
    JOIN levels l ON l.franchise_id = ${us} AND l.programme_id = r.programme_id AND l.id = ${levelId}
    JOIN levels f ON f.franchise_id = ${us} AND f.id = r.from_level_id
    JOIN levels t ON t.franchise_id = ${us} AND t.id = r.to_level_id
    WHERE r.franchise_id = ${us} AND r.drill_id = d.id AND l.position BETWEEN SYMMETRIC f.position AND t.position))`;

/** The gym has its apparatus, and enough of everything that it needs beside, in use. */
const hasAllItNeeds = (ctx: Context, gymId: string) => sql`
  EXISTS (SELECT FROM ${stockOf(ctx, gymId)} s WHERE s.apparatus_id = d.apparatus_id AND s.in_use > 0)
  AND NOT EXISTS (SELECT FROM drill_equipment e LEFT JOIN ${stockOf(ctx, gymId)} s ON s.apparatus_id = e.apparatus_id
    WHERE e.franchise_id = ${ctx.franchiseId} AND e.drill_id = d.id AND coalesce(s.in_use, 0) < e.amount)`;
