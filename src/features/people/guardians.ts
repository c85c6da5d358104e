import { and, eq } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { guardianships } from '../../tables/people.ts';
import { bumpAthlete, getAthleteOf, guardiansOf } from './athlete-repo.ts';
import type {
  AthleteRef,
  CorrectedGuardian,
  Guardian,
  GuardianChanges,
  GuardianRef,
  NewGuardian,
} from './athlete-schema.ts';
import { updatePerson, whichPerson } from './persons.ts';
import { refuseStaff } from './staff-repo.ts';

const MOST = 20;

/** Links an athlete to somebody who answers for them. A fact: rules may say that nobody coaches their own child. */
export const linkGuardian = (
  ctx: Context,
  { gymId, athleteId }: AthleteRef,
  { person, relation, mayCollect = true }: NewGuardian,
) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Guardian> => {
    await getAthleteOf(ctx, gymId, athleteId);
    if ((await guardiansOf(ctx, gymId, athleteId)).length >= MOST) {
      throw refuse('conflict', `An athlete has ${MOST} guardians at the most.`);
    }
    const guardianId = await whichPerson(ctx, gymId, person);
    if (guardianId === athleteId) throw invalid('/person/id', 'Nobody is their own guardian.');
    await insertGuardianship(ctx, lock, { athleteId, guardianId, relation, mayCollect });
    const data = { athleteId, guardianId, mayCollect };
    await ctx.record('people.guardian-linked', { subjectId: athleteId, gymId }, data);
    return getGuardian(ctx, { gymId, athleteId, guardianId });
  });

async function insertGuardianship(
  ctx: Context,
  _lock: CoverLock,
  row: { athleteId: string; guardianId: string; relation: string; mayCollect: boolean },
): Promise<void> {
  try {
    await ctx.tx.insert(guardianships).values({ franchiseId: ctx.franchiseId, ...row, createdAt: ctx.now });
  } catch (error) {
    if (violates(error, 'unique')) throw refuse('already-exists', 'They are linked already.');
    throw error;
  }
}

const getGuardian = async (ctx: Context, { gymId, athleteId, guardianId }: GuardianRef): Promise<Guardian> =>
  found((await guardiansOf(ctx, gymId, athleteId, guardianId))[0], 'guardian');

const linked = (ctx: Context, { athleteId, guardianId }: GuardianRef) =>
  and(ours(ctx, guardianships), eq(guardianships.athleteId, athleteId), eq(guardianships.guardianId, guardianId));

/**
 * Corrects a guardian's names and contacts, and what they are to the athlete; no cover depends on any of it. Refuses
 * when the athlete was written to since revision `ifMatch`, and names or contacts of staff whom the caller doesn't manage.
 */
export async function changeGuardian(
  ctx: Context,
  at: GuardianRef,
  ifMatch: number,
  { relation, mayCollect, ...ofPerson }: GuardianChanges,
): Promise<CorrectedGuardian> {
  const { gymId, athleteId, guardianId } = at;
  await getAthleteOf(ctx, gymId, athleteId);
  await getGuardian(ctx, at);
  const changesPerson = Object.values(ofPerson).some((value) => value !== undefined);
  if (changesPerson) await refuseStaff(ctx, gymId, guardianId);
  const revision = await bumpAthlete(ctx, athleteId, ifMatch);
  await updatePerson(ctx, guardianId, ofPerson);
  if (relation !== undefined || mayCollect !== undefined) {
    await ctx.tx.update(guardianships).set({ relation, mayCollect }).where(linked(ctx, at));
  }
  const guardian = await getGuardian(ctx, at);
  const data = { athleteId, guardianId, mayCollect: guardian.mayCollect };
  await ctx.record('people.guardian-changed', { subjectId: athleteId, gymId, revision }, data);
  return { ...guardian, revision };
}

/** Takes the link away; the person stays, for the other athletes they answer for. */
export const unlinkGuardian = (ctx: Context, at: GuardianRef) =>
  factAbout(ctx, [at.athleteId], async (lock) => {
    const { gymId, athleteId, guardianId } = at;
    await getAthleteOf(ctx, gymId, athleteId);
    const { mayCollect } = await getGuardian(ctx, at);
    await deleteGuardianship(ctx, lock, at);
    const data = { athleteId, guardianId, mayCollect };
    await ctx.record('people.guardian-unlinked', { subjectId: athleteId, gymId }, data);
    return { guardianId };
  });

async function deleteGuardianship(ctx: Context, _lock: CoverLock, at: GuardianRef): Promise<void> {
  await ctx.tx.delete(guardianships).where(linked(ctx, at));
}
