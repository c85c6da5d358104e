import type { Finding } from '../../cover/index.ts';
import { lockCover } from '../../enforcement/lock.ts';
import { loadNames } from '../../enforcement/names.ts';
import { findingOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { type Asked, type Coming, whereTo } from './arrivals.ts';
import { type AtTheDoor, judgeArrivals } from './door.ts';
import { type NewMark, writeMarks } from './marks-repo.ts';
import { custodyNotesOf, getGymDoor, heldFromActivity } from './repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Marked } from './schema.ts';

/** How a check-in came: at the desk, which leaves what is so already alone; or from a device, where each has its id. */
export interface Arriving {
  at: Date;
  /** Its id there, and whether it was taken back before it came. It has happened: written, fitting or not, over or not. */
  offline?: { id: string; undone: boolean };
  /** Whoever is on hold is let in, over the limit or not. */
  release?: true;
}

/**
 * Checks a family in. Nobody who stands at the door is a data error: over the ratio limit they are admitted with an
 * alert, or put on hold where the gym's setting says so; with a hold on activity they are stopped in either case.
 */
export async function checkIn(
  ctx: Context,
  gymId: string,
  asked: readonly Asked[],
  arriving: Arriving,
): Promise<Marked[]> {
  let coming: Coming[] = [];
  let door: 'admit' | 'hold' = 'admit';
  // Both are asked again once the locks are held, and are then what everything below goes by.
  const lock = await lockCover(ctx, 'fact', async () => {
    coming = await whereTo(ctx, gymId, asked, arriving.at);
    door = (await getGymDoor(ctx, gymId)).door;
    return {
      days: door === 'hold' ? coming.map(({ day }) => ({ gymId, day })) : [],
      people: coming.map(({ athleteId }) => athleteId),
      sessions: coming.map(({ sessionId }) => sessionId),
    };
  });
  const stopped = await heldFromActivity(
    ctx,
    coming.map(({ athleteId }) => athleteId),
  );
  const judged = await judge(ctx, gymId, coming, stopped, arriving.at);
  const marks = coming.flatMap((one): NewMark[] => {
    if (arriving.release && one.state !== 'on-hold') throw refuse('conflict', 'They are not on hold.');
    if (one.state === 'present' && !arriving.offline) return [];
    const isStopped = stopped.has(one.athleteId);
    if (arriving.release && isStopped) {
      throw refuse('conflict', 'No activity for them until a clearance by a licensed professional is on file.');
    }
    const findings = [...new Set(judged.over(one).map(({ code }) => String(code)))].sort();
    const isHeld = isStopped || (door === 'hold' && findings.length > 0 && !arriving.release && !arriving.offline);
    if (isHeld && one.state === 'on-hold' && !arriving.offline) return [];
    return [
      {
        id: arriving.offline?.id ?? newId(),
        undone: arriving.offline?.undone ?? false,
        sessionId: one.sessionId,
        athleteId: one.athleteId,
        kind: isHeld ? 'hold' : arriving.release ? 'release' : 'in',
        at: arriving.at,
        as: { kind: one.kind, groupId: one.isPlaced ? null : one.groupId },
        findings: isStopped ? ['activity-hold', ...findings] : findings,
      },
    ];
  });
  const written = await writeMarks(ctx, lock, gymId, marks);
  for (const mark of marks) {
    const { sessionId, athleteId, findings: codes = [] } = mark;
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    const about = { subjectId: athleteId, gymId, revision };
    const name = WHAT_HAPPENED[mark.kind === 'hold' || mark.kind === 'release' ? mark.kind : 'in'];
    await ctx.record(name, about, { sessionId, athleteId, markId: mark.id, at: arriving.at.toISOString(), codes });
    if (judged.over({ athleteId }).length > 0) {
      await ctx.record('attendance.over-limit', about, { sessionId, athleteId, codes, door });
    }
  }
  return describe(ctx, gymId, coming, marks, stopped, judged);
}
const WHAT_HAPPENED = {
  in: 'attendance.checked-in',
  hold: 'attendance.held',
  release: 'attendance.released',
} as const;

interface Judged {
  over(one: { athleteId: string }): Finding[];
  floors: AtTheDoor[];
}

/** Of each day, those who would be let in; in the order in which they were named. */
async function judge(
  ctx: Context,
  gymId: string,
  coming: readonly Coming[],
  stopped: ReadonlySet<string>,
  at: Date,
): Promise<Judged> {
  const entering = coming.filter(({ athleteId, state }) => state !== 'present' && !stopped.has(athleteId));
  const floors: AtTheDoor[] = [];
  for (const day of new Set(entering.map((one) => one.day))) {
    const those = entering.filter((one) => one.day === day);
    floors.push(await judgeArrivals(ctx, gymId, day, those, at));
  }
  return { floors, over: ({ athleteId }) => floors.flatMap(({ over }) => over.get(athleteId) ?? []) };
}

async function describe(
  ctx: Context,
  gymId: string,
  coming: readonly Coming[],
  marks: readonly NewMark[],
  stopped: ReadonlySet<string>,
  judged: Judged,
): Promise<Marked[]> {
  const rows = await attendanceOf(ctx, coming);
  const notes = await custodyNotesOf(
    ctx,
    gymId,
    coming.map(({ athleteId }) => athleteId),
  );
  const alerts = new Map<string, Marked['alerts']>();
  for (const { at, over } of judged.floors) {
    if (over.size === 0) continue;
    const names = await loadNames(ctx, at);
    for (const [athleteId, findings] of over)
      alerts.set(
        athleteId,
        findings.map((one) => findingOnWire(one, names)),
      );
  }
  return coming.map(({ athleteId, sessionId }, index) => ({
    attendance: found(rows[index], 'attendance'),
    markId: marks.find((mark) => mark.athleteId === athleteId && mark.sessionId === sessionId)?.id ?? null,
    alerts: alerts.get(athleteId) ?? [],
    stopped: stopped.has(athleteId),
    custodyNote: notes.get(athleteId) ?? null,
  }));
}
