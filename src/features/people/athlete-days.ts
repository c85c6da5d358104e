import { and, eq } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { athleteHelpers, athleteSupports, athleteTraits } from '../../tables/people.ts';
import { getAthleteOf } from './athlete-repo.ts';
import type {
  AthleteRef,
  Helper,
  HelperRef,
  NewHelper,
  NewSupport,
  NewTrait,
  Support,
  SupportRef,
  Trait,
  TraitRef,
} from './athlete-schema.ts';
import { refuseBackwards, refuseEndBefore } from './days.ts';
import { findStaffOf } from './staff-repo.ts';

// What is true of an athlete from a day on: a trait, the need of a one-to-one helper, who may be that helper.

/** Gives an athlete a trait that a rule's band may name. */
export const addTrait = (ctx: Context, { gymId, athleteId }: AthleteRef, { trait, from, until = null }: NewTrait) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Trait> => {
    refuseBackwards({ from, until });
    await getAthleteOf(ctx, gymId, athleteId);
    const row = { id: newId(), trait, from, until };
    await insertDays(ctx, lock, athleteTraits, { ...row, athleteId });
    await ctx.record('people.trait-changed', { subjectId: athleteId, gymId }, { athleteId, traitId: row.id });
    return row;
  });

/** Says from which day on a trait is no longer theirs; refuses one before the day on which it began. */
export const endTrait = (ctx: Context, { gymId, athleteId, traitId }: TraitRef, until: string) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Trait> => {
    const { trait, from } = await endDays(ctx, lock, athleteTraits, { gymId, athleteId, id: traitId }, until);
    await ctx.record('people.trait-changed', { subjectId: athleteId, gymId }, { athleteId, traitId });
    return { id: traitId, trait, from, until };
  });

/** Says that an athlete needs a helper of their own on these days. */
export const addSupport = (ctx: Context, { gymId, athleteId }: AthleteRef, { from, until = null }: NewSupport) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Support> => {
    refuseBackwards({ from, until });
    await getAthleteOf(ctx, gymId, athleteId);
    const row = { id: newId(), from, until };
    await insertDays(ctx, lock, athleteSupports, { ...row, athleteId });
    await ctx.record('people.support-changed', { subjectId: athleteId, gymId }, { athleteId });
    return row;
  });

/** Says from which day on an athlete needs no helper; refuses one before the day on which the need began. */
export const endSupport = (ctx: Context, { gymId, athleteId, supportId }: SupportRef, until: string) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Support> => {
    const { from } = await endDays(ctx, lock, athleteSupports, { gymId, athleteId, id: supportId }, until);
    await ctx.record('people.support-changed', { subjectId: athleteId, gymId }, { athleteId });
    return { id: supportId, from, until };
  });

/** Says who of the gym's staff may be an athlete's helper; refuses whoever is not employed here now or ahead. */
export const addHelper = (
  ctx: Context,
  { gymId, athleteId }: AthleteRef,
  { helperId, from, until = null }: NewHelper,
) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Helper> => {
    refuseBackwards({ from, until });
    await getAthleteOf(ctx, gymId, athleteId);
    if (!(await findStaffOf(ctx, [gymId], helperId))) {
      throw invalid('/helperId', 'There is nobody with that id on this gym’s staff.');
    }
    const row = { id: newId(), helperId, from, until };
    await insertDays(ctx, lock, athleteHelpers, { ...row, athleteId });
    await ctx.record('people.support-changed', { subjectId: athleteId, gymId }, { athleteId });
    return row;
  });

/** Says from which day on somebody is their helper no more; refuses one before the day on which they began. */
export const endHelper = (ctx: Context, { gymId, athleteId, athleteHelperId: id }: HelperRef, until: string) =>
  factAbout(ctx, [athleteId], async (lock): Promise<Helper> => {
    const { helperId, from } = await endDays(ctx, lock, athleteHelpers, { gymId, athleteId, id }, until);
    await ctx.record('people.support-changed', { subjectId: athleteId, gymId }, { athleteId });
    return { id, helperId, from, until };
  });

type DaysTable = typeof athleteTraits | typeof athleteSupports | typeof athleteHelpers;

async function insertDays<T extends DaysTable>(
  ctx: Context,
  _lock: CoverLock,
  table: T,
  row: Omit<T['$inferInsert'], 'franchiseId' | 'createdAt'>,
): Promise<void> {
  const values: T['$inferInsert'] = { ...row, franchiseId: ctx.franchiseId, createdAt: ctx.now };
  try {
    await ctx.tx.insert<DaysTable>(table).values(values);
  } catch (error) {
    if (violates(error, 'exclusion'))
      throw refuse('already-exists', 'That is on record for some of those days already.');
    throw error;
  }
}

/** Writes the first day that is out, and gives back the row. */
async function endDays<T extends DaysTable>(
  ctx: Context,
  _lock: CoverLock,
  table: T,
  { gymId, athleteId, id }: AthleteRef & { id: string },
  until: string,
): Promise<T['$inferSelect']> {
  await getAthleteOf(ctx, gymId, athleteId);
  const itself = and(ours(ctx, table), eq(table.athleteId, athleteId), eq(table.id, id));
  const [row] = await ctx.tx.select().from<DaysTable>(table).where(itself);
  const { from, until: present } = found(row, 'entry');
  refuseEndBefore(from, until);
  if (present !== null && until > present) {
    throw refuse('conflict', `It ends on ${present} already; an end is brought forward, never put off.`);
  }
  await ctx.tx.update<DaysTable>(table).set({ until }).where(itself);
  return found(row, 'entry');
}
