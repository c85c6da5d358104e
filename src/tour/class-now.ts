import { z } from 'zod';
import { addDays, dayOf, wallTimeOf } from '../features/schedule/zone-time.ts';
import type { Cast } from './cast.ts';
import { coachName, type Hall } from './hall.ts';
import type { PublishedPlan } from './plan.ts';
import { post } from './player.ts';
import { classBody, LaidOutSessions, type PlannedSession, WholeSession } from './session.ts';
import { TourStops } from './told.ts';

const Added = z.object({ id: z.string() });
const Enrolled = z.object({ enrolment: z.object({ athleteId: z.string() }) });
const Assigned = z.object({ assignment: z.object({ id: z.string() }) });
const Confirmed = z.object({ confirmed: z.array(z.string()) });
const Now = z.object({ at: z.string() });
const Checked = z.object({
  items: z.array(z.object({ stopped: z.literal(false), attendance: z.object({ state: z.literal('present') }) })),
});
const AtWork = z.object({ state: z.literal('at-work') });

/** Blocks are laid out before a session begins: so long that takes at the most. */
const AHEAD_MS = 15_000;
const MINUTE_MS = 60_000;
const LATER_MS = 180 * MINUTE_MS;

/** A class that begins in a moment, and the session of another, later that day. */
export interface ClassNow extends PlannedSession {
  startsAt: string;
  laterId: string;
}

/** The manager lays out and staffs a class that begins at the next full minute. */
export async function playClassNow(cast: Cast, plan: PublishedPlan, hall: Hall): Promise<ClassNow> {
  const { manager, desk } = cast;
  const { gymId, zone, athleteIds, coach } = hall;
  const soon = Date.parse(await serviceClock(cast, gymId)) + AHEAD_MS;
  const start = new Date(Math.ceil(soon / MINUTE_MS) * MINUTE_MS);
  const [day, time] = [dayOf(start, zone), wallTimeOf(start, zone)];
  const meets = async (name: string, at: string) => {
    const body = classBody(plan, { name, day, time: at });
    const { id } = await manager.quietly(post(`/gyms/${gymId}/classes`, body), Added);
    const span = { from: day, until: addDays(day, 1) };
    const { laidOut } = await manager.quietly(post(`/gyms/${gymId}/classes/${id}/sessions`, span), LaidOutSessions);
    const [session] = laidOut;
    if (!session) throw new TourStops('The class has no session.');
    return { classId: id, session };
  };

  const { classId, session } = await meets('Tour class', time);
  const { blocks } = await manager.does(
    `lays out a class that begins in a moment, at ${time} there, from the published plan`,
    post(`/gyms/${gymId}/sessions/${session.id}/lay-out`, { planId: plan.planId, groupCount: 1 }, session.revision),
    WholeSession,
    (whole) => `${whole.blocks.map(({ title }) => title).join(', ')}.`,
  );
  const later = await meets('Tour class later that day', wallTimeOf(new Date(start.getTime() + LATER_MS), zone));
  const enrol = (id: string, athleteId: string | undefined) =>
    desk.quietly(post(`/gyms/${gymId}/classes/${id}/enrolments`, { athleteId, from: day }), Enrolled);
  for (const athleteId of athleteIds) await enrol(classId, athleteId);
  await enrol(later.classId, athleteIds[0]);

  const span = { startsAt: blocks[0]?.startsAt, endsAt: blocks.at(-1)?.endsAt };
  for (const { id } of blocks) {
    const path = `/gyms/${gymId}/blocks/${id}/assignments`;
    await manager.quietly(post(path, { personId: coach.runa, duty: 'lead' }), Assigned);
    await manager.quietly(post(path, { personId: coach.edda, duty: 'assist' }), Assigned);
  }
  await manager.quietly(
    post(`/gyms/${gymId}/premises/assignments`, { personId: coach.piet, duty: 'assist', ...span }),
    Assigned,
  );
  await manager.does(
    `puts ${coachName('runa')} and ${coachName('edda')} on it, keeps ${coachName('piet')} as a floater, and confirms it`,
    post(`/gyms/${gymId}/sessions/${session.id}/confirm`),
    Confirmed.refine(({ confirmed }) => confirmed.length === blocks.length),
    ({ confirmed }) => `${confirmed.length} blocks are confirmed.`,
  );
  return { gymId, sessionId: session.id, blocks, startsAt: start.toISOString(), laterId: later.session.id };
}

/** Everybody comes, and the class begins. */
export async function playArrival(
  cast: Cast,
  { coach, athleteIds }: Hall,
  { gymId, startsAt }: ClassNow,
  wait: (ms: number) => Promise<void>,
): Promise<void> {
  const { desk } = cast;
  const comes = (personId: string) => post(`/gyms/${gymId}/staff-marks`, { personId, kind: 'in' });
  await desk.quietly(comes(coach.edda), AtWork);
  await desk.quietly(comes(coach.piet), AtWork);
  await desk.does('checks the three coaches in', comes(coach.runa), AtWork, () => 'they are at work.');
  await desk.does(
    'checks the twelve children in, all in one request',
    post(`/gyms/${gymId}/check-ins`, { arrivals: athleteIds.map((athleteId) => ({ athleteId })) }),
    Checked.refine(({ items }) => items.length === athleteIds.length),
    ({ items }) => `${items.length} are in, and nobody is stopped.`,
  );
  for (;;) {
    const ms = Date.parse(startsAt) - Date.parse(await serviceClock(cast, gymId));
    if (ms <= 0) return;
    await wait(ms);
  }
}

/** What time it is for the service, which another machine may not agree with. */
const serviceClock = async ({ manager }: Cast, gymId: string): Promise<string> =>
  (await manager.reads(`/gyms/${gymId}/board`, Now)).at;
