import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { personHealth } from '../../tables/people.ts';
import { getAthleteOf } from './athlete-repo.ts';

/** Writes what a coach has to know of an athlete's health, in place of what stood there; null takes it away. */
export async function setHealth(
  ctx: Context,
  { gymId, athleteId }: { gymId: string; athleteId: string },
  alerts: string | null,
): Promise<{ alerts: string | null }> {
  await getAthleteOf(ctx, gymId, athleteId);
  if (alerts === null) {
    await ctx.tx.delete(personHealth).where(and(ours(ctx, personHealth), eq(personHealth.personId, athleteId)));
  } else {
    await ctx.tx
      .insert(personHealth)
      .values({ franchiseId: ctx.franchiseId, personId: athleteId, alerts })
      .onConflictDoUpdate({ target: [personHealth.franchiseId, personHealth.personId], set: { alerts } });
  }
  await ctx.record('people.health-changed', { subjectId: athleteId, gymId }, { athleteId });
  return { alerts };
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
