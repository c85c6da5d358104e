import { type SQL, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { zoneOf } from '../gyms/repo.ts';
import { daysOfNow, getSession, ownSessionOrRefuse } from './repo.ts';
import type { Attendance } from './schema.ts';

interface Row extends Record<string, unknown> {
  sessionId: string;
  athleteId: string;
  given: string | null;
  family: string | null;
  kind: Attendance['kind'];
  state: Attendance['state'];
  since: Date | null;
  late: boolean;
  startsAt: Date;
  endsAt: Date;
  groupId: string | null;
  findings: string[];
  stays: { inAt: string | null; outAt: string | null }[];
  revision: number | null;
  sortFamily: string;
  sortGiven: string;
}

interface Which {
  sessionIds: readonly string[];
  /** Left out: everybody. */
  athleteIds?: readonly string[];
  /** Narrows further (`l`: session_id, athlete_id; `a`: attendance). */
  where: SQL;
  limit: number;
}

/** Who belongs to some sessions: enrolled that day, with a place in a group, or marked there; with what was marked. */
async function selectRoster(ctx: Context, { sessionIds, athleteIds, where, limit }: Which): Promise<Row[]> {
  const us = ctx.franchiseId;
  const these = sql`ANY(${sql.param(sessionIds)}::uuid[])`;
  // Said in each part of the list, so that of a few athletes only theirs is read.
  const those = athleteIds ? sql`AND athlete_id = ANY(${sql.param(athleteIds)}::uuid[])` : sql``;
  const { rows } = await ctx.tx.execute<Row>(sql`
    WITH listed AS (
      SELECT s.id AS session_id, e.athlete_id FROM sessions s
      JOIN enrolments e ON e.franchise_id = ${us} AND e.class_id = s.class_id
        AND e.from_day <= s.day AND (e.until_day IS NULL OR e.until_day > s.day)
      WHERE s.franchise_id = ${us} AND s.id = ${these} ${those}
      UNION SELECT session_id, athlete_id FROM group_members
        WHERE franchise_id = ${us} AND session_id = ${these} AND released_at IS NULL ${those}
      UNION SELECT session_id, athlete_id FROM attendance
        WHERE franchise_id = ${us} AND session_id = ${these} ${those}
    )
    SELECT l.session_id AS "sessionId", l.athlete_id AS "athleteId", n.given, n.family,
      coalesce(a.kind, 'enrolled') AS kind, coalesce(a.state, 'expected') AS state,
      CASE WHEN a.state <> 'expected' OR a.late THEN a.since END AS since, coalesce(a.late, false) AS late,
      s.starts_at AS "startsAt", s.ends_at AS "endsAt",
      coalesce(m.group_id, a.group_id) AS "groupId", coalesce(a.findings, '{}') AS findings, a.revision,
      coalesce((SELECT json_agg(json_build_object('inAt', y.in_at, 'outAt', y.out_at) ORDER BY y.position) FROM stays y
        WHERE y.franchise_id = ${us} AND y.session_id = l.session_id AND y.athlete_id = l.athlete_id), '[]') AS stays,
      lower(coalesce(n.family, '')) AS "sortFamily", lower(coalesce(n.given, '')) AS "sortGiven"
    FROM listed l
    JOIN sessions s ON s.franchise_id = ${us} AND s.id = l.session_id
    LEFT JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = l.session_id AND a.athlete_id = l.athlete_id
    LEFT JOIN group_members m ON m.franchise_id = ${us} AND m.session_id = l.session_id
      AND m.athlete_id = l.athlete_id AND m.released_at IS NULL
    LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = l.athlete_id
    WHERE ${where}
    ORDER BY "sortFamily", "sortGiven", l.athlete_id, l.session_id LIMIT ${limit}`);
  return rows;
}

const momentOf = (value: Date | string) => new Date(value);

function onWire(row: Row, now: Date): Attendance {
  const stays = row.stays.map(({ inAt, outAt }) => ({
    inAt: inAt === null ? null : instantOf(momentOf(inAt)),
    outAt: outAt === null ? null : instantOf(momentOf(outAt)),
  }));
  const [first, last] = [stays[0]?.inAt ?? null, stays.at(-1)?.outAt ?? null];
  const [startsAt, endsAt] = [momentOf(row.startsAt), momentOf(row.endsAt)];
  return {
    sessionId: row.sessionId,
    athleteId: row.athleteId,
    given: row.given,
    family: row.family,
    kind: row.kind,
    state: row.state,
    since: maybeInstant(row.since === null ? null : momentOf(row.since)),
    late: row.late || (first !== null && momentOf(first) > startsAt),
    leftEarly: row.state === 'left' && last !== null && momentOf(last) < endsAt,
    notCollected: row.state === 'present' && endsAt <= now,
    groupId: row.groupId,
    findings: row.findings,
    stays,
    revision: row.revision,
  };
}

/** The attendance of certain athletes at certain sessions, in the order asked; those who do not belong are left out. */
export async function attendanceOf(
  ctx: Context,
  of: readonly { sessionId: string; athleteId: string }[],
): Promise<Attendance[]> {
  const sessions = of.map(({ sessionId }) => sessionId);
  const athletes = of.map(({ athleteId }) => athleteId);
  const where = sql`(l.session_id, l.athlete_id) IN (SELECT * FROM unnest(
    ${sql.param(sessions)}::uuid[], ${sql.param(athletes)}::uuid[]))`;
  const which = { sessionIds: [...new Set(sessions)], athleteIds: [...new Set(athletes)], where };
  const rows = await selectRoster(ctx, { ...which, limit: of.length });
  return of.flatMap(({ sessionId, athleteId }) =>
    rows.filter((row) => row.sessionId === sessionId && row.athleteId === athleteId).map((row) => onWire(row, ctx.now)),
  );
}

/** A session's roll: everybody expected or there, in the order of their names. For a coach with a block of it. */
export async function listSessionAttendance(
  ctx: Context,
  gymId: string,
  sessionId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
  await getSession(ctx, gymId, sessionId);
  await ownSessionOrRefuse(ctx, 'attendance.read', gymId, sessionId);
  return pageOf(
    await selectRoster(ctx, { sessionIds: [sessionId], where: afterName(cursor), limit: limit + 1 }),
    limit,
    (row) => onWire(row, ctx.now),
    placeOf,
  );
}

const placeOf = ({ sortFamily, sortGiven, athleteId, sessionId }: Row) => [sortFamily, sortGiven, athleteId, sessionId];

function afterName(cursor: string | undefined): SQL {
  const after = readCursor(cursor, 4);
  if (after === null) return sql`true`;
  return sql`(lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), l.athlete_id::text, l.session_id::text)
    > (${after[0]}, ${after[1]}, ${after[2]}, ${after[3]})`;
}

/**
 * Who is in the building for a session of now, and on hold at the door. `notCollected`: only those whose session is
 * over, and of whatever day it was, so that nobody whom the desk forgot to mark out stays so unseen.
 */
export async function listPresent(
  ctx: Context,
  gymId: string,
  { limit, cursor, notCollected }: { limit: number; cursor?: string | undefined; notCollected: boolean },
) {
  const days = daysOfNow(await zoneOf(ctx, gymId), ctx.now);
  const { rows } = await ctx.tx.execute<{ id: string }>(sql`
    SELECT DISTINCT a.session_id AS id FROM attendance a
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.id = a.session_id
    WHERE a.franchise_id = ${ctx.franchiseId} AND a.gym_id = ${gymId} AND a.state IN ('present', 'on-hold')
      ${notCollected ? sql`` : sql`AND s.day = ANY(${sql.param(days)}::date[])`}`);
  const over = notCollected
    ? sql`a.state = 'present' AND s.ends_at <= ${ctx.now.toISOString()}::timestamptz`
    : sql`true`;
  const where = sql`a.state IN ('present', 'on-hold') AND ${over} AND ${afterName(cursor)}`;
  return pageOf(
    await selectRoster(ctx, { sessionIds: rows.map(({ id }) => id), where, limit: limit + 1 }),
    limit,
    (row) => onWire(row, ctx.now),
    placeOf,
  );
}
