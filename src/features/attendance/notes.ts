import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { type Coming, whereTo } from './arrivals.ts';
import { writeMarks } from './marks-repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Marked } from './schema.ts';

/** Writes down who will not come, or late. Of somebody who is there it is refused; from a device it is kept as a conflict. */
export async function noteMissing(
  ctx: Context,
  gymId: string,
  kind: 'absent' | 'late',
  who: readonly { athleteId: string; sessionId: string }[],
  at: Date,
  offline?: { id: string },
): Promise<Marked[]> {
  let coming: Coming[] = [];
  const lock = await lockCover(ctx, 'fact', async () => {
    coming = await whereTo(ctx, gymId, who, at, 'athletes', offline !== undefined);
    return {
      people: coming.map(({ athleteId }) => athleteId),
      sessions: coming.map(({ sessionId }) => sessionId),
    };
  });
  const isHere = coming.some(({ state }) => state === 'present' || state === 'left');
  if (isHere && !offline) throw refuse('conflict', 'They have been checked in.');
  const marks = coming.map((one) => ({
    id: offline?.id ?? newId(),
    athleteId: one.athleteId,
    sessionId: one.sessionId,
    kind,
    at,
    as: one,
  }));
  const written = await writeMarks(ctx, lock, gymId, marks, offline !== undefined);
  for (const { id: markId, athleteId, sessionId } of marks) {
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    await ctx.record(
      kind === 'late' ? 'attendance.late' : 'attendance.absent',
      { subjectId: athleteId, gymId, revision },
      { sessionId, athleteId, markId, at: at.toISOString() },
    );
  }
  const rows = await attendanceOf(ctx, coming);
  return coming.map((_, index) => ({
    attendance: found(rows[index], 'attendance'),
    markId: marks[index]?.id ?? null,
    alerts: [],
    stopped: false,
    custodyNote: null,
  }));
}
