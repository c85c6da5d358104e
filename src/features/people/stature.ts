import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { invalid } from '../../platform/problem.ts';
import { athleteStatures } from '../../tables/people.ts';
import { getAthleteOf } from './athlete-repo.ts';
import type { AthleteRef, Stature } from './athlete-schema.ts';

const of = (ctx: Context, athleteId: string) =>
  and(ours(ctx, athleteStatures), eq(athleteStatures.personId, athleteId));

/** How tall an athlete was when somebody last looked. */
export async function getStature(ctx: Context, { gymId, athleteId }: AthleteRef): Promise<Stature> {
  await getAthleteOf(ctx, gymId, athleteId);
  const [stature] = await ctx.tx
    .select({ cm: athleteStatures.cm, on: athleteStatures.measuredOn })
    .from(athleteStatures)
    .where(of(ctx, athleteId));
  return { stature: stature ?? null };
}

/** Writes a height in place of the last one; null takes it away. Refuses a day that has not come anywhere yet. */
export async function setStature(
  ctx: Context,
  { gymId, athleteId }: AthleteRef,
  { stature }: Stature,
): Promise<Stature> {
  await getAthleteOf(ctx, gymId, athleteId);
  if (stature === null) {
    await ctx.tx.delete(athleteStatures).where(of(ctx, athleteId));
  } else {
    // Somewhere it is tomorrow already.
    const latest = new Date(ctx.now.getTime() + 14 * 3_600_000).toISOString().slice(0, 10);
    if (stature.on > latest) throw invalid('/stature/on', 'This day has not come yet.');
    const row = { cm: stature.cm, measuredOn: stature.on };
    await ctx.tx
      .insert(athleteStatures)
      .values({ franchiseId: ctx.franchiseId, personId: athleteId, ...row })
      .onConflictDoUpdate({ target: [athleteStatures.franchiseId, athleteStatures.personId], set: row });
  }
  await ctx.record('people.stature-set', { subjectId: athleteId, gymId }, { athleteId });
  return { stature };
}
