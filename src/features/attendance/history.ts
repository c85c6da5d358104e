import { sql } from 'drizzle-orm';
import { type Context, scopesAt } from '../../platform/context.ts';
import { instantOf, maybeInstant } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import { MOST_MARKS } from './marks-repo.ts';
import { getSession, isDesk, ownSessionOrRefuse } from './repo.ts';
import { attendanceOf } from './rosters.ts';
import type { AttendanceHistory } from './schema.ts';

type MarkOnWire = AttendanceHistory['marks'][number];
interface Row extends Record<string, unknown>, Omit<MarkOnWire, 'at' | 'recordedAt' | 'undoneAt'> {
  at: string;
  recordedAt: string;
  undoneAt: string | null;
}

/**
 * One athlete at one session, with all that was ever marked, undone or not, in the order of the marks' own times. Who
 * collected them is for those who may know a family's contacts.
 */
export async function readAttendance(
  ctx: Context,
  { gymId, sessionId, athleteId }: { gymId: string; sessionId: string; athleteId: string },
): Promise<AttendanceHistory> {
  await getSession(ctx, gymId, sessionId);
  await ownSessionOrRefuse(ctx, 'attendance.read', gymId, sessionId);
  const [attendance] = await attendanceOf(ctx, [{ sessionId, athleteId }]);
  const mayKnowWhom = isDesk(ctx, 'attendance.write', gymId) || scopesAt(ctx, 'contacts.read', gymId).size > 0;
  const { rows } = await ctx.tx.execute<Row>(sql`
    SELECT k.id AS "markId", k.kind, k.at, k.recorded_at AS "recordedAt", k.undone_at AS "undoneAt", k.conflict,
      coalesce(c.name, n.given || ' ' || n.family) AS "collectedBy"
    FROM attendance_marks k
    LEFT JOIN collectors c ON c.franchise_id = ${ctx.franchiseId} AND c.id = k.collector_id
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = k.collector_id
    WHERE k.franchise_id = ${ctx.franchiseId} AND k.session_id = ${sessionId} AND k.athlete_id = ${athleteId}
    ORDER BY k.at, k.id LIMIT ${MOST_MARKS}`);
  return {
    attendance: found(attendance, 'athlete at that session'),
    marks: rows.map(({ at, recordedAt, undoneAt, collectedBy, ...mark }) => ({
      ...mark,
      collectedBy: mayKnowWhom ? collectedBy : null,
      at: instantOf(new Date(at)),
      recordedAt: instantOf(new Date(recordedAt)),
      undoneAt: maybeInstant(undoneAt === null ? null : new Date(undoneAt)),
    })),
  };
}
