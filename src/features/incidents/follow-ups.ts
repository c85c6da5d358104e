import { and, eq, isNull, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { incidentFollowUps } from '../../tables/incidents.ts';
import { about, lockIncident } from './access.ts';
import type { AtIncident, FollowUp } from './addition-schema.ts';
import { refuseFull } from './bounds.ts';
import { link } from './chain.ts';
import { followUpOnWire } from './repo.ts';

/** Writes down what is still to be done about an incident, and by when. */
export async function addFollowUp(
  ctx: Context,
  at: AtIncident,
  { what, dueOn }: { what: string; dueOn: string },
): Promise<FollowUp> {
  const note = await lockIncident(ctx, at);
  await refuseFull(ctx, note.id, 'followUps');
  if (ctx.accountId === null) throw new Error('a follow-up is agreed by somebody');
  const [row] = await ctx.tx
    .insert(incidentFollowUps)
    .values({
      franchiseId: ctx.franchiseId,
      id: newId(),
      incidentId: note.id,
      what,
      dueOn,
      createdAt: ctx.now,
      createdBy: ctx.accountId,
    })
    .returning();
  const followUp = followUpOnWire(found(row, 'follow-up'));
  await link(ctx, note, 'follow-up', followUp.id);
  await ctx.record('incidents.follow-up-added', about(note), { followUpId: followUp.id, dueOn });
  return followUp;
}

/** Says what came of it; once. */
export async function finishFollowUp(
  ctx: Context,
  at: AtIncident & { followUpId: string },
  outcome: string,
): Promise<FollowUp> {
  const note = await lockIncident(ctx, at);
  const itself = and(
    ours(ctx, incidentFollowUps),
    eq(incidentFollowUps.incidentId, note.id),
    eq(incidentFollowUps.id, at.followUpId),
  );
  const [there] = await ctx.tx.select({ id: incidentFollowUps.id }).from(incidentFollowUps).where(itself);
  found(there, 'follow-up');
  const [row] = await ctx.tx
    .update(incidentFollowUps)
    .set({ doneAt: ctx.now, doneBy: ctx.accountId, outcome, revision: sql`${incidentFollowUps.revision} + 1` })
    .where(and(itself, isNull(incidentFollowUps.doneAt)))
    .returning();
  if (!row) throw refuse('conflict', 'It is done already.');
  await link(ctx, note, 'outcome', row.id);
  await ctx.record('incidents.follow-up-done', about(note), { followUpId: row.id });
  return followUpOnWire(row);
}
