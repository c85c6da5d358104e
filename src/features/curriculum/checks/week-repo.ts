import { and, asc, eq, getTableColumns, gt, inArray, isNull, lt, sql } from 'drizzle-orm';
import { completedMonths, type Staff } from '../../../cover/index.ts';
import { holdingOf } from '../../../enforcement/load-staff.ts';
import { grouped, some } from '../../../enforcement/rows.ts';
import type { Context } from '../../../platform/context.ts';
import { ours } from '../../../platform/db/tenant.ts';
import { apparatus, gyms } from '../../../tables/gyms.ts';
import { employments, qualificationKinds, qualifications, signOffs } from '../../../tables/people.ts';
import { lessonPlanProgrammes, lessonPlans, planVersions } from '../../../tables/plans.ts';
import { absences } from '../../../tables/staffing.ts';
import { stockOf } from '../../gyms/equipment-repo.ts';
import type { CheckedClass } from './finding.ts';

/** A class of the franchise in a week, with the span of its meeting (epoch milliseconds) and the version it is laid out from, if it is. */
export interface WeekClass extends CheckedClass {
  programmeId: string;
  startsAtMs: number;
  planVersionId: string | null;
}

/** More classes than this in one franchise's week are left out, and counted. */
const MOST_CLASSES = 5000;

/** A height is good for so long: a child grows by some three centimetres in it. */
const MEASURED_FOR_DAYS = 183;

interface ClassRow extends Record<string, unknown> {
  id: string;
  name: string;
  gymId: string;
  gymName: string;
  programmeId: string;
  day: string;
  weekday: number;
  startsAt: string;
  minutes: number;
  capacity: number;
  enrolled: number;
  born: string[];
  measured: { born: string | null; cm: number }[];
  groups: number;
  planVersionId: string | null;
  startsAtMs: string;
  all: number;
}

/**
 * The classes of all gyms that are on in the week of a Monday: those of these programmes first, then by gym, weekday and
 * time. `more` is how many there are beyond those that are read.
 */
export async function classesInWeek(
  ctx: Context,
  monday: string,
  programmeIds: readonly string[],
): Promise<{ classes: WeekClass[]; more: number }> {
  const us = ctx.franchiseId;
  const enrolled = sql`e.franchise_id = ${us} AND e.class_id = c.id AND e.from_day <= d.day
    AND (e.until_day IS NULL OR e.until_day > d.day)`;
  const { rows } = await ctx.tx.execute<ClassRow>(sql`
    SELECT c.id, c.name, c.gym_id AS "gymId", g.name AS "gymName", c.programme_id AS "programmeId",
      d.day::text AS day, c.weekday, c.starts_at AS "startsAt", c.duration_minutes AS minutes, c.capacity,
      (SELECT count(*)::int FROM enrolments e WHERE ${enrolled}) AS enrolled,
      ARRAY(SELECT a.born::text FROM enrolments e JOIN athletes a
        ON a.franchise_id = ${us} AND a.person_id = e.athlete_id
        WHERE ${enrolled} AND a.born IS NOT NULL ORDER BY a.born DESC) AS born,
      (SELECT coalesce(json_agg(json_build_object('born', a.born, 'cm', m.cm) ORDER BY m.cm), '[]')
        FROM enrolments e JOIN athletes a ON a.franchise_id = ${us} AND a.person_id = e.athlete_id
        JOIN athlete_statures m ON m.franchise_id = ${us} AND m.person_id = a.person_id
        WHERE ${enrolled} AND m.measured_on > d.day - ${MEASURED_FOR_DAYS}::int) AS measured,
      (SELECT count(*)::int FROM groups r WHERE r.franchise_id = ${us} AND r.session_id = (
        SELECT s.id FROM sessions s WHERE s.franchise_id = ${us} AND s.class_id = c.id AND s.day <= d.day
          AND s.cancelled_at IS NULL AND s.plan_version_id IS NOT NULL
        ORDER BY s.day DESC, s.id DESC LIMIT 1)) AS groups,
      (SELECT s.plan_version_id FROM sessions s WHERE s.franchise_id = ${us} AND s.class_id = c.id
        AND s.day >= ${monday}::date AND s.day < ${monday}::date + 7 AND s.cancelled_at IS NULL
        ORDER BY s.day, s.id LIMIT 1) AS "planVersionId",
      (extract(epoch FROM (d.day + c.starts_at::time) AT TIME ZONE g.zone) * 1000)::bigint::text AS "startsAtMs",
      count(*) OVER ()::int AS "all"
    FROM classes c
    JOIN gyms g ON g.franchise_id = ${us} AND g.id = c.gym_id
    CROSS JOIN LATERAL (SELECT ${monday}::date + (c.weekday - 1) AS day) d
    WHERE c.franchise_id = ${us} AND c.from_day <= d.day AND (c.until_day IS NULL OR c.until_day > d.day)
    ORDER BY ${inArray(sql`c.programme_id`, some(programmeIds))} DESC, c.gym_id, c.weekday, c.starts_at, c.id LIMIT ${MOST_CLASSES}`);
  const classes = rows.map(({ capacity, enrolled: count, born, measured, groups, startsAtMs, all: _, ...row }) => ({
    ...row,
    athletes: count > 0 ? count : capacity,
    groups: Math.max(1, groups),
    months: born.map((day) => completedMonths(day, row.day, '03-01')),
    measured: measured.map(({ born: day, cm }) => ({
      cm,
      months: day === null ? null : completedMonths(day, row.day, '03-01'),
    })),
    startsAtMs: Number(startsAtMs),
  }));
  return { classes, more: (rows[0]?.all ?? 0) - classes.length };
}

