import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { refuse } from '../../platform/problem.ts';
import { attendance } from '../../tables/attendance.ts';
import { athletes, personContacts, personNames, persons } from '../../tables/people.ts';
import { refuseUnborn } from '../people/days.ts';
import { type Arriving, checkIn } from './check-in.ts';
import { custodyNotesOf, getSession, heldFromActivity, recordStoppedRead } from './repo.ts';
import { attendanceOf } from './rosters.ts';
import type { Marked, NewGuest } from './schema.ts';

/**
 * Writes down somebody who walks in, with the least that is needed, and checks them in: name, birth date where it is
 * known, and how to reach an adult. Nobody new stands anywhere, so that writing them down needs no lock. The same guest
 * under the same id, sent again, changes nothing.
 */
export async function admitGuest(ctx: Context, gymId: string, guest: NewGuest, arriving: Arriving): Promise<Marked[]> {
  const { franchiseId } = ctx;
  refuseUnborn(ctx, guest.born);
  await getSession(ctx, gymId, guest.sessionId);
  const personId = guest.guestId ?? newId();
  const { rowCount } = await ctx.tx
    .insert(persons)
    .values({ franchiseId, id: personId, createdAt: ctx.now })
    .onConflictDoNothing();
  if (rowCount === 0) return admittedBefore(ctx, gymId, personId, guest);
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

/** The guest of that id, who has to be this one. */
async function admittedBefore(ctx: Context, gymId: string, personId: string, guest: NewGuest): Promise<Marked[]> {
  const [same] = await ctx.tx
    .select({ born: athletes.born })
    .from(athletes)
    .innerJoin(personNames, and(ours(ctx, personNames), eq(personNames.personId, athletes.personId)))
    .innerJoin(personContacts, and(ours(ctx, personContacts), eq(personContacts.personId, athletes.personId)))
    .where(
      and(
        ours(ctx, athletes),
        eq(athletes.personId, personId),
        eq(athletes.gymId, gymId),
        eq(personNames.given, guest.given),
        eq(personNames.family, guest.family),
        eq(personContacts.phone, guest.phone),
      ),
    );
  const [there] = await attendanceOf(ctx, [{ sessionId: guest.sessionId, athleteId: personId }]);
  if (same?.born !== guest.born || there?.kind !== 'guest')
    throw refuse('already-exists', 'Somebody has that id already.');
  const stopped = await heldFromActivity(ctx, [personId]);
  await recordStoppedRead(ctx, gymId, [...stopped]);
  const custodyNote = (await custodyNotesOf(ctx, gymId, [personId])).get(personId) ?? null;
  return [{ attendance: there, markId: null, alerts: [], stopped: stopped.has(personId), custodyNote }];
}
