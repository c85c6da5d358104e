import { and, eq, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid } from '../../platform/problem.ts';
import { signOffs } from '../../tables/people.ts';
import { refuseBackwards, refuseEndBefore } from './days.ts';
import { findStaffOnce, getSignOff, getStaffOf } from './staff-repo.ts';
import type { NewSignOff, SignOffRef, StaffRef } from './staff-schema.ts';

/** Writes down how far somebody was watched spotting a skill, and by whom. */
export const addSignOff = (ctx: Context, { gymId, personId }: StaffRef, signOff: NewSignOff) =>
  factAbout(ctx, [personId], async (lock) => {
    refuseBackwards(signOff);
    await getStaffOf(ctx, [gymId], personId);
    const byPersonId = signOff.byPersonId ?? ctx.personId;
    if (signOff.byPersonId && !(await findStaffOnce(ctx, [gymId], signOff.byPersonId))) {
      throw invalid('/byPersonId', 'Nobody with that id is, was or will be on this gym’s staff.');
    }
    const id = await insertSignOff(ctx, lock, personId, { ...signOff, byPersonId });
    const { skillId, level } = signOff;
    const data = { personId, signOffId: id, skillId, level };
    await ctx.record('people.signed-off', { subjectId: personId, gymId }, data);
    return getSignOff(ctx, personId, id);
  });

async function insertSignOff(
  ctx: Context,
  _lock: CoverLock,
  personId: string,
  signOff: Omit<NewSignOff, 'byPersonId'> & { byPersonId: string | null },
): Promise<string> {
  const id = newId();
  try {
    await ctx.tx
      .insert(signOffs)
      .values({ franchiseId: ctx.franchiseId, id, personId, ...signOff, createdAt: ctx.now });
  } catch (error) {
    if (violates(error, 'reference')) throw invalid('/skillId', 'There is no such skill here; see `listSkills`.');
    throw error;
  }
  return id;
}

/** Says from which day on a sign-off holds no more. */
export const endSignOff = (ctx: Context, { gymId, personId, signOffId }: SignOffRef, until: string) =>
  factAbout(ctx, [personId], async (lock) => {
    await getStaffOf(ctx, [gymId], personId);
    const { from, skillId } = await getSignOff(ctx, personId, signOffId);
    refuseEndBefore(from, until);
    const revision = await updateSignOff(ctx, lock, signOffId, until);
    const data = { personId, signOffId, skillId, until, revision };
    await ctx.record('people.sign-off-ended', { subjectId: personId, gymId }, data);
    return getSignOff(ctx, personId, signOffId);
  });

async function updateSignOff(ctx: Context, _lock: CoverLock, signOffId: string, until: string): Promise<number> {
  const [row] = await ctx.tx
    .update(signOffs)
    .set({ until, revision: sql`${signOffs.revision} + 1` })
    .where(and(ours(ctx, signOffs), eq(signOffs.id, signOffId)))
    .returning({ revision: signOffs.revision });
  return found(row, 'sign-off').revision;
}
