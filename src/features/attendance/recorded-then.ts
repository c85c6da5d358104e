import { and, asc, eq, gt, isNull, lte, or, type SQL, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { GymDay } from '../../enforcement/lock.ts';
import type { Attended, Outing, Recorded, StaffStay } from '../../enforcement/recorded.ts';
import { grouped } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { attendance, attendanceMarks, outings, staffMarks } from '../../tables/attendance.ts';
import { groupMembers, sessions } from '../../tables/schedule.ts';
import { attended, type Stay, worked } from './fold.ts';

/**
 * What was recorded at a gym for one of its days, as it stood at a moment: what was said later is left out, and what was
 * taken back only later still stands. The marks are put together anew, by the same rule as when they are made.
 */
export async function loadRecordedThen(ctx: Context, day: GymDay, knownAt: Date): Promise<Recorded> {
  return {
    attended: await attendedThen(ctx, day, knownAt),
    outings: await outingsThen(ctx, day, knownAt),
    staff: await staffThen(ctx, day, knownAt),
  };
}

/** Said by then, and not taken back by then. */
const stoodAt = (recordedAt: PgColumn, undoneAt: PgColumn, knownAt: Date): SQL | undefined =>
  and(lte(recordedAt, knownAt), or(isNull(undoneAt), gt(undoneAt, knownAt)));

const ofDay = (ctx: Context, { gymId, day }: GymDay) =>
  and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.day, day));

async function attendedThen(ctx: Context, day: GymDay, knownAt: Date): Promise<Attended[]> {
  const rows = await ctx.tx
    .select({
      athleteId: attendance.athleteId,
      sessionId: attendance.sessionId,
      groupId: sql<string | null>`coalesce(${groupMembers.groupId}, ${attendance.groupId})`,
      startsAt: sessions.startsAt,
      endsAt: sessions.endsAt,
      markId: attendanceMarks.id,
      kind: attendanceMarks.kind,
      at: attendanceMarks.at,
    })
    .from(sessions)
    .innerJoin(attendance, and(ours(ctx, attendance), eq(attendance.sessionId, sessions.id)))
    .innerJoin(
      attendanceMarks,
      and(
        ours(ctx, attendanceMarks),
        eq(attendanceMarks.sessionId, attendance.sessionId),
        eq(attendanceMarks.athleteId, attendance.athleteId),
        stoodAt(attendanceMarks.recordedAt, attendanceMarks.undoneAt, knownAt),
      ),
    )
    .leftJoin(
      groupMembers,
      and(
        ours(ctx, groupMembers),
        eq(groupMembers.sessionId, attendance.sessionId),
        eq(groupMembers.athleteId, attendance.athleteId),
        lte(groupMembers.createdAt, knownAt),
        or(isNull(groupMembers.releasedAt), gt(groupMembers.releasedAt, knownAt)),
      ),
    )
    .where(ofDay(ctx, day))
    .orderBy(asc(attendance.athleteId), asc(attendance.sessionId), asc(attendanceMarks.id));
  const of = grouped(rows, ({ athleteId, sessionId }) => `${athleteId} ${sessionId}`);
  const keys = [...new Set(rows.map(({ athleteId, sessionId }) => `${athleteId} ${sessionId}`))];
  return keys.flatMap((key) => {
    const [first] = of(key);
    if (first === undefined) return [];
    const { state, since, stays } = attended(of(key).map(({ markId, kind, at }) => ({ id: markId, kind, at })));
    return [
      {
        athleteId: first.athleteId,
        sessionId: first.sessionId,
        groupId: first.groupId,
        state,
        since: (since ?? first.startsAt).getTime(),
        startsAt: first.startsAt.getTime(),
        endsAt: first.endsAt.getTime(),
        stays: stays.map(inMs),
      },
    ];
  });
}

async function outingsThen(ctx: Context, day: GymDay, knownAt: Date): Promise<Outing[]> {
  const rows = await ctx.tx
    .select({
      athleteId: outings.athleteId,
      sessionId: outings.sessionId,
      withPersonId: outings.withPersonId,
      outAt: outings.outAt,
      backAt: outings.backAt,
      endsAt: sessions.endsAt,
    })
    .from(sessions)
    .innerJoin(outings, and(ours(ctx, outings), eq(outings.sessionId, sessions.id)))
    .where(and(ofDay(ctx, day), stoodAt(outings.recordedAt, outings.undoneAt, knownAt)))
    .orderBy(asc(outings.outAt), asc(outings.id));
  return rows.map(({ outAt, backAt, endsAt, ...one }) => ({
    ...one,
    from: outAt.getTime(),
    endsAt: endsAt.getTime(),
    to: backAt === null || backAt > knownAt ? null : backAt.getTime(),
  }));
}

async function staffThen(ctx: Context, { gymId, day }: GymDay, knownAt: Date): Promise<StaffStay[]> {
  const rows = await ctx.tx
    .select()
    .from(staffMarks)
    .where(
      and(
        ours(ctx, staffMarks),
        eq(staffMarks.gymId, gymId),
        eq(staffMarks.day, day),
        stoodAt(staffMarks.recordedAt, staffMarks.undoneAt, knownAt),
      ),
    )
    .orderBy(asc(staffMarks.personId), asc(staffMarks.id));
  const of = grouped(rows, ({ personId }) => personId);
  return [...new Set(rows.map(({ personId }) => personId))].flatMap((personId) =>
    worked(of(personId)).stays.map(({ kind, ...stay }) => ({ personId, kind, ...inMs(stay) })),
  );
}

const inMs = ({ inAt, outAt }: Stay) => ({ from: inAt?.getTime() ?? null, to: outAt?.getTime() ?? null });
