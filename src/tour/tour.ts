import { GYMS } from '../demo/data/place.ts';
import { addDays, dayOf } from '../features/schedule/zone-time.ts';
import { playAbsence } from './absence.ts';
import { playBoard } from './board.ts';
import { signInCast } from './cast.ts';
import { playArrival, playClassNow } from './class-now.ts';
import { playFall, playNextClass } from './fall.ts';
import { openHall } from './hall.ts';
import { playPlan } from './plan.ts';
import { findGym, freeDay, playSession, weekdayOf } from './session.ts';
import { findStaff, playStaffing } from './staffing.ts';
import type { Told } from './told.ts';

/** Further ahead than the service confirms by itself, so that only the tour's people do. */
const DAYS_AHEAD = 21;

export interface Stage {
  url: string;
  now: Date;
  told: Told;
  /** The tour waits once, for a class to begin: for so many milliseconds. */
  wait: (ms: number) => Promise<void>;
}

/**
 * Plays the main job over HTTP against the service at `url`, on the demo franchise, and tells each step. It makes a class
 * of its own on a day of its own, and then a gym of its own, so it can be played again and again.
 *
 * @throws TourStops at the first step that differs from what is told.
 */
export async function playTour({ url, now, told, wait }: Stage): Promise<void> {
  told.line(`The main job, played over HTTP against ${url}: a plan becomes a safely staffed session, which is held.`);
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
  told.line('\nAnother class begins in a moment, in a gym of its own');
  const hall = await openHall(cast, now);
  const held = await playClassNow(cast, plan, hall);
  await playArrival(cast, hall, held, async (ms) => {
    told.line(`    The class begins in ${Math.ceil(ms / 1000)} seconds; until then the tour waits.`);
    await wait(ms);
  });
  told.line('\nIt is held, and a coach leaves');
  await playBoard(cast, hall, held);
  told.line('\nA fall');
  const noted = await playFall(cast, hall, held);
  told.line('\nThe child comes to the next class');
  await playNextClass(cast, hall, held, noted);
  told.line('\nEvery step went as it was told.');
}

function mondayOf(day: string): string {
  return addDays(day, 1 - weekdayOf(day));
}
