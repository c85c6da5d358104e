import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { personHealth } from '../../tables/people.ts';
import { bumpAthlete, getAthleteOf } from './athlete-repo.ts';
import type { AthleteRef, Health } from './athlete-schema.ts';

/**
 * Writes what a coach has to know of an athlete's health, in place of what stood there; null takes it away. Refuses when
 * the athlete was written to since revision `ifMatch`: nobody takes away alerts that they have not read.
 */
export async function setHealth(
  ctx: Context,
  { gymId, athleteId }: AthleteRef,
  ifMatch: number,
  alerts: string | null,
): Promise<Health> {
  await getAthleteOf(ctx, gymId, athleteId);
  const revision = await bumpAthlete(ctx, athleteId, ifMatch);
  if (alerts === null) {
    await ctx.tx.delete(personHealth).where(and(ours(ctx, personHealth), eq(personHealth.personId, athleteId)));
  } else {
    await ctx.tx
      .insert(personHealth)
      .values({ franchiseId: ctx.franchiseId, personId: athleteId, alerts })
      .onConflictDoUpdate({ target: [personHealth.franchiseId, personHealth.personId], set: { alerts } });
  }
  await ctx.record('people.health-changed', { subjectId: athleteId, gymId, revision }, { athleteId });
  return { alerts, revision };
}

/** Leaves a line in the audit trail about those whose alerts were shown; none where nobody's were. */
export async function recordHealthRead(
  ctx: Context,
  about: { subjectId: string; gymId: string },
  shown: readonly { athleteId: string; alerts: string | null }[],
): Promise<void> {
  const athleteIds = shown.filter(({ alerts }) => alerts !== null).map(({ athleteId }) => athleteId);
  if (athleteIds.length > 0) await ctx.record('people.health-read', about, { athleteIds });
}
