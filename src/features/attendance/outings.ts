import { and, asc, eq, gt } from 'drizzle-orm';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, Problem, refuse } from '../../platform/problem.ts';
import { outings } from '../../tables/attendance.ts';
import { guardiansOf } from '../people/athlete-repo.ts';
import { findStaffOf } from '../people/staff-repo.ts';
import {
  athletesMarkedAt,
  getSession,
  isDesk,
  MOST_DAYS_OFFLINE,
  ownSessionOrRefuse,
  refuseLongAfter,
  refuseLongBefore,
  type SessionRow,
  whenOf,
} from './repo.ts';
import type { NewOuting, Outing } from './roll-schema.ts';
import { attendanceOf } from './rosters.ts';

type Row = typeof outings.$inferSelect;

export const outingOnWire = (row: Row): Outing => ({
  outingId: row.id,
  sessionId: row.sessionId,
  athleteId: row.athleteId,
  withPersonId: row.withPersonId,
  why: row.why,
  outAt: instantOf(row.outAt),
  backAt: maybeInstant(row.backAt),
  undoneAt: maybeInstant(row.undoneAt),
});

/**
 * Somebody is out of the hall, with whom; or was. Refused when they are out already, unless it was written down on a
 * device (`offline`), where it has happened.
 */
export async function recordOuting(ctx: Context, gymId: string, outing: NewOuting, offline = false): Promise<Outing> {
  const { sessionId, athleteId, withPersonId, why } = outing;
  if (!(await athletesMarkedAt(ctx, gymId, [athleteId], sessionId)).has(athleteId)) {
    throw invalid('/athleteId', 'There is no such athlete at this gym.');
  }
  const session = await sessionOrInvalid(ctx, gymId, sessionId);
  const [there] = await attendanceOf(ctx, [{ sessionId, athleteId }]);
  if (!there) throw invalid('/athleteId', 'They do not belong to that session.');
  if (withPersonId !== null && !(await mayGoAlong(ctx, gymId, athleteId, withPersonId))) {
    throw invalid('/withPersonId', 'Expected somebody on this gym’s staff, or a guardian of theirs.');
  }
  const outAt = whenOf(ctx, outing.outAt, offline ? MOST_DAYS_OFFLINE : 1);
  const backAt = outing.backAt === null ? null : whenOf(ctx, outing.backAt, offline ? MOST_DAYS_OFFLINE : 1);
  refuseLongBefore(session, outAt, '/outAt');
  refuseLongAfter(session, backAt ?? outAt, backAt === null ? '/outAt' : '/backAt');
  if (backAt !== null && backAt < outAt) throw invalid('/backAt', 'Expected a time after they went out.');
  await lockCover(ctx, 'fact', async () => ({ people: [athleteId], sessions: [sessionId] }));
  const before = await outingsOf(ctx, sessionId, athleteId);
  if (before.length >= MOST) throw refuse('conflict', `There are ${MOST} outings of theirs: no more are taken.`);
  const isOut = before.some((one) => one.backAt === null && one.undoneAt === null);
  if (backAt === null && !offline && isOut) throw refuse('conflict', 'They are out of the hall already.');
  const row: Row = {
    franchiseId: ctx.franchiseId,
    id: outing.outingId ?? newId(),
    gymId,
    sessionId,
    athleteId,
    withPersonId,
    why,
    outAt,
    backAt,
    recordedAt: ctx.now,
    recordedBy: ctx.accountId,
    undoneAt: null,
    undoneBy: null,
  };
  try {
    await ctx.tx.insert(outings).values(row);
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'An outing has that id already.');
    throw error;
  }
  const about = { subjectId: athleteId, gymId };
  const of = { outingId: row.id, sessionId, athleteId };
  await ctx.record('attendance.outing', about, { ...of, outAt: outAt.toISOString() });
  if (backAt !== null) await ctx.record('attendance.outing-ended', about, { ...of, backAt: backAt.toISOString() });
  return outingOnWire(row);
}

