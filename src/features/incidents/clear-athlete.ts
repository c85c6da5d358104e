import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { incidentAttachments, incidentClearances, incidentConcussions } from '../../tables/incidents.ts';
import { clearActivityHold } from '../attendance/repo.ts';
import { zoneOf } from '../gyms/repo.ts';
import { addDays, dayOf, momentOf } from '../schedule/zone-time.ts';
import { about, getIncident, lockIncident } from './access.ts';
import type { AtIncident, NewClearance } from './addition-schema.ts';
import { bumpNote } from './amend-note.ts';
import { link } from './chain.ts';
import { readIncident } from './read-note.ts';
import type { Incident } from './schema.ts';
import { stopActivity } from './suspect-concussion.ts';

/**
 * Puts a licensed professional's clearance on file and lets the athlete take part again, from the day after the fall at
 * the earliest, as the note's own caution says. The stages of the return are kept as the clinician wrote them; what they
 * mean is not the service's to judge.
 */
export async function clearAthlete(
  ctx: Context,
  at: AtIncident & { concussionId: string },
  clearance: NewClearance,
): Promise<Incident> {
  await getIncident(ctx, at);
  const { athleteId, holdId } = await getConcussion(ctx, at);
  const lock = await stopActivity(ctx, [athleteId]);
  const note = await lockIncident(ctx, at);
  await refuseUnfit(ctx, at, clearance);
  if (ctx.accountId === null) throw new Error('a clearance is recorded by somebody');
  const row = {
    id: newId(),
    concussionId: at.concussionId,
    ...clearance,
    createdAt: ctx.now,
    createdBy: ctx.accountId,
  };
  await ctx.tx.insert(incidentClearances).values({ franchiseId: ctx.franchiseId, ...row });
  const nextDay = momentOf(addDays(note.day, 1), '00:00', await zoneOf(ctx, at.gymId));
  const from = new Date(Math.max(nextDay.getTime(), ctx.now.getTime()));
  await clearActivityHold(ctx, lock, at.gymId, { holdId, clearanceId: row.id, from });
  await bumpNote(ctx, note);
  await link(ctx, note, 'clearance', row.id);
  await ctx.record('incidents.cleared', about({ ...note, revision: note.revision + 1 }), { clearanceId: row.id });
  return readIncident(ctx, at);
}

async function getConcussion(ctx: Context, { incidentId, concussionId }: AtIncident & { concussionId: string }) {
  const [row] = await ctx.tx
    .select({ athleteId: incidentConcussions.athleteId, holdId: incidentConcussions.holdId })
    .from(incidentConcussions)
    .where(
      and(
        ours(ctx, incidentConcussions),
        eq(incidentConcussions.incidentId, incidentId),
        eq(incidentConcussions.id, concussionId),
      ),
    );
  return found(row, 'suspected concussion');
}

async function refuseUnfit(
  ctx: Context,
  at: AtIncident & { concussionId: string },
  { examinedOn, stages, attachmentId }: NewClearance,
): Promise<void> {
  const [before] = await ctx.tx
    .select({ id: incidentClearances.id })
    .from(incidentClearances)
    .where(and(ours(ctx, incidentClearances), eq(incidentClearances.concussionId, at.concussionId)));
  if (before) throw refuse('conflict', 'A clearance is on file already.');
  const today = dayOf(ctx.now, await zoneOf(ctx, at.gymId));
  if (examinedOn > today) throw invalid('/examinedOn', 'That lies ahead.');
  const first = stages[0]?.notBefore ?? null;
  if (first !== null && first > today) {
    const detail = `The first stage begins on ${first}: until then check-in stays stopped. Record it on that day.`;
    throw invalid('/stages/0/notBefore', detail);
  }
  if (attachmentId === null) return;
  const [file] = await ctx.tx
    .select({ id: incidentAttachments.id })
    .from(incidentAttachments)
    .where(
      and(
        ours(ctx, incidentAttachments),
        eq(incidentAttachments.incidentId, at.incidentId),
        eq(incidentAttachments.id, attachmentId),
      ),
    );
  if (!file) throw invalid('/attachmentId', 'This is no file of the note.');
}
