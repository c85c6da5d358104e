import { sql } from 'drizzle-orm';
import { some } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { invalid } from '../../platform/problem.ts';
import type { ATTENDANCE_KINDS } from '../../tables/attendance.ts';
import { zoneOf } from '../gyms/repo.ts';
import { athletesAt, dayAt, refuseLongAfter, refuseLongBefore } from './repo.ts';
import { wasLookedUp } from './visitors.ts';

export interface Asked {
  athleteId: string;
  sessionId?: string | undefined;
  kind?: 'trial' | 'make-up' | undefined;
}

/** An athlete at the session that they come to. */
export interface Coming {
  athleteId: string;
  sessionId: string;
  day: string;
  startsAt: Date;
  endsAt: Date;
  kind: (typeof ATTENDANCE_KINDS)[number];
  state: string | null;
  /** Their group; of somebody not enrolled, the smallest. Null where the session has none. */
  groupId: string | null;
}

interface Row extends Record<string, unknown> {
  sessionId: string;
  athleteId: string;
  day: string;
  startsAt: string;
  endsAt: string;
  cancelled: boolean;
  isEnrolled: boolean;
  placedIn: string | null;
  smallest: string | null;
  kind: Coming['kind'] | null;
  markedIn: string | null;
  state: string | null;
}

/**
 * Which session each comes to: the one named; or of those that they are expected at that day, the first that is not
 * over. Refuses an athlete or a session that is not of this gym, and somebody expected nowhere; what was long before the
 * session, and coming long after it; a session that was cancelled, and an arrival at one of another day or at one that
 * is over, unless it has happened. A sister gym's athlete may come who was looked up here that day, and from then on is
 * known at that session.
 */
export async function whereTo(
  ctx: Context,
  gymId: string,
  asked: readonly Asked[],
  at: Date,
  list: 'arrivals' | 'departures' | 'athletes' | 'here' = 'arrivals',
  hasHappened = list === 'departures' || list === 'here',
): Promise<Coming[]> {
  const ids = asked.map(({ athleteId }) => athleteId);
  const zone = await zoneOf(ctx, gymId);
  const day = dayAt(zone, at);
  const isNamed = asked.every(({ sessionId }) => sessionId !== undefined);
  const us = ctx.franchiseId;
  const named = some(asked.flatMap(({ sessionId }) => sessionId ?? []));
  const { rows } = await ctx.tx.execute<Row>(sql`
    SELECT s.id AS "sessionId", x.athlete_id AS "athleteId", s.day::text AS day, s.starts_at AS "startsAt",
      s.ends_at AS "endsAt", s.cancelled_at IS NOT NULL AS cancelled,
      EXISTS (SELECT FROM enrolments e WHERE e.franchise_id = ${us} AND e.class_id = s.class_id
        AND e.athlete_id = x.athlete_id AND e.from_day <= s.day
        AND (e.until_day IS NULL OR e.until_day > s.day)) AS "isEnrolled",
      m.group_id AS "placedIn", a.kind, a.state, a.group_id AS "markedIn",
      CASE WHEN m.group_id IS NULL AND a.group_id IS NULL THEN (
        SELECT g.id FROM groups g LEFT JOIN group_members o ON o.franchise_id = ${us} AND o.session_id = s.id
          AND o.group_id = g.id AND o.released_at IS NULL
        WHERE g.franchise_id = ${us} AND g.session_id = s.id
        GROUP BY g.id, g.position ORDER BY count(o.id), g.position LIMIT 1) END AS smallest
    FROM sessions s
    CROSS JOIN unnest(${sql.param([...new Set(ids)])}::uuid[]) AS x (athlete_id)
    JOIN athletes k ON k.franchise_id = ${us} AND k.person_id = x.athlete_id
    LEFT JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = s.id AND m.athlete_id = x.athlete_id
      AND m.released_at IS NULL
    LEFT JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = s.id AND a.athlete_id = x.athlete_id
    WHERE s.franchise_id = ${us} AND s.gym_id = ${gymId}
      AND (s.id = ANY(${sql.param(named)}::uuid[]) OR s.day = ${isNamed ? null : day}::date)
      AND (k.gym_id = ${gymId} OR a.athlete_id IS NOT NULL OR (${list === 'arrivals'} AND ${wasLookedUp(ctx, gymId, zone)}))
    ORDER BY s.starts_at, s.id`);
  const known = new Set(rows.map(({ athleteId }) => athleteId));
  const others = ids.filter((id) => !known.has(id));
  // Of the gym's own there is no row on a day without a session.
  if (others.length > 0) for (const id of await athletesAt(ctx, gymId, others)) known.add(id);
  const coming = asked.map((one, index): Coming => {
    const pointer = `/${list}/${index}`;
    if (!known.has(one.athleteId)) throw invalid(`${pointer}/athleteId`, 'There is no such athlete at this gym.');
    const theirs = rows.filter(({ athleteId }) => athleteId === one.athleteId);
    const isExpected = (row: Row) => row.isEnrolled || row.placedIn !== null || row.kind !== null;
    const row =
      one.sessionId === undefined
        ? theirs.find((each) => isExpected(each) && !each.cancelled && new Date(each.endsAt) > at)
        : theirs.find(({ sessionId }) => sessionId === one.sessionId);
    if (!row && one.sessionId !== undefined)
      throw invalid(`${pointer}/sessionId`, 'There is no such session at this gym.');
    if (!row) {
      throw invalid(`${pointer}/sessionId`, 'They are expected at no more sessions today: name the one they come to.');
    }
    if (row.cancelled && !hasHappened) throw invalid(`${pointer}/sessionId`, 'That session was cancelled.');
    if (row.day !== day && list === 'arrivals' && !hasHappened) {
      throw invalid(`${pointer}/sessionId`, `That session is on ${row.day}: name one of ${day}.`);
    }
    const its = { startsAt: new Date(row.startsAt), endsAt: new Date(row.endsAt) };
    if (list !== 'athletes') refuseLongBefore(its, at, `${pointer}/sessionId`);
    if (list === 'arrivals' || list === 'here') refuseLongAfter(its, at, `${pointer}/sessionId`);
    if (list === 'arrivals' && !hasHappened && its.endsAt <= at && row.state !== 'present') {
      throw invalid(`${pointer}/sessionId`, 'That session is over: name the one that they come to.');
    }
    const isListed = row.isEnrolled || row.placedIn !== null;
    return {
      athleteId: row.athleteId,
      sessionId: row.sessionId,
      day: row.day,
      ...its,
      kind: row.kind ?? (isListed ? 'enrolled' : (one.kind ?? 'make-up')),
      state: row.state,
      groupId: row.placedIn ?? row.markedIn ?? row.smallest,
    };
  });
  // One may be named by their session, and once more without it.
  if (new Set(coming.map(({ athleteId, sessionId }) => `${athleteId} ${sessionId}`)).size < coming.length) {
    throw invalid(`/${list}`, 'Name each athlete once.');
  }
  return coming;
}
