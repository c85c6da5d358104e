import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { type Asked, type Coming, whereTo } from './arrivals.ts';
import { alertsOf, type Judged, judgeAll } from './door.ts';
import { elsewhere, goingOn, recordGoingOn, stillMarkedIn } from './going-on.ts';
import { type NewMark, writeMarks } from './marks-repo.ts';
import { custodyNotesOf, doorOf, heldFromActivity, recordStoppedRead } from './repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Marked } from './schema.ts';
import { inElsewhere } from './visitors.ts';

/** Why somebody cannot be here: said to the desk, which can ring the other. */
export const stillAt = ({ gymName }: { gymName: string }) =>
  `They are in at ${gymName} by its roll, and nobody is in two places: its desk has to mark them out first.`;

/** How a check-in came: at the desk, which leaves what is so already alone; or from a device, where each has its id. */
export interface Arriving {
  at: Date;
  /** Its id there. It has happened: written, fitting or not, over or not. */
  offline?: { id: string };
  /** Whoever is on hold is let in, over the limit or not. */
  release?: true;
}

/**
 * Checks a family in. Nobody who stands at the door is a data error: over the ratio limit they are admitted with an
 * alert, or put on hold where the gym's setting says so; with a hold on activity they are stopped in either case.
 * Whoever is let in is no longer in a session that is over: they have gone on. Only whoever is in at another gym is
 * refused, unless it has happened.
 */
export async function checkIn(
  ctx: Context,
  gymId: string,
  asked: readonly Asked[],
  arriving: Arriving,
): Promise<Marked[]> {
  let coming: Coming[] = [];
  let behind: Awaited<ReturnType<typeof stillMarkedIn>> = [];
  let stopped = new Set<string>();
  let away: Awaited<ReturnType<typeof inElsewhere>> = [];
  let door: 'admit' | 'hold' = 'admit';
  const ids = asked.map(({ athleteId }) => athleteId);
  // All are asked again once the locks are held, and are then what everything below goes by.
  const lock = await lockCover(ctx, 'fact', async () => {
    const [where, markedIn, held, inAt, atTheDoor] = await Promise.all([
      whereTo(ctx, gymId, asked, arriving.at, 'arrivals', arriving.offline !== undefined),
      stillMarkedIn(ctx, gymId, ids, arriving.at),
      heldFromActivity(ctx, ids),
      inElsewhere(ctx, gymId, ids, arriving.at),
      doorOf(ctx, gymId),
    ]);
    coming = where;
    behind = elsewhere(markedIn, coming);
    stopped = held;
    away = inAt;
    door = atTheDoor;
    return {
      days: door === 'hold' ? coming.map(({ day }) => ({ gymId, day })) : [],
      people: coming.map(({ athleteId }) => athleteId),
      sessions: [...coming, ...behind].map(({ sessionId }) => sessionId),
    };
  });
  const entering = coming.filter(({ athleteId, state }) => state !== 'present' && !stopped.has(athleteId));
  const inTwoPlaces = away.find((one) => entering.some(({ athleteId }) => athleteId === one.athleteId));
  if (inTwoPlaces && !arriving.offline) throw refuse('conflict', stillAt(inTwoPlaces));
  const judged = await judgeAll(ctx, gymId, entering, arriving.at);
  const marks = coming.flatMap((one): NewMark[] => {
    if (arriving.release && one.state !== 'on-hold') throw refuse('conflict', 'They are not on hold.');
    if (one.state === 'present' && !arriving.offline) return [];
    const isStopped = stopped.has(one.athleteId);
    if (arriving.release && isStopped) {
      const until = 'until a clearance by a licensed professional is on file, and none on the day of the fall';
      throw refuse('conflict', `No activity for them ${until}.`);
    }
    const findings = judged.codes(one);
    const isHeld = isStopped || (door === 'hold' && findings.length > 0 && !arriving.release && !arriving.offline);
    if (isHeld && one.state === 'on-hold' && !arriving.offline) return [];
    return [
      {
        id: arriving.offline?.id ?? newId(),
        sessionId: one.sessionId,
        athleteId: one.athleteId,
        kind: isHeld ? 'hold' : arriving.release ? 'release' : 'in',
        at: arriving.at,
        as: one,
        findings: isStopped ? ['activity-hold'] : findings,
      },
    ];
  });
  const left = goingOn(behind, marks, arriving.at);
  const written = await writeMarks(ctx, lock, gymId, [...marks, ...left], arriving.offline !== undefined);
  for (const mark of marks) {
    const { sessionId, athleteId } = mark;
    // That somebody is stopped stays out of the event.
    const codes = judged.codes(mark);
    const revision = written.get(`${sessionId} ${athleteId}`)?.row.revision ?? 1;
    const about = { subjectId: athleteId, gymId, revision };
    const name = WHAT_HAPPENED[mark.kind === 'hold' || mark.kind === 'release' ? mark.kind : 'in'];
    await ctx.record(name, about, { sessionId, athleteId, markId: mark.id, at: arriving.at.toISOString(), codes });
    if (codes.length > 0) {
      await ctx.record('attendance.over-limit', about, { sessionId, athleteId, codes, door });
    }
  }
  await recordGoingOn(ctx, gymId, left, written);
  return describe(ctx, gymId, coming, marks, stopped, judged);
}
const WHAT_HAPPENED = {
  in: 'attendance.checked-in',
  hold: 'attendance.held',
  release: 'attendance.released',
} as const;

async function describe(
  ctx: Context,
  gymId: string,
  coming: readonly Coming[],
  marks: readonly NewMark[],
  stopped: ReadonlySet<string>,
  judged: Judged,
): Promise<Marked[]> {
  const ids = coming.map(({ athleteId }) => athleteId);
  const [rows, notes, alerts] = await Promise.all([
    attendanceOf(ctx, coming),
    custodyNotesOf(ctx, gymId, ids),
    alertsOf(ctx, judged),
    recordStoppedRead(ctx, gymId, [...stopped]),
  ]);
  return coming.map(({ athleteId, sessionId }, index) => ({
    attendance: found(rows[index], 'attendance'),
    markId: marks.find((mark) => mark.athleteId === athleteId && mark.sessionId === sessionId)?.id ?? null,
    alerts: alerts.get(athleteId) ?? [],
    stopped: stopped.has(athleteId),
    custodyNote: notes.get(athleteId) ?? null,
  }));
}
