import { GYMS } from '../demo/data/place.ts';
import { addDays, dayOf } from '../features/schedule/zone-time.ts';
import { playAbsence } from './absence.ts';
import { signInCast } from './cast.ts';
import { playPlan } from './plan.ts';
import type { Told } from './player.ts';
import { findGym, freeDay, playSession } from './session.ts';
import { findStaff, playStaffing } from './staffing.ts';

/** Further ahead than the service confirms by itself, so that only the tour's people do. */
const DAYS_AHEAD = 21;

/**
 * Plays the main job over HTTP against the service at `url`, on the demo franchise, and tells each step. It makes a class
 * of its own on a day of its own, so it can be played again and again.
 *
 * @throws TourStops at the first step that differs from what is told.
 */
export async function playTour({ url, now, told }: { url: string; now: Date; told: Told }): Promise<void> {
  told.line(`The main job, played over HTTP against ${url}: a plan becomes a safely staffed session.`);
  const cast = await signInCast(url, told);
  const gymId = await findGym(cast);
  const day = await freeDay(cast, gymId, addDays(dayOf(now, GYMS.quillmere.zone), DAYS_AHEAD));
  const person = await findStaff(cast, gymId);

  told.line('\nA plan is published');
  const plan = await playPlan(cast, mondayOf(day));
  told.line('\nA session is planned');
  const planned = await playSession(cast, plan, gymId, day);
  told.line('\nIt is staffed');
  const assignmentId = await playStaffing(cast, planned, person);
  told.line('\nSomebody cannot come');
  await playAbsence(cast, planned, person, assignmentId);
  told.line('\nThe session is confirmed again, and every step went as it was told.');
}

function mondayOf(day: string): string {
  const weekday = new Date(`${day}T00:00:00Z`).getUTCDay() || 7;
  return addDays(day, 1 - weekday);
}
