import { sql } from 'drizzle-orm';
import { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { plainText } from '../../platform/db/plain-text.ts';
import { Id, Instant, instantOf, Line, wholeOr } from '../../platform/http/wire.ts';
import { ATTENDANCE_STATES } from '../../tables/attendance.ts';
import { zoneOf } from '../gyms/repo.ts';
import { names } from '../people/schema.ts';
import { cameToday } from '../people/who-is-here.ts';
import { dayAt, recordStoppedRead } from './repo.ts';

export const SearchFor = z.strictObject({
  name: Line(80).optional().meta({
    description: 'As it was heard: spelling, accents and order are forgiven. Left out: whoever is expected today',
  }),
  limit: wholeOr(10, 1, 50).meta({ description: 'How many at the most' }),
});
export const FoundList = z
  .strictObject({
    items: z
      .array(
        z.strictObject({
          athleteId: Id,
          ...names,
          familyId: Id.nullable().meta({ description: 'Brothers and sisters have the same' }),
          stopped: z.boolean().meta({ description: 'No activity before a clearance is on file' }),
          sessions: z
            .array(
              z.strictObject({
                sessionId: Id,
                className: z.string().max(200),
                startsAt: Instant,
                endsAt: Instant,
                state: z.enum(ATTENDANCE_STATES),
              }),
            )
            .max(50)
            .meta({ description: 'Where they are expected, or are, today' }),
        }),
      )
      .max(50),
  })
  .meta({ id: 'FoundList', description: 'Best first' });
export type FoundList = z.output<typeof FoundList>;

interface Row extends Record<string, unknown> {
  athleteId: string;
  given: string | null;
  family: string | null;
  familyId: string | null;
  stopped: boolean;
  sessions: FoundList['items'][number]['sessions'];
}

/**
 * The gym's athletes, and a sister gym's who came today, whose names are most like what was heard (none heard: those of
 * today), each with their sessions of today.
 */
export async function searchNames(
  ctx: Context,
  gymId: string,
  { name, limit }: z.output<typeof SearchFor>,
): Promise<FoundList> {
  const zone = await zoneOf(ctx, gymId);
  const today = dayAt(zone, ctx.now);
  const us = ctx.franchiseId;
  const asked = plainText(sql`${name ?? ''}::text`);
  const { rows } = await ctx.tx.execute<Row>(sql`
    WITH known AS (
      SELECT a.person_id, a.family_id, n.given, n.family, ${plainText(sql`n.given || ' ' || n.family`)} AS plain
      FROM athletes a JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = a.person_id
      WHERE a.franchise_id = ${us} AND a.left_at IS NULL
        AND (a.gym_id = ${gymId} OR a.person_id = ANY(${cameToday(ctx, gymId)}))
    ), alike AS (
      SELECT *, greatest(similarity(plain, ${asked}), word_similarity(${asked}, plain)) AS how_much FROM known
    )
    SELECT * FROM (SELECT k.how_much, k.plain, k.person_id AS "athleteId", k.given, k.family, k.family_id AS "familyId",
      EXISTS (SELECT FROM activity_holds h WHERE h.franchise_id = ${us} AND h.athlete_id = k.person_id
        AND (h.cleared_at IS NULL OR h.cleared_at > ${ctx.now.toISOString()}::timestamptz)) AS stopped,
      coalesce((SELECT json_agg(json_build_object('sessionId', s.id, 'className', c.name, 'startsAt', s.starts_at,
          'endsAt', s.ends_at, 'state', coalesce(t.state, 'expected')) ORDER BY s.starts_at, s.id)
        FROM sessions s JOIN classes c ON c.franchise_id = ${us} AND c.id = s.class_id
        LEFT JOIN attendance t ON t.franchise_id = ${us} AND t.session_id = s.id AND t.athlete_id = k.person_id
        WHERE s.franchise_id = ${us} AND s.gym_id = ${gymId} AND s.day = ${today} AND s.cancelled_at IS NULL
          AND (t.state IS NOT NULL
            OR EXISTS (SELECT FROM group_members m WHERE m.franchise_id = ${us} AND m.session_id = s.id
              AND m.athlete_id = k.person_id AND m.released_at IS NULL)
            OR EXISTS (SELECT FROM enrolments e WHERE e.franchise_id = ${us} AND e.class_id = s.class_id
              AND e.athlete_id = k.person_id AND e.from_day <= s.day
              AND (e.until_day IS NULL OR e.until_day > s.day)))), '[]') AS sessions
    FROM alike k) found
    WHERE ${name === undefined ? sql`sessions::text <> '[]'` : sql`how_much >= ${LIKE_ENOUGH} OR position(${asked} IN plain) > 0`}
    ORDER BY how_much DESC, family, given, "athleteId" LIMIT ${limit}`);
  const stopped = rows.filter((row) => row.stopped).map(({ athleteId }) => athleteId);
  await recordStoppedRead(ctx, gymId, stopped);
  return {
    items: rows.map(({ athleteId, given, family, familyId, stopped, sessions }) => ({
      athleteId,
      given,
      family,
      familyId,
      stopped,
      sessions: sessions.map(({ startsAt, endsAt, ...session }) => ({
        ...session,
        startsAt: instantOf(new Date(startsAt)),
        endsAt: instantOf(new Date(endsAt)),
      })),
    })),
  };
}
/** Of 1, by trigrams in common: "Kahtleen Murfy" still finds Kathleen Murphy. */
const LIKE_ENOUGH = 0.35;
