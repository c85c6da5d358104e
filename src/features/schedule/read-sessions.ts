import { and, asc, eq, gte, inArray, isNull, lt, ne, or, type SQL, sql } from 'drizzle-orm';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import { personNames } from '../../tables/people.ts';
import { blocks, classes, groupMembers, sessions } from '../../tables/schedule.ts';
import { assignments } from '../../tables/staffing.ts';
import { zoneOf } from '../gyms/repo.ts';
import { blocksOf, stepDownsOf } from './blocks-repo.ts';
import { groupsOf } from './places-repo.ts';
import type { Session, WholeSession } from './schema.ts';
import { dayOf } from './zone-time.ts';

/** Sessions by their start, with what they are made of counted. */
async function selectSessions(ctx: Context, where: SQL | undefined, limit?: number): Promise<Session[]> {
  const countOf = (from: SQL) => sql<number>`(SELECT count(*)::int FROM ${from})`;
  const theirBlocks = sql`blocks b WHERE b.franchise_id = ${ctx.franchiseId} AND b.session_id = sessions.id
    AND b.superseded_at IS NULL`;
  const query = ctx.tx
    .select({
      id: sessions.id,
      classId: sessions.classId,
      className: classes.name,
      programmeId: classes.programmeId,
      originalStart: sessions.originalStart,
      day: sessions.day,
      startsAt: sessions.startsAt,
      endsAt: sessions.endsAt,
      planVersionId: sessions.planVersionId,
      athleteCount: countOf(sql`group_members m
        WHERE m.franchise_id = ${ctx.franchiseId} AND m.session_id = sessions.id AND m.released_at IS NULL`),
      blockCount: countOf(theirBlocks),
      confirmedCount: countOf(sql`${theirBlocks} AND b.confirmed_at IS NOT NULL`),
      cancelledWhy: sessions.cancelledWhy,
      revision: sessions.revision,
    })
    .from(sessions)
    .innerJoin(classes, and(ours(ctx, classes), eq(classes.id, sessions.classId)))
    .where(and(ours(ctx, sessions), where))
    .orderBy(asc(sessions.startsAt), asc(sessions.id));
  const rows = limit === undefined ? await query : await query.limit(limit);
  return rows.map((row) => ({
    ...row,
    startsAt: instantOf(row.startsAt),
    endsAt: instantOf(row.endsAt),
    state: stateOf(row, ctx.now),
  }));
}

interface Facts {
  startsAt: Date;
  endsAt: Date;
  cancelledWhy: string | null;
  blockCount: number;
  confirmedCount: number;
}

/** A session's state follows from what is stored and from the clock; it is not kept. */
export function stateOf({ startsAt, endsAt, cancelledWhy, ...blocks }: Facts, now: Date): Session['state'] {
  if (cancelledWhy !== null) return 'cancelled';
  if (endsAt <= now) return 'closed';
  if (startsAt <= now) return 'running';
  return blocks.blockCount > 0 && blocks.confirmedCount === blocks.blockCount ? 'confirmed' : 'planned';
}

export const sessionsOnWire = async (ctx: Context, ids: string[]): Promise<Session[]> =>
  ids.length === 0 ? [] : selectSessions(ctx, inArray(sessions.id, ids));

export async function sessionOnWire(ctx: Context, sessionId: string): Promise<Session> {
  const [session] = await sessionsOnWire(ctx, [sessionId]);
  return found(session, 'session');
}

/** A gym's sessions from a day (or today) until another, by their start. */
export async function listSessions(
  ctx: Context,
  gymId: string,
  { from, until, limit, cursor }: Paging & { from?: string | undefined; until?: string | undefined },
) {
  const first = from ?? dayOf(ctx.now, await zoneOf(ctx, gymId));
  const after = readIdCursor(cursor);
  const where = and(
    eq(sessions.gymId, gymId),
    gte(sessions.day, first),
    until === undefined ? undefined : lt(sessions.day, until),
    after === null
      ? undefined
      : sql`(sessions.starts_at, sessions.id) > (SELECT l.starts_at, l.id FROM sessions l
          WHERE l.franchise_id = ${ctx.franchiseId} AND l.id = ${after})`,
  );
  return pageOf(
    await selectSessions(ctx, where, limit + 1),
    limit,
    (session) => session,
    ({ id }) => [id],
  );
}

/** One session with its groups, who is in them (where the caller may read that), and its blocks. */
export async function readSession(ctx: Context, gymId: string, sessionId: string): Promise<WholeSession> {
  const [session] = await selectSessions(ctx, and(eq(sessions.gymId, gymId), eq(sessions.id, sessionId)));
  const whole = found(session, 'session');
  const groups = await groupsOf(ctx, [sessionId]);
  const members = await namedMembers(ctx, sessionId);
  const readable = await readableGroups(ctx, gymId, sessionId);
  const theirBlocks = await blocksOf(ctx, sessionId);
  const stepDowns = await stepDownsOf(ctx, sessionId);
  return {
    ...whole,
    groups: groups.map(({ id, name, athletes }) => ({
      id,
      name,
      athleteCount: athletes,
      members:
        readable === 'all' || readable.has(id)
          ? members
              .filter(({ groupId }) => groupId === id)
              .map(({ athleteId, given, family }) => ({ athleteId, given, family }))
          : null,
    })),
    blocks: theirBlocks.map(({ position: _, startsAt, endsAt, confirmedAt, ...block }) => ({
      ...block,
      startsAt: instantOf(startsAt),
      endsAt: instantOf(endsAt),
      confirmedAt: maybeInstant(confirmedAt),
      stepDowns: stepDowns.filter(({ blockId }) => blockId === block.id).map(({ blockId: _, ...one }) => one),
    })),
  };
}

const namedMembers = (ctx: Context, sessionId: string) =>
  ctx.tx
    .select({
      groupId: groupMembers.groupId,
      athleteId: groupMembers.athleteId,
      given: personNames.given,
      family: personNames.family,
    })
    .from(groupMembers)
    .leftJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, groupMembers.athleteId)))
    .where(and(ours(ctx, groupMembers), eq(groupMembers.sessionId, sessionId), isNull(groupMembers.releasedAt)))
    .orderBy(asc(personNames.given), asc(personNames.family), asc(groupMembers.athleteId));

/** The groups whose members the caller may know: all, or for a coach those of the blocks that they teach or oversee. */
async function readableGroups(ctx: Context, gymId: string, sessionId: string): Promise<'all' | Set<string>> {
  const scopes = scopesAt(ctx, 'athletes.read', gymId);
  if (scopes.has('franchise') || scopes.has('gym')) return 'all';
  if (!scopes.has('own-blocks') || ctx.personId === null) return new Set();
  const theirs = await ctx.tx
    .select({ groupId: blocks.groupId })
    .from(blocks)
    .innerJoin(
      assignments,
      and(
        ours(ctx, assignments),
        or(eq(assignments.blockId, blocks.id), eq(assignments.sessionId, blocks.sessionId)),
        eq(assignments.personId, ctx.personId),
        ne(assignments.duty, 'shadow'),
        isNull(assignments.releasedAt),
      ),
    )
    .where(and(ours(ctx, blocks), eq(blocks.sessionId, sessionId), isNull(blocks.supersededAt)));
  return new Set(theirs.map(({ groupId }) => groupId));
}
