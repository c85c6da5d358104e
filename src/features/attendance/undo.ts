import { type CoverLock, lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { found } from '../../platform/problem.ts';
import { leftBy, type Taken } from './going-on.ts';
import { type AttendanceRow, findMark, undoMark } from './marks-repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Attendance } from './schema.ts';

/**
 * Takes back what was marked by mistake; both are kept. Whoever is then not in that session, nor has been, did not go on
 * to it: they are still in the one that they had left by it. Taking it back twice changes nothing.
 */
export async function undo(ctx: Context, gymId: string, markId: string): Promise<Attendance> {
  const get = async () => found(await findMark(ctx, gymId, markId), 'mark');
  let left: Taken[] = [];
  const lock = await lockCover(ctx, 'fact', async () => {
    const mark = await get();
    left = await leftBy(ctx, gymId, mark);
    return { people: [mark.athleteId], sessions: [mark, ...left].map(({ sessionId }) => sessionId) };
  });
  const mark = await get();
  if (mark.undoneAt === null) {
    const { state } = await takeBack(ctx, lock, gymId, mark);
    const came = state === 'present' || state === 'left';
    for (const one of came ? [] : left) await takeBack(ctx, lock, gymId, one);
  }
  const [attendance] = await attendanceOf(ctx, [mark]);
  return found(attendance, 'attendance');
}

async function takeBack(ctx: Context, lock: CoverLock, gymId: string, mark: Taken): Promise<AttendanceRow> {
  const { row } = await undoMark(ctx, lock, gymId, mark);
  const { id: markId, athleteId, sessionId, kind } = mark;
  await ctx.record(
    'attendance.undone',
    { subjectId: athleteId, gymId, revision: row.revision },
    { sessionId, athleteId, markId, kind },
  );
  return row;
}
