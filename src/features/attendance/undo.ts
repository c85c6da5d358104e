import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { found } from '../../platform/problem.ts';
import { findMark, undoMark } from './marks-repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Attendance } from './schema.ts';

/** Takes back what was marked by mistake; both are kept. Taking it back twice changes nothing. */
export async function undo(ctx: Context, gymId: string, markId: string): Promise<Attendance> {
  const get = async () => found(await findMark(ctx, gymId, markId), 'mark');
  const lock = await lockCover(ctx, 'fact', async () => {
    const { athleteId, sessionId } = await get();
    return { people: [athleteId], sessions: [sessionId] };
  });
  const mark = await get();
  if (mark.undoneAt === null) {
    const { row } = await undoMark(ctx, lock, gymId, mark);
    const { athleteId, sessionId, kind } = mark;
    await ctx.record(
      'attendance.undone',
      { subjectId: athleteId, gymId, revision: row.revision },
      { sessionId, athleteId, markId, kind },
    );
  }
  const [attendance] = await attendanceOf(ctx, [mark]);
  return found(attendance, 'attendance');
}
