import { and, asc, eq, exists, inArray, isNull, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { refuse } from '../../platform/problem.ts';
import { blocks, groupMembers, groups } from '../../tables/schedule.ts';
import type { Meeting } from './zone-time.ts';

/** The groups that have blocks, in their order, with how many athletes are in each. */
export const groupsOf = (ctx: Context, sessionIds: string[]) =>
  ctx.tx
    .select({
      id: groups.id,
      sessionId: groups.sessionId,
      position: groups.position,
      name: groups.name,
      athletes: sql<number>`(SELECT count(*)::int FROM group_members m
        WHERE m.franchise_id = ${ctx.franchiseId} AND m.group_id = groups.id AND m.released_at IS NULL)`,
    })
    .from(groups)
    .where(
      and(
        ours(ctx, groups),
        inArray(groups.sessionId, sessionIds),
        exists(
          ctx.tx
            .select({ id: blocks.id })
            .from(blocks)
            .where(and(ours(ctx, blocks), eq(blocks.groupId, groups.id), isNull(blocks.supersededAt))),
        ),
      ),
    )
    .orderBy(asc(groups.sessionId), asc(groups.position));

/** The session's places that are held now. */
export const membersOf = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({ id: groupMembers.id, groupId: groupMembers.groupId, athleteId: groupMembers.athleteId })
    .from(groupMembers)
    .where(and(ours(ctx, groupMembers), eq(groupMembers.sessionId, sessionId), isNull(groupMembers.releasedAt)))
    .orderBy(asc(groupMembers.id));

export interface NewPlace extends Meeting {
  sessionId: string;
  groupId: string;
  athleteId: string;
}

/** Gives athletes places in groups; refuses when one is in another session at that time. */
export async function insertPlaces(ctx: Context, _lock: CoverLock, places: NewPlace[]): Promise<void> {
  if (places.length === 0) return;
  await refuseTwoPlaces(ctx, places);
  try {
    await ctx.tx
      .insert(groupMembers)
      .values(places.map((place) => ({ franchiseId: ctx.franchiseId, id: newId(), createdAt: ctx.now, ...place })));
  } catch (error) {
    if (violates(error, 'exclusion', 'group_members_one_place')) {
      throw refuse('conflict', 'An athlete has a place in another session at the same time.');
    }
    throw error;
  }
}

async function refuseTwoPlaces(ctx: Context, places: NewPlace[]): Promise<void> {
  const athleteIds = places.map(({ athleteId }) => athleteId);
  const starts = places.map(({ startsAt }) => startsAt.toISOString());
  const ends = places.map(({ endsAt }) => endsAt.toISOString());
  const { rows } = await ctx.tx.execute<{ athlete_id: string; name: string; day: string }>(sql`
    SELECT m.athlete_id, c.name, s.day::text AS day
    FROM unnest(${sql.param(athleteIds)}::uuid[], ${sql.param(starts)}::timestamptz[], ${sql.param(ends)}::timestamptz[])
      AS wanted (athlete_id, starts_at, ends_at)
    JOIN group_members m ON m.franchise_id = ${ctx.franchiseId} AND m.athlete_id = wanted.athlete_id
      AND m.starts_at < wanted.ends_at AND m.ends_at > wanted.starts_at AND m.released_at IS NULL
    JOIN sessions s ON s.franchise_id = ${ctx.franchiseId} AND s.id = m.session_id
    JOIN classes c ON c.franchise_id = ${ctx.franchiseId} AND c.id = s.class_id
    ORDER BY m.starts_at, m.athlete_id LIMIT 1`);
  const [clash] = rows;
  if (!clash) return;
  const where = `Athlete ${clash.athlete_id} has a place in “${clash.name}” at that time on ${clash.day}`;
  throw refuse('conflict', `${where}: end one of the two enrolments, or move one of the sessions.`);
}

/** Gives up places by their ids. */
export async function releasePlaces(ctx: Context, _lock: CoverLock, ids: string[]): Promise<void> {
  if (ids.length === 0) return;
  await ctx.tx
    .update(groupMembers)
    .set({ releasedAt: ctx.now })
    .where(and(ours(ctx, groupMembers), inArray(groupMembers.id, ids), isNull(groupMembers.releasedAt)));
}

/** An athlete's places in these sessions. */
export const placesOf = (ctx: Context, athleteId: string, sessionIds: string[]) =>
  ctx.tx
    .select({ id: groupMembers.id, sessionId: groupMembers.sessionId })
    .from(groupMembers)
    .where(
      and(
        ours(ctx, groupMembers),
        eq(groupMembers.athleteId, athleteId),
        inArray(groupMembers.sessionId, sessionIds),
        isNull(groupMembers.releasedAt),
      ),
    );

/** Names the session's groups: the rows that are there are used again, so that who was in them stays on record. */
export async function putGroups(ctx: Context, _lock: CoverLock, sessionId: string, names: string[]): Promise<string[]> {
  const rows = await ctx.tx
    .insert(groups)
    .values(
      names.map((name, index) => ({ franchiseId: ctx.franchiseId, id: newId(), sessionId, position: index + 1, name })),
    )
    .onConflictDoUpdate({
      target: [groups.franchiseId, groups.sessionId, groups.position],
      set: { name: sql`excluded.name` },
    })
    .returning({ id: groups.id, position: groups.position });
  return rows.sort((a, b) => a.position - b.position).map(({ id }) => id);
}
