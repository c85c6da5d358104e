import { z } from 'zod';
import { GYMS } from '../demo/data/place.ts';
import { CLASSES } from '../demo/data/timetable.ts';
import { addDays } from '../features/schedule/zone-time.ts';
import type { Cast } from './cast.ts';
import { find, type PublishedPlan } from './plan.ts';
import { post } from './player.ts';
import { TourStops } from './told.ts';

const Named = z.object({ id: z.string(), name: z.string() });
const Listed = z.object({ items: z.array(Named) });
const Days = z.object({ items: z.array(z.object({ day: z.string() })) });
const Enrolments = z.object({ items: z.array(z.object({ athleteId: z.string() })) });
const Added = z.object({ id: z.string() });
export const LaidOutSessions = z.object({
  laidOut: z.array(z.object({ id: z.string(), revision: z.number() })).length(1),
});
export const WholeSession = z.object({
  blocks: z.array(z.object({ id: z.string(), title: z.string(), startsAt: z.string(), endsAt: z.string() })).length(3),
});

/** Ten a coach is what the demo's table allows at these ages: twelve take two. */
const CHILDREN = 12;

export interface PlannedSession {
  gymId: string;
  sessionId: string;
  blocks: z.output<typeof WholeSession>['blocks'];
}

/** The block that the tour is about. */
export function barsOf({ blocks }: PlannedSession): PlannedSession['blocks'][number] {
  const bars = blocks.find(({ title }) => title === 'Bars');
  if (!bars) throw new TourStops('The session has no block on the bars.');
  return bars;
}

export async function findGym({ owner }: Cast): Promise<string> {
  return find((await owner.reads('/gyms?limit=200', Listed)).items, GYMS.quillmere.name).id;
}

/** The first day from `from` on that has no session at the gym, so that every tour has a day of its own. */
export async function freeDay({ manager }: Cast, gymId: string, from: string): Promise<string> {
  const SPAN = 60;
  for (let start = from; start < addDays(from, 20 * SPAN); start = addDays(start, SPAN)) {
    const until = addDays(start, SPAN);
    const { items } = await manager.reads(`/gyms/${gymId}/sessions?from=${start}&until=${until}&limit=200`, Days);
    const taken = new Set(items.map(({ day }) => day));
    const free = Array.from({ length: SPAN }, (_, after) => addDays(start, after)).find((day) => !taken.has(day));
    if (free) return free;
  }
  throw new TourStops('Every day of the next years has a session already: load the demo afresh for another tour.');
}

/** Act two: the manager makes a class, the desk enrols children, the manager lays its session out from the plan. */
export async function playSession(
  cast: Cast,
  plan: PublishedPlan,
  gymId: string,
  day: string,
): Promise<PlannedSession> {
  const { manager } = cast;
  const until = addDays(day, 1);
  const { id: classId } = await manager.does(
    `adds a class that meets on ${day} at 17:00 for half an hour`,
    post(`/gyms/${gymId}/classes`, classBody(plan, { name: `Tour class of ${day}`, day, time: '17:00' })),
    Added,
    () => 'the class is there, with room for 14.',
  );
  const { laidOut } = await manager.does(
    'lays out its session, by the clock on the gym’s wall',
    post(`/gyms/${gymId}/classes/${classId}/sessions`, { from: day, until }),
    LaidOutSessions,
    () => 'one session.',
  );
  await enrolSome(cast, gymId, classId, day);
  const [session] = laidOut;
  if (!session) throw new TourStops('The class has no session.');
  const { id: sessionId, revision } = session;
  const { blocks } = await manager.does(
    'lays out its blocks from the published plan, one group',
    post(`/gyms/${gymId}/sessions/${sessionId}/lay-out`, { planId: plan.planId, groupCount: 1 }, revision),
    WholeSession,
    (whole) => `${whole.blocks.map(({ title }) => title).join(', ')}; pinned to that version of the plan.`,
  );
  return { gymId, sessionId, blocks };
}

/** A class that meets once, for as long as the tour's plan takes. */
export const classBody = (
  { programmeId }: PublishedPlan,
  { name, day, time }: { name: string; day: string; time: string },
) => ({
  name,
  programmeId,
  weekday: weekdayOf(day),
  time,
  durationMinutes: 30,
  capacity: 14,
  from: day,
  until: addDays(day, 1),
});

/** 1 is Monday. */
export const weekdayOf = (day: string): number => new Date(`${day}T00:00:00Z`).getUTCDay() || 7;

async function enrolSome({ desk }: Cast, gymId: string, classId: string, day: string): Promise<void> {
  const classes = await desk.reads(`/gyms/${gymId}/classes?limit=200`, Listed);
  const theirs = find(classes.items, CLASSES.find(({ key }) => key === 'q-mon-rec')?.name ?? '');
  const { items } = await desk.reads(`/gyms/${gymId}/classes/${theirs.id}/enrolments?limit=200`, Enrolments);
  const athletes = items.map(({ athleteId }) => athleteId).slice(-CHILDREN);
  if (athletes.length < CHILDREN) throw new TourStops(`"${theirs.name}" has fewer than ${CHILDREN} children by now.`);
  const [first, ...others] = athletes;
  const enrolment = (athleteId: string | undefined) =>
    post(`/gyms/${gymId}/classes/${classId}/enrolments`, { athleteId, from: day });
  const Enrolled = z.object({ enrolment: z.object({ athleteId: z.string() }) });
  await desk.does(
    `enrols ${CHILDREN} children of “${theirs.name}” in it, one after another`,
    enrolment(first),
    Enrolled,
    () => 'enrolled.',
  );
  for (const athleteId of others) await desk.quietly(enrolment(athleteId), Enrolled);
}
