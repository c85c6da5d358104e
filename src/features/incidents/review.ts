import { and, eq, isNull, lt, lte, or, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { incidents } from '../../tables/incidents.ts';
import { zoneOf } from '../gyms/repo.ts';
import { dayOf } from '../schedule/zone-time.ts';
import { about, lockIncident } from './access.ts';
import type { AtIncident } from './addition-schema.ts';
import { addAmendment } from './amend-note.ts';
import { leapDayOf, peopleHere } from './people-here.ts';
import { readIncident } from './read-note.ts';
import { type Kept, keepUntil } from './retention.ts';
import type { Incident } from './schema.ts';

/** Until when a note of that day about these people is kept at the least. */
export const keepUntilOf = async (ctx: Context, day: string, people: readonly Kept[]): Promise<string | null> =>
  keepUntil(day, people, await leapDayOf(ctx));

/**
 * Reckons anew what seems to be due, or has no end: a birth date may have become known, or been corrected, since the note
 * was written. A day that a review has set, or that was kept until before, never comes nearer.
 */
export async function reckonDue(ctx: Context, gymId: string, today: string): Promise<void> {
  const old = and(ours(ctx, incidents), eq(incidents.gymId, gymId), lte(incidents.day, today));
  const notes = await ctx.tx
    .select({
      id: incidents.id,
      day: incidents.day,
      keepUntil: incidents.keepUntil,
      people: sql<string[]>`ARRAY(SELECT p.person_id::text FROM incident_people p
        WHERE p.franchise_id = ${ctx.franchiseId} AND p.incident_id = ${incidents.id})`,
    })
    .from(incidents)
    .where(and(old, or(isNull(incidents.keepUntil), lte(incidents.keepUntil, today))))
    .orderBy(incidents.day)
    .limit(MOST_RECKONED);
  const known = await peopleHere(ctx, gymId, [...new Set(notes.flatMap(({ people }) => people))]);
  const leapDay = await leapDayOf(ctx);
  for (const note of notes) {
    const about = note.people.flatMap((id) => known.get(id) ?? []);
    const until = keepUntil(note.day, about, leapDay);
    if (until === null || (note.keepUntil !== null && until <= note.keepUntil)) continue;
    await ctx.tx
      .update(incidents)
      .set({ keepUntil: until, revision: sql`${incidents.revision} + 1` })
      .where(
        and(
          ours(ctx, incidents),
          eq(incidents.id, note.id),
          // A review may have come between.
          or(isNull(incidents.keepUntil), lt(incidents.keepUntil, until)),
        ),
      );
  }
}
const MOST_RECKONED = 5000;

/** Keeps a note that was due for review until a later day, and says why, signed. Nothing is ever deleted by the service. */
export async function reviewNote(
  ctx: Context,
  at: AtIncident,
  { keepUntil: until, reason, signedAs }: { keepUntil: string; reason: string; signedAs: string },
): Promise<Incident> {
  const note = await lockIncident(ctx, at);
  const today = dayOf(ctx.now, await zoneOf(ctx, at.gymId));
  if (note.keepUntil === null || note.keepUntil > today) {
    throw refuse(
      'conflict',
      `The note is kept until ${note.keepUntil ?? 'a birth date is known'}; it is not due for review.`,
    );
  }
  if (until <= today) throw invalid('/keepUntil', `Expected a day after today, ${today}.`);
  const amendmentId = await addAmendment(ctx, note, { what: 'review', said: reason, keepUntil: until, signedAs });
  await ctx.tx
    .update(incidents)
    .set({ keepUntil: until, revision: sql`${incidents.revision} + 1` })
    .where(and(ours(ctx, incidents), eq(incidents.id, note.id)));
  await ctx.record('incidents.reviewed', about({ ...note, revision: note.revision + 1 }), {
    amendmentId,
    keepUntil: until,
  });
  return readIncident(ctx, at);
}
