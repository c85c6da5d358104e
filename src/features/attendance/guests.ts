import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { newId } from '../../platform/ids.ts';
import { refuse } from '../../platform/problem.ts';
import { attendance } from '../../tables/attendance.ts';
import { athletes, personContacts, personNames, persons } from '../../tables/people.ts';
import { refuseUnborn } from '../people/days.ts';
import { type Arriving, checkIn } from './check-in.ts';
import { getGymDoor, getSession } from './repo.ts';
import type { Marked, NewGuest } from './schema.ts';

/**
 * Writes down somebody who walks in, with the least that is needed, and checks them in: name, birth date where it is
 * known, and how to reach an adult. Nobody new stands anywhere, so that writing them down needs no lock.
 */
export async function admitGuest(ctx: Context, gymId: string, guest: NewGuest, arriving: Arriving): Promise<Marked[]> {
  const { franchiseId } = ctx;
  refuseUnborn(ctx, guest.born);
  await getGymDoor(ctx, gymId);
  await getSession(ctx, gymId, guest.sessionId);
  const personId = guest.guestId ?? newId();
  try {
    await ctx.tx.insert(persons).values({ franchiseId, id: personId, createdAt: ctx.now });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'Somebody has that id already.');
    throw error;
  }
  await ctx.tx.insert(personNames).values({ franchiseId, personId, given: guest.given, family: guest.family });
  await ctx.tx.insert(personContacts).values({ franchiseId, personId, email: null, phone: guest.phone });
  await ctx.tx.insert(athletes).values({ franchiseId, personId, gymId, born: guest.born, createdAt: ctx.now });
  await ctx.record('people.athlete-added', { subjectId: personId, gymId, revision: 1 }, { athleteId: personId });
  await ctx.tx.insert(attendance).values({
    franchiseId,
    sessionId: guest.sessionId,
    athleteId: personId,
    gymId,
    kind: 'guest',
    state: 'expected',
    since: arriving.at,
    findings: [],
    createdAt: ctx.now,
  });
  return checkIn(ctx, gymId, [{ athleteId: personId, sessionId: guest.sessionId }], arriving);
}
