import { and, eq, inArray, lte, sql } from 'drizzle-orm';
import { isOneOf } from '../../enforcement/rows.ts';
import type { Context } from '../../platform/context.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { attendance, type attendanceMarks } from '../../tables/attendance.ts';
import { sessions } from '../../tables/schedule.ts';
import { zoneOf } from '../gyms/repo.ts';
import type { NewMark, Written } from './marks-repo.ts';
import { daysOfNow } from './repo.ts';

type Behind = Pick<NewMark, 'athleteId' | 'sessionId' | 'as'>;

/** Where athletes are still marked in though that is over: whoever comes to something else has gone on. */
export async function stillMarkedIn(
  ctx: Context,
  gymId: string,
  athleteIds: readonly string[],
  at: Date,
): Promise<Behind[]> {
  const days = daysOfNow(await zoneOf(ctx, gymId), at).flatMap((day) => day ?? []);
  const rows = await selectMarkedIn(ctx, { gymId, athleteIds, days, at });
  return rows.map(({ kind, groupId, ...who }) => ({ ...who, as: { kind, groupId } }));
}

type Asked = { gymId: string; athleteIds: readonly string[]; days: string[]; at: Date };

const selectMarkedIn = statement((tx, given: Given<Asked>) =>
  tx
    .select({
      athleteId: attendance.athleteId,
      sessionId: attendance.sessionId,
      kind: attendance.kind,
      groupId: attendance.groupId,
    })
    .from(attendance)
    .innerJoin(sessions, and(ours(given, sessions), eq(sessions.id, attendance.sessionId)))
    .where(
      and(
        ours(given, attendance),
        eq(attendance.gymId, given('gymId')),
        isOneOf(attendance.athleteId, given('athleteIds')),
        inArray(attendance.state, ['present', 'on-hold']),
        lte(attendance.since, given('at')),
        sql`${sessions.day} = ANY(${given('days')}::date[])`,
        lte(sessions.endsAt, given('at')),
      ),
    ),
);

/** Those of them at another session than the one that they come to. */
export const elsewhere = (
  behind: readonly Behind[],
  coming: readonly { athleteId: string; sessionId: string }[],
): Behind[] =>
  behind.filter(
    (one) => !coming.some(({ athleteId, sessionId }) => athleteId === one.athleteId && sessionId === one.sessionId),
  );

/** The marks that say so, of those who are let in. */
export function goingOn(behind: readonly Behind[], entering: readonly NewMark[], at: Date): NewMark[] {
  const came = new Set(entering.filter(({ kind }) => kind !== 'hold').map(({ athleteId }) => athleteId));
  return behind
    .filter(({ athleteId }) => came.has(athleteId))
    .map((one): NewMark => ({ ...one, id: newId(), kind: 'out', at }));
}

export async function recordGoingOn(
  ctx: Context,
  gymId: string,
  marks: readonly NewMark[],
  written: ReadonlyMap<string, Written>,
): Promise<void> {
  for (const { id: markId, athleteId, sessionId, at } of marks) {
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    const about = { subjectId: athleteId, gymId, revision };
    await ctx.record('attendance.went-on', about, { sessionId, athleteId, markId, at: at.toISOString() });
  }
}

export type Taken = Pick<typeof attendanceMarks.$inferSelect, 'id' | 'sessionId' | 'athleteId' | 'kind'>;

/**
 * The marks by which an athlete left other sessions as they came to that of `mark`: by that one, or by one there that was
 * taken back. Not of whoever has come to yet another since.
 */
export async function leftBy(ctx: Context, gymId: string, { id, sessionId, athleteId }: Taken): Promise<Taken[]> {
  const us = ctx.franchiseId;
  const { rows } = await ctx.tx.execute<Record<string, unknown> & Taken>(sql`
    SELECT k.id, k.session_id AS "sessionId", k.athlete_id AS "athleteId", k.kind FROM events e
    JOIN attendance_marks k ON k.franchise_id = ${us} AND k.id = (e.data->>'markId')::uuid
      AND k.session_id <> ${sessionId} AND k.undone_at IS NULL
    WHERE e.franchise_id = ${us} AND e.subject_id = ${athleteId} AND e.gym_id = ${gymId} AND e.name = 'attendance.went-on'
      AND EXISTS (SELECT FROM attendance_marks i
        WHERE i.franchise_id = ${us} AND i.session_id = ${sessionId} AND i.athlete_id = ${athleteId}
          AND i.kind IN ('in', 'release') AND (i.id = ${id} OR i.undone_at IS NOT NULL)
          AND i.at = k.at AND i.recorded_at = k.recorded_at)
      AND NOT EXISTS (SELECT FROM attendance a
        WHERE a.franchise_id = ${us} AND a.athlete_id = ${athleteId} AND a.gym_id = ${gymId} AND a.since > k.at
          AND a.session_id NOT IN (${sessionId}, k.session_id) AND a.state IN ('present', 'left'))
    ORDER BY k.id`);
  return rows;
}
