import type pg from 'pg';
import { floorByHand, type GymOnDay } from './floor-by-hand.ts';
import { judgeTwoPlaces, judgeUncovered } from './judge.ts';

export interface Look {
  /** What is wrong, in words. */
  faults: string[];
  /** How many confirmed blocks, not ended, were judged. */
  confirmed: number;
}

/**
 * One look at a franchise as it stands at one commit, at all that is ahead: the invariant judged twice, in plain SQL and
 * by the slow judge, both from the tables. It takes no lock and keeps nobody waiting. Of the rules, the plain SQL knows
 * only that so many athletes need so many grown-up holders of a qualification; the judge knows all of them.
 */
export async function look(client: pg.Client, franchiseId: string, now: Date): Promise<Look> {
  await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
  await client.query(`SET LOCAL app.franchise_id = '${franchiseId}'`);
  const seen: Look = { faults: [], confirmed: 0 };
  const say = (what: string, rows: unknown[]) => {
    seen.faults.push(...rows.map((row) => `${what}: ${JSON.stringify(row)}`));
  };
  say('in two places', (await client.query(TWICE, [franchiseId])).rows);
  say('a place on nothing that is planned', (await client.query(LOOSE, [franchiseId, now])).rows);
  const { rows: days } = await client.query<GymOnDay & { confirmed: number }>(DAYS, [franchiseId, now]);
  for (const { gymId, day, confirmed } of days) {
    say('confirmed and short', (await client.query(SHORT, [franchiseId, gymId, day, now])).rows);
    const floor = await floorByHand(client, franchiseId, { gymId, day });
    say('the judge finds uncovered', judgeUncovered(floor, now.getTime()));
    say('the judge finds in two places', judgeTwoPlaces(floor));
    seen.confirmed += confirmed;
  }
  await client.query('COMMIT');
  return seen;
}

/** The days ahead on which somebody is placed or a block is confirmed. */
const DAYS = `
  SELECT gym_id AS "gymId", day::text AS day, sum(confirmed)::int AS confirmed FROM (
    SELECT gym_id, day, 0 AS confirmed FROM assignments WHERE franchise_id = $1 AND released_at IS NULL AND ends_at > $2
    UNION ALL
    SELECT b.gym_id, b.day, 1 FROM blocks b JOIN sessions s ON s.id = b.session_id WHERE b.franchise_id = $1
      AND b.confirmed_at IS NOT NULL AND b.superseded_at IS NULL AND s.cancelled_at IS NULL AND b.ends_at > $2) ahead
  GROUP BY 1, 2 ORDER BY 1, 2`;

/**
 * A confirmed block with, at some moment, more athletes than the coaches there may have under the loosest limit of a
 * rule: coaches who are qualified, of age and not absent. Limits are whole numbers; what was accepted by name is left out.
 */
const SHORT = `
  WITH rule AS (
    SELECT (SELECT max((l->>'athletesPerCoach')::int)
      FROM jsonb_array_elements(body->'bands') band, jsonb_array_elements(band->'limits') l) AS per
    FROM ratio_rules r WHERE franchise_id = $1 AND (gym_id IS NULL OR gym_id = $2) AND from_day <= $3 AND NOT retired
      AND coalesce(until_day, 'infinity') > $3 AND body->>'per' = 'block'
      AND NOT EXISTS (SELECT FROM ratio_rules n WHERE n.id = r.id AND n.version > r.version AND n.from_day <= $3)),
  live AS (
    SELECT a.* FROM assignments a JOIN staff_members p ON p.person_id = a.person_id
    WHERE a.franchise_id = $1 AND a.released_at IS NULL AND p.born <= $3::date - interval '18 years'
      AND NOT EXISTS (SELECT FROM absences x WHERE x.person_id = a.person_id AND x.withdrawn_at IS NULL
        AND x.starts_at < a.ends_at AND x.ends_at > a.starts_at)
      AND EXISTS (SELECT FROM qualifications q WHERE q.person_id = a.person_id AND q.from_day <= $3
        AND coalesce(least(q.until_day, q.revoked_from_day), 'infinity') > $3))
  SELECT b.id, edge.moment, heads.n AS athletes, coaches.n AS coaches, rule.per
  FROM rule, blocks b JOIN sessions s ON s.id = b.session_id,
    LATERAL (SELECT b.starts_at AS moment
      UNION SELECT e.at FROM live, LATERAL (VALUES (live.starts_at), (live.ends_at)) e (at)
        WHERE live.block_id = b.id AND e.at >= b.starts_at AND e.at < b.ends_at) edge,
    LATERAL (SELECT count(*) AS n FROM group_members m WHERE m.group_id = b.group_id AND m.released_at IS NULL) heads,
    LATERAL (SELECT count(DISTINCT person_id) AS n FROM live
      WHERE live.block_id = b.id AND live.starts_at <= edge.moment AND live.ends_at > edge.moment) coaches
  WHERE b.franchise_id = $1 AND b.gym_id = $2 AND b.day = $3 AND b.ends_at > $4 AND b.confirmed_at IS NOT NULL
    AND b.superseded_at IS NULL AND s.cancelled_at IS NULL AND heads.n > rule.per * coaches.n
    AND NOT EXISTS (SELECT FROM overrides o WHERE o.unit_id = b.id AND o.withdrawn_at IS NULL)`;

const TWICE = `
  SELECT a.id, b.id AS other FROM assignments a JOIN assignments b ON a.person_id = b.person_id AND a.id < b.id
    AND a.starts_at < b.ends_at AND b.starts_at < a.ends_at
  WHERE a.franchise_id = $1 AND a.released_at IS NULL AND b.released_at IS NULL
  UNION ALL
  SELECT a.id, b.id FROM group_members a JOIN group_members b ON a.athlete_id = b.athlete_id AND a.id < b.id
    AND a.starts_at < b.ends_at AND b.starts_at < a.ends_at
  WHERE a.franchise_id = $1 AND a.released_at IS NULL AND b.released_at IS NULL`;

/** Somebody placed on a block that is not there any more, or at another time than it. */
const LOOSE = `
  SELECT a.id, a.block_id, a.gym_id, a.day, a.starts_at, a.ends_at, a.created_at, b.day AS block_day, b.starts_at AS from,
    b.ends_at AS until, b.superseded_at, s.cancelled_at
  FROM assignments a JOIN blocks b ON b.id = a.block_id JOIN sessions s ON s.id = b.session_id
  WHERE a.franchise_id = $1 AND a.released_at IS NULL AND a.ends_at > $2 AND (b.superseded_at IS NOT NULL
    OR s.cancelled_at IS NOT NULL OR a.gym_id <> b.gym_id OR a.day <> b.day OR a.starts_at < b.starts_at
    OR a.ends_at > b.ends_at)`;
