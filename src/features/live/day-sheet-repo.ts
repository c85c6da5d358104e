import { sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { found } from '../../platform/problem.ts';
import { cameToday } from '../people/who-is-here.ts';
import { MOST_ON_PREMISES, MOST_SESSIONS, type SheetAthlete } from './day-sheet-schema.ts';

type Selected<T> = T & Record<string, unknown>;
const list = (ids: readonly string[]) => sql`ANY(${sql.param(ids)}::uuid[])`;
const all = async <T>(ctx: Context, statement: ReturnType<typeof sql>) =>
  (await ctx.tx.execute<Selected<T>>(statement)).rows;

export async function getSheetGym(ctx: Context, gymId: string): Promise<{ name: string; zone: string }> {
  const [row] = await all<{ name: string; zone: string }>(
    ctx,
    sql`SELECT name, zone FROM gyms WHERE franchise_id = ${ctx.franchiseId} AND id = ${gymId}`,
  );
  return found(row, 'gym');
}

interface SessionRow {
  sessionId: string;
  className: string;
  programme: string;
  plan: string | null;
  startsAt: Date;
  endsAt: Date;
  /** How many the day has, shown or not. */
  of: number;
}

/** The sessions of a gym's day that take place, by their start. */
export const selectSessions = (ctx: Context, gymId: string, day: string, only: string | null) =>
  all<SessionRow>(
    ctx,
    sql`SELECT s.id AS "sessionId", c.name AS "className", p.name AS programme, l.title AS plan,
      s.starts_at AS "startsAt", s.ends_at AS "endsAt", count(*) OVER ()::int AS of
    FROM sessions s
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    JOIN programmes p ON p.franchise_id = ${ctx.franchiseId} AND p.id = c.programme_id
    LEFT JOIN plan_versions v ON v.franchise_id = ${ctx.franchiseId} AND v.id = s.plan_version_id
    LEFT JOIN lesson_plans l ON l.franchise_id = ${ctx.franchiseId} AND l.id = v.plan_id
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.gym_id = ${gymId} AND s.day = ${day} AND s.cancelled_at IS NULL
      AND (${only}::uuid IS NULL OR s.id = ${only}::uuid)
    ORDER BY s.starts_at, c.name, s.id LIMIT ${MOST_SESSIONS}`,
  );

interface RollRow {
  sessionId: string;
  athleteId: string;
  given: string | null;
  family: string | null;
  born: string | null;
  groupId: string | null;
  group: string | null;
  kind: SheetAthlete['kind'];
  state: SheetAthlete['state'];
  late: boolean;
  inAt: Date | null;
  outAt: Date | null;
  alerts: string | null;
  phone: string | null;
  onRoll: number;
  present: number;
  onHold: number;
  absent: number;
  left: number;
  /** Null for the gym's own. */
  ownGym: string | null;
  isKnown: boolean;
}

/**
 * The rolls of sessions: enrolled that day, with a place in a group, or marked there; at most so many of each. Known is
 * what stands on record of the gym's own, and of a sister gym's athletes on the day on which they come.
 */
export const selectRolls = (ctx: Context, gymId: string, sessionIds: readonly string[], most: number) => {
  const us = ctx.franchiseId;
  const these = list(sessionIds);
  const within = (state: string) =>
    sql`(count(*) FILTER (WHERE a.state = ${state}) OVER (PARTITION BY l.session_id))::int`;
  return all<RollRow>(
    ctx,
    sql`WITH found AS (
      SELECT s.id AS session_id, e.athlete_id, NULL::uuid AS member_of, NULL::uuid AS goes_with FROM sessions s
      JOIN enrolments e ON e.franchise_id = ${us} AND e.class_id = s.class_id
        AND e.from_day <= s.day AND (e.until_day IS NULL OR e.until_day > s.day)
      WHERE s.franchise_id = ${us} AND s.id = ${these}
      UNION ALL SELECT session_id, athlete_id, group_id, NULL FROM group_members
        WHERE franchise_id = ${us} AND session_id = ${these} AND released_at IS NULL
      UNION ALL SELECT session_id, athlete_id, NULL, group_id FROM attendance
        WHERE franchise_id = ${us} AND session_id = ${these}
    ), listed AS (
      SELECT session_id, athlete_id, coalesce(max(member_of::text), max(goes_with::text))::uuid AS group_id FROM found
      GROUP BY session_id, athlete_id
    ), roll AS (
      SELECT l.session_id AS "sessionId", l.athlete_id AS "athleteId", n.given, n.family, p.born::text,
        g.id AS "groupId", g.name AS "group", coalesce(a.kind, 'enrolled') AS kind,
        coalesce(a.state, 'expected') AS state, coalesce(a.late, false) AS late,
        y.in_at AS "inAt", y.out_at AS "outAt", h.alerts, c.phone, o.name AS "ownGym",
        o.id IS NULL OR p.person_id = ANY(${cameToday(ctx, gymId)}) AS "isKnown",
        (count(*) OVER (PARTITION BY l.session_id))::int AS "onRoll", ${within('present')} AS present,
        ${within('on-hold')} AS "onHold", ${within('absent')} AS absent, ${within('left')} AS "left",
        row_number() OVER (PARTITION BY l.session_id
          ORDER BY lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), l.athlete_id) AS place
      FROM listed l
      JOIN athletes p ON p.franchise_id = ${us} AND p.person_id = l.athlete_id
      LEFT JOIN gyms o ON o.franchise_id = ${us} AND o.id = p.gym_id AND o.id <> ${gymId}
      LEFT JOIN attendance a ON a.franchise_id = ${us} AND a.session_id = l.session_id AND a.athlete_id = l.athlete_id
      LEFT JOIN groups g ON g.franchise_id = ${us} AND g.id = l.group_id
      LEFT JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = l.athlete_id
      LEFT JOIN person_health h ON h.franchise_id = ${us} AND h.person_id = l.athlete_id
      LEFT JOIN person_contacts c ON c.franchise_id = ${us} AND c.person_id = l.athlete_id
      LEFT JOIN LATERAL (SELECT y.in_at, y.out_at FROM stays y
        WHERE y.franchise_id = ${us} AND y.session_id = l.session_id AND y.athlete_id = l.athlete_id
        ORDER BY y.position DESC LIMIT 1) y ON true
    ) SELECT * FROM roll WHERE place <= ${most} ORDER BY "sessionId", place`,
  );
};

interface GuardianRow {
  athleteId: string;
  guardianId: string;
  given: string | null;
  family: string | null;
  relation: string;
  mayCollect: boolean;
  phone: string | null;
}

/** Guardians with their telephone, those who may collect first. */
export const selectGuardians = (ctx: Context, athleteIds: readonly string[]) =>
  all<GuardianRow>(
    ctx,
    sql`SELECT g.athlete_id AS "athleteId", g.guardian_id AS "guardianId", n.given, n.family, g.relation,
      g.may_collect AS "mayCollect", c.phone
    FROM guardianships g
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = g.guardian_id
    LEFT JOIN person_contacts c ON c.franchise_id = ${ctx.franchiseId} AND c.person_id = g.guardian_id
    WHERE g.franchise_id = ${ctx.franchiseId} AND g.athlete_id = ${list(athleteIds)}
    ORDER BY g.athlete_id, g.may_collect DESC, g.guardian_id`,
  );

/** Others on record that day. */
export const selectCollectors = (ctx: Context, athleteIds: readonly string[], day: string) =>
  all<{ athleteId: string; collectorId: string; name: string; relation: string }>(
    ctx,
    sql`SELECT athlete_id AS "athleteId", id AS "collectorId", name, relation FROM collectors
    WHERE franchise_id = ${ctx.franchiseId} AND athlete_id = ${list(athleteIds)}
      AND from_day <= ${day} AND (until_day IS NULL OR until_day > ${day})
    ORDER BY athlete_id, id`,
  );

interface PresentRow {
  athleteId: string;
  given: string | null;
  family: string | null;
  sessionId: string;
  className: string;
  endsAt: Date;
  state: 'present' | 'on-hold';
  since: Date;
  outSince: Date | null;
  outWith: string | null;
  of: number;
}

/**
 * Everybody in the building or on hold at its door for a session of these days, once, by the one that they came to last;
 * with who is out of the hall now.
 */
export const selectPresent = (ctx: Context, gymId: string, days: readonly string[]) =>
  all<PresentRow>(
    ctx,
    sql`SELECT a.athlete_id AS "athleteId", n.given, n.family, a.session_id AS "sessionId", c.name AS "className",
      s.ends_at AS "endsAt", a.state, a.since, o.out_at AS "outSince",
      nullif(concat_ws(' ', w.given, w.family), '') AS "outWith", (count(*) OVER ())::int AS of
    FROM (SELECT DISTINCT ON (t.athlete_id) t.athlete_id, t.session_id, t.state, t.since FROM attendance t
      JOIN sessions d ON d.franchise_id = ${ctx.franchiseId} AND d.id = t.session_id
      WHERE t.franchise_id = ${ctx.franchiseId} AND t.gym_id = ${gymId} AND t.state IN ('present', 'on-hold')
        AND d.day = ANY(${sql.param(days)}::date[])
      ORDER BY t.athlete_id, t.state = 'present' DESC, t.since DESC, t.session_id) a
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.id = a.session_id
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = a.athlete_id
    LEFT JOIN LATERAL (SELECT o.out_at, o.with_person_id FROM outings o
      WHERE o.franchise_id = ${ctx.franchiseId} AND o.session_id = a.session_id AND o.athlete_id = a.athlete_id
        AND o.back_at IS NULL AND o.undone_at IS NULL ORDER BY o.out_at DESC LIMIT 1) o ON true
    LEFT JOIN person_names w ON w.franchise_id = ${ctx.franchiseId} AND w.person_id = o.with_person_id
    ORDER BY lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), a.athlete_id LIMIT ${MOST_ON_PREMISES}`,
  );

interface PersonRow {
  personId: string;
  given: string | null;
  family: string | null;
  phone: string | null;
  here: 'not-yet' | 'here' | 'on-break' | 'left';
}

/** Of those named, and of whoever is at the gym that day: how to reach them, and whether they have come. */
export const selectStaff = (ctx: Context, gymId: string, day: string, personIds: readonly string[]) =>
  all<PersonRow>(
    ctx,
    sql`WITH stay AS (
      SELECT person_id, bool_or(kind = 'work' AND out_at IS NULL) AS at_work,
        bool_or(kind = 'break' AND out_at IS NULL) AS on_break
      FROM staff_stays WHERE franchise_id = ${ctx.franchiseId} AND gym_id = ${gymId} AND day = ${day}
      GROUP BY person_id
    )
    SELECT m.person_id AS "personId", n.given, n.family, c.phone, CASE WHEN stay.person_id IS NULL THEN 'not-yet'
      WHEN NOT stay.at_work THEN 'left' WHEN stay.on_break THEN 'on-break' ELSE 'here' END AS here
    FROM staff_members m
    LEFT JOIN stay ON stay.person_id = m.person_id
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = m.person_id
    LEFT JOIN person_contacts c ON c.franchise_id = ${ctx.franchiseId} AND c.person_id = m.person_id
    WHERE m.franchise_id = ${ctx.franchiseId} AND (m.person_id = ${list(personIds)} OR stay.person_id IS NOT NULL)
    ORDER BY lower(coalesce(n.family, '')), lower(coalesce(n.given, '')), m.person_id`,
  );

/** What the blocks of sessions teach, and to which group. */
export const selectBlocks = (ctx: Context, sessionIds: readonly string[]) =>
  all<{ blockId: string; title: string; groupId: string; group: string; position: number }>(
    ctx,
    sql`SELECT b.id AS "blockId", p.title, g.id AS "groupId", g.name AS "group", g.position FROM blocks b
    JOIN plan_blocks p ON p.franchise_id = ${ctx.franchiseId} AND p.id = b.plan_block_id
    JOIN groups g ON g.franchise_id = ${ctx.franchiseId} AND g.id = b.group_id
    WHERE b.franchise_id = ${ctx.franchiseId} AND b.session_id = ${list(sessionIds)} AND b.superseded_at IS NULL
    ORDER BY b.starts_at, g.position, b.id`,
  );
