import { type SQL, sql } from 'drizzle-orm';
import { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { plainText } from '../../platform/db/plain-text.ts';
import { Day, Id, Name } from '../../platform/http/wire.ts';
import { names } from '../people/schema.ts';
import { AROUND_HOURS } from './repo.ts';

// A sister gym's athlete comes for a trial or a make-up. The desk finds them by what the family says at the door and by
// nothing less; the line that this leaves in the audit trail is what lets it check them in, at sessions of that day.

const MOST_FOUND = 3;
export const LookUp = z
  .strictObject({ given: Name, family: Name, born: Day })
  .meta({ id: 'LookUp', description: 'What the family says at the door: the whole name, and the birth date' });
export type LookUp = z.output<typeof LookUp>;
export const LookedUp = z
  .strictObject({
    items: z
      .array(z.strictObject({ athleteId: Id, ...names, gymName: Name.meta({ description: 'Of their own gym' }) }))
      .max(MOST_FOUND),
  })
  .meta({ id: 'LookedUp', description: 'Best first' });
export type LookedUp = z.output<typeof LookedUp>;

/** Of 1, by trigrams in common, of each name by itself: "Kahtleen" is Kathleen, and a letter is nobody. */
const LIKE_ENOUGH = 0.3;

interface Row extends Record<string, unknown> {
  athleteId: string;
  given: string;
  family: string;
  gymId: string;
  gymName: string;
}

/**
 * Finds an athlete of any gym of the franchise by both names, spelling forgiven, and the birth date. Leaves a line in the
 * audit trail of this gym, and of the athlete's own; of this gym alone where nobody was found.
 */
export async function lookUp(ctx: Context, gymId: string, { given, family, born }: LookUp): Promise<LookedUp> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<Row>(sql`
    SELECT * FROM (
      SELECT a.person_id AS "athleteId", n.given, n.family, g.id AS "gymId", g.name AS "gymName",
        ${likeness(sql`n.given`, given)} AS "givenLike", ${likeness(sql`n.family`, family)} AS "familyLike"
      FROM athletes a
      JOIN person_names n ON n.franchise_id = ${us} AND n.person_id = a.person_id
      JOIN gyms g ON g.franchise_id = ${us} AND g.id = a.gym_id
      WHERE a.franchise_id = ${us} AND a.born = ${born} AND a.left_at IS NULL
    ) alike WHERE least("givenLike", "familyLike") >= ${LIKE_ENOUGH}
    ORDER BY "givenLike" + "familyLike" DESC, "athleteId" LIMIT ${MOST_FOUND}`);
  for (const { athleteId, gymId: ownGymId } of rows) {
    for (const at of new Set([gymId, ownGymId])) {
      await ctx.record('attendance.looked-up', { subjectId: athleteId, gymId: at }, { athleteId, atGymId: gymId });
    }
  }
  if (rows.length === 0) {
    await ctx.record('attendance.looked-up', { subjectId: gymId, gymId }, { athleteId: null, atGymId: gymId });
  }
  return {
    items: rows.map(({ athleteId, given, family, gymName }) => ({ athleteId, given, family, gymName })),
  };
}

/** How much a name on record is like what was said, from 0 to 1; whole words are compared, so that one of a double name will do. */
function likeness(onRecord: SQL, said: string): SQL {
  const [known, heard] = [plainText(onRecord), plainText(sql`${said}::text`)];
  return sql`CASE WHEN ${known} = ${heard} THEN 1 ELSE strict_word_similarity(${heard}, ${known}) END`;
}

/** Was the athlete `x.athlete_id` looked up at this gym on the day of the session `s`? */
export const wasLookedUp = (ctx: Context, gymId: string, zone: string): SQL => sql`EXISTS (
  SELECT FROM events e WHERE e.franchise_id = ${ctx.franchiseId} AND e.subject_id = x.athlete_id AND e.gym_id = ${gymId}
    AND e.name = 'attendance.looked-up' AND e.data->>'atGymId' = ${gymId} AND (e.at AT TIME ZONE ${zone})::date = s.day)`;

interface Elsewhere extends Record<string, unknown> {
  athleteId: string;
  gymName: string;
}

/**
 * Who of the athletes is in the building of another gym: marked in and not out, or was in at that moment; whoever was not
 * marked out hours ago was forgotten. Nobody is in two places; asked while the athletes are locked, so that no other
 * desk checks them in meanwhile.
 */
export async function inElsewhere(
  ctx: Context,
  gymId: string,
  athleteIds: readonly string[],
  at: Date,
): Promise<Elsewhere[]> {
  const us = ctx.franchiseId;
  const moment = sql`${at.toISOString()}::timestamptz`;
  const around = sql`make_interval(hours => ${AROUND_HOURS})`;
  const { rows } = await ctx.tx.execute<Elsewhere>(sql`
    SELECT a.athlete_id AS "athleteId", g.name AS "gymName" FROM attendance a
    JOIN sessions s ON s.franchise_id = ${us} AND s.id = a.session_id
      AND s.starts_at < ${moment} + ${around} AND s.ends_at > ${moment} - ${around}
    JOIN gyms g ON g.franchise_id = ${us} AND g.id = a.gym_id
    WHERE a.franchise_id = ${us} AND a.athlete_id = ANY(${sql.param(athleteIds)}::uuid[]) AND a.gym_id <> ${gymId}
      AND EXISTS (SELECT FROM stays y
        WHERE y.franchise_id = ${us} AND y.session_id = a.session_id AND y.athlete_id = a.athlete_id
          AND (y.out_at IS NULL OR (y.out_at > ${moment} AND coalesce(y.in_at, s.starts_at) <= ${moment})))
    ORDER BY a.athlete_id, s.starts_at`);
  return rows;
}