/** The newest published version that each programme has for a week, of those in effect by then. */
export async function planOfWeek(ctx: Context, monday: string): Promise<Map<string, string>> {
  const rows = await ctx.tx
    .select({ programmeId: lessonPlanProgrammes.programmeId, versionId: planVersions.id })
    .from(lessonPlans)
    .innerJoin(
      lessonPlanProgrammes,
      and(ours(ctx, lessonPlanProgrammes), eq(lessonPlanProgrammes.planId, lessonPlans.id)),
    )
    .innerJoin(planVersions, and(ours(ctx, planVersions), eq(planVersions.planId, lessonPlans.id)))
    .where(
      and(
        ours(ctx, lessonPlans),
        eq(lessonPlans.weekOf, monday),
        eq(planVersions.state, 'published'),
        sql`coalesce(${planVersions.effectiveWeek}, ${monday}::date) <= ${monday}::date`,
      ),
    )
    .orderBy(asc(planVersions.number), asc(planVersions.id));
  return new Map(rows.map(({ programmeId, versionId }) => [programmeId, versionId]));
}

export interface Kind {
  name: string;
  heightCm: number | null;
  armHeavy: boolean;
}

/** Every kind of apparatus, by its id. */
export async function kindsOfApparatus(ctx: Context): Promise<Map<string, Kind>> {
  const { id, name, heightCm, armHeavy } = apparatus;
  const rows = await ctx.tx.select({ id, name, heightCm, armHeavy }).from(apparatus).where(ours(ctx, apparatus));
  return new Map(rows.map(({ id, ...kind }) => [id, kind]));
}

export type Stock = Map<string, { items: number; inUse: number }>;

/** What stands at each of these gyms, and how much of it is in use. */
export async function stockAt(ctx: Context, gymIds: readonly string[]): Promise<(gymId: string) => Stock> {
  const { rows } = await ctx.tx.execute<{ gymId: string; kind: string; items: number; inUse: number }>(sql`
    SELECT g.id AS "gymId", k.apparatus_id AS kind, k.items, k.in_use AS "inUse"
    FROM ${gyms} g CROSS JOIN LATERAL ${stockOf(ctx, sql`g.id`)} k
    WHERE g.franchise_id = ${ctx.franchiseId} AND ${inArray(sql`g.id`, some(gymIds))}`);
  const of = grouped(rows, ({ gymId }) => gymId);
  return (gymId) => new Map(of(gymId).map(({ kind, items, inUse }) => [kind, { items, inUse }]));
}

/** Somebody on a gym's staff, with when they are away. */
export interface WeekStaff extends Pick<Staff, 'person' | 'holds' | 'signedOff' | 'employed' | 'absent'> {
  gymId: string;
}

/** Whoever is employed at one of these gyms in the week of a Monday: a gym's own, with what they may spot. */
export async function staffInWeek(ctx: Context, gymIds: readonly string[], monday: string): Promise<WeekStaff[]> {
  const nextMonday = sql`${monday}::date + 7`;
  const employed = await ctx.tx
    .select()
    .from(employments)
    .where(
      and(
        ours(ctx, employments),
        inArray(employments.gymId, some(gymIds)),
        sql`${employments.from} < ${nextMonday}`,
        sql`(${employments.until} IS NULL OR ${employments.until} > ${monday}::date)`,
      ),
    )
    .orderBy(asc(employments.gymId), asc(employments.personId), asc(employments.from));
  const people = some(employed.map(({ personId }) => personId));
  const held = await ctx.tx
    .select({ ...getTableColumns(qualifications), kindUntil: qualificationKinds.until })
    .from(qualifications)
    .innerJoin(qualificationKinds, and(ours(ctx, qualificationKinds), eq(qualificationKinds.id, qualifications.kindId)))
    .where(and(ours(ctx, qualifications), inArray(qualifications.personId, people)));
  const signed = await ctx.tx
    .select()
    .from(signOffs)
    .where(and(ours(ctx, signOffs), inArray(signOffs.personId, people)));
  const near = new Date(`${monday}T00:00:00Z`).getTime();
  const away = await ctx.tx
    .select({ personId: absences.personId, startsAt: absences.startsAt, endsAt: absences.endsAt })
    .from(absences)
    .where(
      and(
        ours(ctx, absences),
        inArray(absences.personId, people),
        isNull(absences.withdrawnAt),
        lt(absences.startsAt, new Date(near + 9 * DAY)),
        gt(absences.endsAt, new Date(near - 2 * DAY)),
      ),
    );
  const byPerson = <Row extends { personId: string }>(rows: readonly Row[]) => grouped(rows, (row) => row.personId);
  const [heldBy, signedBy, awayOf] = [byPerson(held), byPerson(signed), byPerson(away)];
  return employed.map(({ gymId, personId, from, until }) => ({
    gymId,
    person: personId,
    employed: [{ from, to: until }],
    holds: heldBy(personId).flatMap(holdingOf),
    signedOff: signedBy(personId).map((sign) => ({
      skill: sign.skillId,
      level: sign.level,
      from: sign.from,
      to: sign.until,
    })),
    absent: awayOf(personId).map(({ startsAt, endsAt }) => ({ from: startsAt.getTime(), to: endsAt.getTime() })),
  }));
}

const DAY = 86_400_000;
