import { and, eq } from 'drizzle-orm';
import { formatFraction, parseFraction } from '../../cover/index.ts';
import { factAbout, nothingSettled } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { athletes, athleteTraits, staffMembers } from '../../tables/people.ts';
import { getAthlete } from './athlete-repo.ts';
import type { ChangedAthlete, NewAthlete } from './athlete-schema.ts';
import { refuseBackwards, refuseUnborn } from './days.ts';
import { joinFamily } from './families.ts';
import { whichPerson } from './persons.ts';

/**
 * Writes down an athlete of this gym. They are in no group yet, so no cover depends on them; only joining the family of
 * another athlete is a fact.
 */
export async function addAthlete(ctx: Context, gymId: string, athlete: NewAthlete): Promise<ChangedAthlete> {
  const { familyOf = null } = athlete;
  const athleteId = await insertAthlete(ctx, gymId, athlete);
  if (familyOf === null) return { ...(await getAthlete(ctx, gymId, athleteId)), settled: nothingSettled() };
  return factAbout(ctx, [athleteId], async (lock) => {
    await joinFamily(ctx, lock, gymId, athleteId, familyOf);
    return getAthlete(ctx, gymId, athleteId);
  });
}

async function insertAthlete(
  ctx: Context,
  gymId: string,
  { person, born, countsAs = '1', traits = [] }: NewAthlete,
): Promise<string> {
  const { franchiseId } = ctx;
  for (const [index, days] of traits.entries()) refuseBackwards(days, `/traits/${index}`);
  const athleteId = await whichPerson(ctx, gymId, person);
  refuseUnborn(ctx, born);
  await refuseOtherBirthDate(ctx, athleteId, born);
  try {
    await ctx.tx.insert(athletes).values({
      franchiseId,
      personId: athleteId,
      gymId,
      born,
      countsAs: formatFraction(parseFraction(countsAs)),
      createdAt: ctx.now,
    });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'They are an athlete of this franchise already.');
    throw error;
  }
  if (traits.length > 0) {
    await ctx.tx
      .insert(athleteTraits)
      .values(traits.map((one) => ({ franchiseId, id: newId(), athleteId, ...one, createdAt: ctx.now })));
  }
  await ctx.record('people.athlete-added', { subjectId: athleteId, gymId, revision: 1 }, { athleteId });
  return athleteId;
}

/** Somebody has one birth date, as an athlete and on the staff. */
async function refuseOtherBirthDate(ctx: Context, personId: string, born: string | null): Promise<void> {
  const [staff] = await ctx.tx
    .select({ born: staffMembers.born })
    .from(staffMembers)
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId)));
  if (staff && staff.born !== born) {
    throw invalid('/born', 'They are on the staff with another birth date; correct that one first if it is wrong.');
  }
}
