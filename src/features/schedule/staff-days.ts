import { sql } from 'drizzle-orm';
import type { GymDay } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import type { Meeting } from './zone-time.ts';

/**
 * The days, at any gym, on which one of these people is placed on the staff during one of these meetings, or so close to
 * one that they could not travel. Whoever takes part in a session may not count as a coach meanwhile, so that giving or
 * taking a place there changes the cover here.
 */
export async function staffDays(ctx: Context, personIds: string[], meetings: readonly Meeting[]): Promise<GymDay[]> {
  const starts = meetings.map(({ startsAt }) => startsAt.toISOString());
  const ends = meetings.map(({ endsAt }) => endsAt.toISOString());
  const { rows } = await ctx.tx.execute<{ gym_id: string; day: string }>(sql`
    SELECT DISTINCT a.gym_id, a.day::text AS day FROM assignments a
    JOIN franchises f ON f.franchise_id = ${ctx.franchiseId}
    JOIN unnest(${sql.param(starts)}::timestamptz[], ${sql.param(ends)}::timestamptz[]) AS meeting (starts_at, ends_at)
      ON a.starts_at < meeting.ends_at + make_interval(mins => f.travel_minutes)
      AND a.ends_at > meeting.starts_at - make_interval(mins => f.travel_minutes)
    WHERE a.franchise_id = ${ctx.franchiseId} AND a.person_id = ANY(${sql.param(personIds)}::uuid[])
      AND a.released_at IS NULL`);
  return rows.map(({ gym_id: gymId, day }) => ({ gymId, day }));
}
