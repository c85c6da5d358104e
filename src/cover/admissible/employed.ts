import { holdsDays, localDay, midnightsIn } from '../day.ts';
import type { Guard } from './guard.ts';

/** Somebody works only on days on which they are employed there. */
export const employed: Guard = {
  why: 'not-employed',
  refuse({ floor: { zone }, staff, place: { span } }) {
    const days = [span.from, ...midnightsIn(zone, span)].map((at) => localDay(zone, at));
    const isOff = days.some((day) => !staff.employed.some((run) => holdsDays(run, day, day)));
    return isOff ? [{ why: 'not-employed', span, failed: null }] : [];
  },
};
