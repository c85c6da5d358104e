import { checkIn } from '../features/attendance/check-in.ts';
import { noteMissing } from '../features/attendance/notes.ts';
import { markStaff } from '../features/attendance/staff-presence.ts';
import { addDays, dayOf, momentOf, wallTimeOf } from '../features/schedule/zone-time.ts';
import { GYMS } from './data/place.ts';
import type { StaffKey } from './data/staff.ts';
import { CATCH_UP, type Post } from './data/timetable.ts';
import { type LaidOut, type ScheduleStage, seedOnce } from './seed-schedule.ts';
import { type StaffingStage, seedStaffing } from './seed-staffing.ts';

const MINUTE_MS = 60_000;
const LENGTH_MS = CATCH_UP.minutes * MINUTE_MS;
/** The class has been running for so long, but after midnight. */
const RUNNING_MS = 20 * MINUTE_MS;
const EARLY_MS = 5 * MINUTE_MS;

/**
 * Something for the live board to show when the demo is loaded, whatever the time of day: a class that runs, one of whose
 * coaches has not come, and a child who was not collected after the class before; that one is left out soon after
 * midnight.
 */
export async function seedToday(
  stage: ScheduleStage & StaffingStage & { now: Date; deskId: string },
): Promise<LaidOut[]> {
  const { act, at, accountId, managerId, deskId, place, staff, athletes, now } = stage;
  const gymId = place.gym(CATCH_UP.gym);
  const { zone } = GYMS[CATCH_UP.gym];
  const day = dayOf(now, zone);
  const weekday = new Date(`${day}T00:00:00Z`).getUTCDay() || 7;
  const [midnight, nextMidnight] = [day, addDays(day, 1)].map((one) => momentOf(one, '00:00', zone).getTime());
  if (midnight === undefined || nextMidnight === undefined) throw new Error('a day has two ends');
  const startsAt = Math.max(midnight, Math.min(now.getTime() - RUNNING_MS, nextMidnight - LENGTH_MS));
  const earlierAt = startsAt - LENGTH_MS - CATCH_UP.minutesBetween * MINUTE_MS;

  const lay = (name: string, moment: number, children: readonly string[], posts: Post[]) => {
    const data = { ...CATCH_UP, key: name, name, weekday, time: wallTimeOf(new Date(moment), zone), groups: [posts] };
    return act(at, accountId, (ctx) => seedOnce(ctx, stage, data, { day, children, week: 0, planOfWeek: 0 }));
  };
  const lead: Post = { who: CATCH_UP.lead, duty: 'lead' };
  const all = athletes(CATCH_UP.athletesOf(weekday));
  const [waiting, ...absent] = all.slice(-CATCH_UP.children - 2, -CATCH_UP.children);
  const running = await lay(CATCH_UP.running, startsAt, all.slice(-CATCH_UP.children), [
    lead,
    { who: CATCH_UP.assist(weekday), duty: 'assist' },
  ]);
  const before =
    earlierAt >= midnight && waiting !== undefined
      ? await lay(CATCH_UP.before, earlierAt, [waiting, ...absent], [lead])
      : null;
  const laidOut = before ? [before, running] : [running];
  await seedStaffing(stage, laidOut);

  const shortlyBefore = (moment: number) => new Date(Math.max(midnight, moment - EARLY_MS));
  const comes = (who: StaffKey, when: Date) =>
    act(when, managerId, (ctx) => markStaff({ ...ctx, personId: staff(who) }, gymId, { kind: 'in' }));
  const arrive = ({ session }: LaidOut, children: readonly string[], when: Date) =>
    act(when, deskId, (ctx) =>
      checkIn(
        ctx,
        gymId,
        children.map((athleteId) => ({ athleteId, sessionId: session.id })),
        { at: when },
      ),
    );
  await comes(CATCH_UP.lead, shortlyBefore(before ? earlierAt : startsAt));
  if (before && waiting !== undefined) {
    const when = shortlyBefore(earlierAt);
    const missing = absent.map((athleteId) => ({ athleteId, sessionId: before.session.id }));
    await arrive(before, [waiting], when);
    if (missing.length > 0) await act(when, deskId, (ctx) => noteMissing(ctx, gymId, 'absent', missing, when));
  }
  await arrive(running, all.slice(-CATCH_UP.children), shortlyBefore(startsAt));
  return laidOut;
}