async function sessionOrInvalid(ctx: Context, gymId: string, sessionId: string): Promise<SessionRow> {
  const session = await getSession(ctx, gymId, sessionId).catch((error: unknown) => {
    if (!(error instanceof Problem) || error.problem !== 'not-found') throw error;
    throw invalid('/sessionId', 'There is no such session at this gym.');
  });
  await ownSessionOrRefuse(ctx, 'attendance.write', gymId, sessionId);
  return session;
}

async function mayGoAlong(ctx: Context, gymId: string, athleteId: string, personId: string): Promise<boolean> {
  if (await findStaffOf(ctx, [gymId], personId)) return true;
  return (await guardiansOf(ctx, gymId, athleteId, personId)).length > 0;
}

/** Of one athlete in one session, those taken back too. */
const MOST = 100;

const outingsOf = (ctx: Context, sessionId: string, athleteId: string): Promise<Row[]> =>
  ctx.tx
    .select()
    .from(outings)
    .where(and(ours(ctx, outings), eq(outings.sessionId, sessionId), eq(outings.athleteId, athleteId)));

/** An outing of this gym, locked, that the caller may change. */
async function ownOuting(ctx: Context, gymId: string, outingId: string): Promise<Row> {
  const get = async () => {
    const [row] = await ctx.tx
      .select()
      .from(outings)
      .where(and(ours(ctx, outings), eq(outings.gymId, gymId), eq(outings.id, outingId)));
    return found(row, 'outing');
  };
  const { sessionId, athleteId } = await get();
  await ownSessionOrRefuse(ctx, 'attendance.write', gymId, sessionId);
  await lockCover(ctx, 'fact', async () => ({ people: [athleteId], sessions: [sessionId] }));
  return get();
}

/** They are back. Saying so twice changes nothing. */
export async function endOuting(
  ctx: Context,
  gymId: string,
  outingId: string,
  said: string | undefined,
  days?: number,
): Promise<Outing> {
  const row = await ownOuting(ctx, gymId, outingId);
  if (row.undoneAt !== null) throw refuse('conflict', 'That was taken back.');
  const at = whenOf(ctx, said, days);
  if (row.backAt !== null) return outingOnWire(row);
  if (at < row.outAt) throw invalid('/at', 'Expected a time after they went out.');
  const { sessionId, athleteId } = row;
  await ctx.tx
    .update(outings)
    .set({ backAt: at })
    .where(and(ours(ctx, outings), eq(outings.id, outingId)));
  const data = { outingId, sessionId, athleteId, backAt: at.toISOString() };
  await ctx.record('attendance.outing-ended', { subjectId: athleteId, gymId }, data);
  return outingOnWire({ ...row, backAt: at });
}

/** It was written down by mistake; it is kept, with who took it back. */
export async function undoOuting(ctx: Context, gymId: string, outingId: string): Promise<Outing> {
  const row = await ownOuting(ctx, gymId, outingId);
  if (row.undoneAt !== null) return outingOnWire(row);
  await ctx.tx
    .update(outings)
    .set({ undoneAt: ctx.now, undoneBy: ctx.accountId })
    .where(and(ours(ctx, outings), eq(outings.id, outingId)));
  const { sessionId, athleteId } = row;
  await ctx.record('attendance.outing-undone', { subjectId: athleteId, gymId }, { outingId, sessionId, athleteId });
  return outingOnWire({ ...row, undoneAt: ctx.now });
}

/** Who is, or was, out of the hall in a session. */
export async function listOutings(
  ctx: Context,
  gymId: string,
  sessionId: string,
  { limit, cursor }: { limit: number; cursor?: string | undefined },
) {
  await getSession(ctx, gymId, sessionId);
  if (!isDesk(ctx, 'attendance.read', gymId)) await ownSessionOrRefuse(ctx, 'attendance.read', gymId, sessionId);
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select()
    .from(outings)
    .where(and(ours(ctx, outings), eq(outings.sessionId, sessionId), after ? gt(outings.id, after) : undefined))
    .orderBy(asc(outings.id))
    .limit(limit + 1);
  return pageOf(rows, limit, outingOnWire, ({ id }) => [id]);
}
