import { and, eq, gte, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { sessions } from '../../tables/schedule.ts';
import { termPlaces } from '../../tables/term-places.ts';
import type { NewTermPlace } from './term-place-schema.ts';

/** What a class's place is worked out from. */
export interface PlaceRow {
  classId: string;
  className: string;
  gymId: string;
  weekday: number;
  /** The day that is asked about: the gym's today, where none is. */
  on: string;
  /** The term's first Monday. */
  startsOn: string;
  weekCount: number;
  /** The class's own first day. */
  classFrom: string;
  /** By the class's own weekday, wherever it was moved to. */
  firstSession: string | null;
  /** Null where nobody put it anywhere by hand. */
  placeWeek: number | null;
  fromDay: string | null;
  reason: string | null;
  setAt: string | null;
  /** Its sessions since the term began, or since it was put where it was, and before `on`. */
  held: number;
  /** The week of the last of them that was laid out from the term; null where none was. */
  laidOutWeek: number | null;
  /** Those that came after it; all, where none was. */
  heldSince: number;
}

interface Which {
  termId: string;
  /** Null: all. */
  gymIds: readonly string[] | null;
  classId?: string;
  on?: string | undefined;
  after?: string | null;
  limit: number;
}

/** The classes of a term's programme that are not over by then, by id. */
export async function selectPlaces(
  ctx: Context,
  { termId, gymIds, classId, on, after = null, limit }: Which,
): Promise<PlaceRow[]> {
  const day = sql`coalesce(${on ?? null}::date, (${ctx.now.toISOString()}::timestamptz AT TIME ZONE g.zone)::date)`;
  const { rows } = await ctx.tx.execute<PlaceRow & Record<string, unknown>>(sql`
    SELECT c.id AS "classId", c.name AS "className", c.gym_id AS "gymId", c.weekday, ${day}::text AS "on",
      t.starts_on::text AS "startsOn", c.from_day::text AS "classFrom", p.week AS "placeWeek", p.from_day::text AS "fromDay", p.reason,
      to_json(p.set_at) #>> '{}' AS "setAt",
      (SELECT count(*)::int FROM term_weeks w WHERE w.franchise_id = ${ctx.franchiseId} AND w.term_id = t.id) AS "weekCount",
      (SELECT left(min(s.original_start), 10) FROM sessions s
       WHERE s.franchise_id = ${ctx.franchiseId} AND s.class_id = c.id AND s.cancelled_at IS NULL
         AND s.original_start >= t.starts_on::text) AS "firstSession",
      (SELECT count(*)::int FROM sessions s
       WHERE s.franchise_id = ${ctx.franchiseId} AND s.class_id = c.id AND s.cancelled_at IS NULL
         AND s.day >= coalesce(p.from_day, t.starts_on) AND s.day < ${day}) AS held,
      l.term_week AS "laidOutWeek",
      (SELECT count(*)::int FROM sessions s
       WHERE s.franchise_id = ${ctx.franchiseId} AND s.class_id = c.id AND s.cancelled_at IS NULL
         AND s.day >= coalesce(p.from_day, t.starts_on) AND s.day < ${day}
         AND (l.starts_at IS NULL OR s.starts_at > l.starts_at)) AS "heldSince"
    FROM terms t
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.programme_id = t.programme_id
    JOIN gyms g ON g.franchise_id = ${ctx.franchiseId} AND g.id = c.gym_id
    LEFT JOIN LATERAL (
      SELECT p.week, p.from_day, p.reason, p.set_at FROM term_places p
      WHERE p.franchise_id = ${ctx.franchiseId} AND p.term_id = t.id AND p.class_id = c.id AND p.from_day <= ${day}
      ORDER BY p.from_day DESC, p.set_at DESC, p.id DESC LIMIT 1) p ON true
    LEFT JOIN LATERAL (
      SELECT s.term_week, s.starts_at FROM sessions s
      WHERE s.franchise_id = ${ctx.franchiseId} AND s.class_id = c.id AND s.term_id = t.id AND s.cancelled_at IS NULL
        AND s.day >= coalesce(p.from_day, t.starts_on) AND s.day < ${day}
      ORDER BY s.starts_at DESC LIMIT 1) l ON true
    WHERE t.franchise_id = ${ctx.franchiseId} AND t.id = ${termId}
      AND (c.until_day IS NULL OR c.until_day > ${day})
      AND (${gymIds === null} OR c.gym_id = ANY (${sql.param(gymIds === null ? [] : [...gymIds])}::uuid[]))
      AND (${classId ?? null}::uuid IS NULL OR c.id = ${classId ?? null}::uuid)
      AND (${after}::uuid IS NULL OR c.id > ${after}::uuid)
    ORDER BY c.id LIMIT ${limit}`);
  return rows;
}

/** Which plan hangs from each of these weeks of a term, by the week's number. */
export async function plansOfWeeks(
  ctx: Context,
  termId: string,
  weeks: readonly number[],
): Promise<Map<number, string | null>> {
  const { rows } = await ctx.tx.execute<{ number: number; planId: string | null }>(sql`
    SELECT w.number, w.plan_id AS "planId" FROM term_weeks w
    WHERE w.franchise_id = ${ctx.franchiseId} AND w.term_id = ${termId}
      AND w.number = ANY (${sql.param([...weeks])}::int[])`);
  return new Map(rows.map(({ number, planId }) => [number, planId]));
}

/** From then on the class is at that week; what was set before stays on record. */
export async function insertPlace(ctx: Context, termId: string, classId: string, place: NewTermPlace): Promise<void> {
  await ctx.tx.insert(termPlaces).values({
    franchiseId: ctx.franchiseId,
    id: newId(),
    termId,
    classId,
    ...place,
    setBy: ctx.accountId,
    setAt: ctx.now,
  });
}

/** The sessions of a class from that day on are no longer known by their week of the term: where it was put by hand counts. */
export async function forgetWeeks(ctx: Context, termId: string, classId: string, fromDay: string): Promise<void> {
  await ctx.tx
    .update(sessions)
    .set({ termId: null, termWeek: null })
    .where(
      and(ours(ctx, sessions), eq(sessions.termId, termId), eq(sessions.classId, classId), gte(sessions.day, fromDay)),
    );
}

/** The later sessions of a session's class that are laid out from its term, each with its week; none where it is from none. */
export async function laterInTerm(ctx: Context, sessionId: string): Promise<{ sessionId: string; week: number }[]> {
  const { rows } = await ctx.tx.execute<{ sessionId: string; week: number }>(sql`
    SELECT l.id AS "sessionId", l.term_week AS week FROM sessions s
    JOIN sessions l ON l.franchise_id = ${ctx.franchiseId} AND l.class_id = s.class_id AND l.term_id = s.term_id
      AND l.starts_at > s.starts_at AND l.cancelled_at IS NULL
    WHERE s.franchise_id = ${ctx.franchiseId} AND s.id = ${sessionId} ORDER BY l.starts_at LIMIT 200`);
  return rows;
}
