import { and, eq, inArray } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { gymsFor } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid } from '../../platform/problem.ts';
import { athletes, families } from '../../tables/people.ts';

/** Puts an athlete in the family of another, at this gym or another that the caller writes for; makes one if need be. */
export async function joinFamily(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  athleteId: string,
  familyOf: string,
): Promise<void> {
  const theirs = gymsFor(ctx.roles, 'athletes.write');
  const [other] = await ctx.tx
    .select({ familyId: athletes.familyId })
    .from(athletes)
    .where(
      and(
        ours(ctx, athletes),
        eq(athletes.personId, familyOf),
        theirs === null ? undefined : inArray(athletes.gymId, [gymId, ...theirs]),
      ),
    );
  if (!other || familyOf === athleteId) throw invalid('/familyOf', 'There is no other athlete with that id here.');
  const familyId = other.familyId ?? newId();
  if (other.familyId === null) {
    await ctx.tx.insert(families).values({ franchiseId: ctx.franchiseId, id: familyId, createdAt: ctx.now });
  }
  await ctx.tx
    .update(athletes)
    .set({ familyId })
    .where(and(ours(ctx, athletes), inArray(athletes.personId, [athleteId, familyOf])));
}

export async function leaveFamily(ctx: Context, _lock: CoverLock, athleteId: string): Promise<void> {
  await ctx.tx
    .update(athletes)
    .set({ familyId: null })
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId)));
}
