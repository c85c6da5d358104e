import { type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { todayAt } from './persons.ts';

/** Until that hour of the gym's clock, those of the evening before may still be in the building. */
export const NIGHT_ENDS = 6;

/** Came to a session: is there, was stopped at its door, or has gone again. Not so whoever was only expected, or marked by mistake. */
const CAME = sql`('present', 'on-hold', 'left')`;

/**
 * Who came to the gym today (in the night, yesterday too), as an array of ids. A sister gym's athletes among them are
 * this gym's as well, for that day: its desk knows of them what it knows of its own.
 */
export const cameToday = (ctx: Context, gymId: string): SQL => {
  const here = sql`(${ctx.now.toISOString()}::timestamptz AT TIME ZONE g.zone)`;
  return sql`ARRAY(SELECT v.athlete_id FROM gyms g
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.gym_id = g.id
      AND s.day BETWEEN (${here} - make_interval(hours => ${NIGHT_ENDS}))::date AND ${here}::date
    JOIN attendance v ON v.franchise_id = ${ctx.franchiseId} AND v.session_id = s.id AND v.state IN ${CAME}
    WHERE g.franchise_id = ${ctx.franchiseId} AND g.id = ${gymId})`;
};

/**
 * Who is in the blocks that the caller teaches at the gym today, as an array of ids: placed in their groups, or come to
 * go with one of them (a trial, a make-up, a guest; of this gym or a sister gym). To shadow is to watch.
 */
export const inOwnBlocks = (ctx: Context, gymId: string): SQL => {
  const us = ctx.franchiseId;
  return sql`ARRAY(WITH taught AS (
      SELECT DISTINCT b.session_id, b.group_id FROM blocks b
      JOIN sessions s ON s.franchise_id = ${us} AND s.id = b.session_id AND s.cancelled_at IS NULL
      JOIN assignments a ON a.franchise_id = ${us} AND (a.block_id = b.id OR a.session_id = s.id)
      WHERE b.franchise_id = ${us} AND b.gym_id = ${gymId} AND b.day = ${todayAt(ctx, gymId)}
        AND a.person_id = ${ctx.personId}::uuid AND a.duty <> 'shadow' AND a.released_at IS NULL
    )
    SELECT m.athlete_id FROM taught t
    JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = t.session_id AND m.group_id = t.group_id
      AND m.released_at IS NULL
    UNION ALL SELECT w.athlete_id
    FROM (${goingWith(ctx, sql`(v.session_id, v.group_id) IN (SELECT session_id, group_id FROM taught)`)}) w)`;
};

/** Those who came and go with a group (group_id, athlete_id) without a place in one; of the attendances `v` that `are` meant. */
export const goingWith = (ctx: Context, are: SQL): SQL => sql`SELECT v.group_id, v.athlete_id FROM attendance v
    WHERE v.franchise_id = ${ctx.franchiseId} AND v.state IN ${CAME} AND ${are}
      AND NOT EXISTS (SELECT FROM group_members o WHERE o.franchise_id = ${ctx.franchiseId}
        AND o.session_id = v.session_id AND o.athlete_id = v.athlete_id AND o.released_at IS NULL)`;
