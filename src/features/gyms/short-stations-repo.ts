import { type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { stockOf } from './equipment-repo.ts';
import type { ShortStation, ShortStations } from './schema.ts';

type Row = Omit<ShortStation, 'startsAt' | 'endsAt'> & {
  kind: string;
  startsAt: string;
  endsAt: string;
  stationsCount: number;
  sessionsCount: number;
};

/**
 * By kind of apparatus: the stations still to be taught at a gym that need it at a moment at which all its sessions
 * together need more than may be used. Of each, the most it needs, and the most that is needed beside it; `most` a kind, by
 * their start. Counted are the apparatus of the station, the pieces of its set-up, and what its drills need beyond those;
 * stations in turn share their block's time evenly.
 */
export async function shortStations(
  ctx: Context,
  gymId: string,
  kinds: readonly string[],
  most: number,
): Promise<Map<string, ShortStations>> {
  if (kinds.length === 0) return new Map();
  const { rows } = await ctx.tx.execute<Row & Record<string, unknown>>(sql`
    WITH ${usesOf(ctx, gymId, kinds)},
    moments AS (
      SELECT m.kind, m.day, m.at, sum(u.amount)::int AS needed, k.in_use
      FROM (SELECT DISTINCT kind, day, starts_at AS at FROM uses) m
      JOIN uses u ON u.kind = m.kind AND u.day = m.day AND u.starts_at <= m.at AND m.at < u.ends_at
      JOIN ${stockOf(ctx, gymId)} k ON k.apparatus_id = m.kind
      GROUP BY m.kind, m.day, m.at, k.in_use HAVING sum(u.amount) > k.in_use),
    short AS (
      SELECT u.*, max(m.needed) AS needed, min(m.in_use) AS in_use
      FROM uses u JOIN moments m ON m.kind = u.kind AND m.day = u.day AND u.starts_at <= m.at AND m.at < u.ends_at
      GROUP BY u.kind, u.block_id, u.station_id, u.session_id, u.station, u.class_id, u.class_name, u.day,
        u.starts_at, u.ends_at, u.confirmed, u.amount, u.or_instead),
    counted AS (
      SELECT *, row_number() OVER (PARTITION BY kind ORDER BY starts_at, block_id, station_id) AS place,
        count(*) OVER (PARTITION BY kind)::int AS stations_count,
        (SELECT count(DISTINCT s.session_id)::int FROM short s WHERE s.kind = short.kind) AS sessions_count
      FROM short)
    SELECT kind, session_id AS "sessionId", class_id AS "classId", class_name AS "className", block_id AS "blockId",
      station_id AS "stationId", station, to_json(starts_at) #>> '{}' AS "startsAt",
      to_json(ends_at) #>> '{}' AS "endsAt", confirmed, amount, or_instead AS "orInstead", needed, in_use AS "inUse",
      stations_count AS "stationsCount", sessions_count AS "sessionsCount"
    FROM counted WHERE place <= ${most} ORDER BY kind, place`);
  const found = new Map<string, ShortStations>();
  for (const { kind, stationsCount, sessionsCount, startsAt, endsAt, ...station } of rows) {
    const known = found.get(kind) ?? { stations: [], stationsCount, sessionsCount };
    found.set(kind, known);
    known.stations.push({ ...station, startsAt: onWire(startsAt), endsAt: onWire(endsAt) });
  }
  return found;
}

const onWire = (moment: string) => new Date(moment).toISOString();

/** `uses`: which station of which block ahead has how much of a kind out, from when until when. */
const usesOf = (ctx: Context, gymId: string, kinds: readonly string[]): SQL => sql`
  ahead AS (
    SELECT b.*, c.id AS class_id, c.name AS class_name
    FROM blocks b
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.id = b.session_id AND s.cancelled_at IS NULL
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    WHERE b.franchise_id = ${ctx.franchiseId} AND b.gym_id = ${gymId} AND b.superseded_at IS NULL
      AND b.ends_at > ${ctx.now.toISOString()}::timestamptz),
  planned AS (
    SELECT s.*, p.stations_run, row_number() OVER turns - 1 AS turn, count(*) OVER (PARTITION BY s.plan_block_id) AS turns
    FROM plan_stations s
    JOIN plan_blocks p ON p.franchise_id = ${ctx.franchiseId} AND p.id = s.plan_block_id
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.plan_block_id IN (SELECT plan_block_id FROM ahead)
    WINDOW turns AS (PARTITION BY s.plan_block_id ORDER BY s.position)),
  pieces AS (
    SELECT p.* FROM plan_pieces p
    WHERE p.franchise_id = ${ctx.franchiseId} AND p.station_id IN (SELECT id FROM planned)),
  needs AS (
    SELECT id AS station_id, apparatus_id AS kind, items AS amount FROM planned
    UNION ALL
    SELECT station_id, apparatus_id, amount FROM pieces WHERE choice = 0
    UNION ALL
    SELECT p.id, e.apparatus_id, max(e.amount)
    FROM planned p
    JOIN plan_steps s ON s.franchise_id = ${ctx.franchiseId} AND s.station_id = p.id
    JOIN plan_step_drills d ON d.franchise_id = ${ctx.franchiseId} AND d.step_id = s.id
    JOIN drill_equipment e ON e.franchise_id = ${ctx.franchiseId} AND e.drill_id = d.drill_id
    WHERE e.apparatus_id <> p.apparatus_id
      AND NOT EXISTS (SELECT FROM pieces o WHERE o.station_id = p.id AND o.apparatus_id = e.apparatus_id)
    GROUP BY p.id, e.apparatus_id),
  summed AS (
    SELECT station_id, kind, sum(amount)::int AS amount FROM needs
    WHERE kind = ANY (${sql.param([...kinds])}::uuid[]) GROUP BY station_id, kind),
  uses AS (
    SELECT n.kind, n.amount, a.id AS block_id, a.session_id, a.class_id, a.class_name, a.day,
      p.id AS station_id, p.name AS station, a.confirmed_at IS NOT NULL AS confirmed,
      ${turnAt(sql`p.turn`)} AS starts_at, ${turnAt(sql`p.turn + 1`)} AS ends_at,
      EXISTS (SELECT FROM pieces o JOIN pieces i ON i.station_id = o.station_id AND i.position = o.position
        WHERE o.station_id = p.id AND o.choice = 0 AND o.apparatus_id = n.kind AND i.choice > 0) AS or_instead
    FROM ahead a
    JOIN planned p ON p.plan_block_id = a.plan_block_id
    JOIN summed n ON n.station_id = p.id)`;

/** When a station's turn of its block comes, to the millisecond; side by side, its first is the whole. */
const turnAt = (turn: SQL): SQL => sql`CASE p.stations_run
  WHEN 'in-turn' THEN a.starts_at + ((extract(epoch FROM a.ends_at - a.starts_at) * 1000)::bigint * (${turn}) / p.turns)
    * interval '1 millisecond'
  ELSE CASE WHEN (${turn}) = p.turn THEN a.starts_at ELSE a.ends_at END END`;
