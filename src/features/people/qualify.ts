import { and, eq, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { qualifications } from '../../tables/people.ts';
import { refuseBackwards } from './days.ts';
import { refuseUnknownKinds } from './kinds.ts';
import { getQualification, getStaffOf } from './staff-repo.ts';
import type { NewQualification, QualificationRef, Revocation, StaffRef } from './staff-schema.ts';

/** Writes down a qualification that somebody holds, and what was seen of it. */
export const addQualification = (ctx: Context, { gymId, personId }: StaffRef, held: NewQualification) =>
  factAbout(ctx, [personId], async (lock) => {
    refuseBackwards(held);
    await getStaffOf(ctx, [gymId], personId);
    const { kindId, grade, from, until = null } = held;
    await refuseUnknownKinds(ctx, [{ kindId, grade, atKind: '/kindId', atGrade: '/grade' }]);
    const id = await insertQualification(ctx, lock, personId, held);
    const data = { personId, qualificationId: id, kindId, grade, from, until };
    await ctx.record('people.qualified', { subjectId: personId, gymId }, data);
    return getQualification(ctx, gymId, personId, id);
  });

async function insertQualification(ctx: Context, _lock: CoverLock, personId: string, held: NewQualification) {
  const id = newId();
  await ctx.tx
    .insert(qualifications)
    .values({ franchiseId: ctx.franchiseId, id, personId, ...held, createdAt: ctx.now });
  return id;
}

/** Takes a qualification from a day on: before, it was held. One that was revoked can only be revoked earlier still. */
export const revokeQualification = (
  ctx: Context,
  { gymId, personId, qualificationId }: QualificationRef,
  { from, reason }: Revocation,
) =>
  factAbout(ctx, [personId], async (lock) => {
    await getStaffOf(ctx, [gymId], personId);
    const { kindId, revokedFrom } = await getQualification(ctx, gymId, personId, qualificationId);
    if (revokedFrom !== null && revokedFrom <= from) {
      throw refuse('conflict', `It was revoked from ${revokedFrom} on already.`);
    }
    const revision = await updateRevoked(ctx, lock, qualificationId, from, reason);
    const data = { personId, qualificationId, kindId, from, revision };
    await ctx.record('people.qualification-revoked', { subjectId: personId, gymId }, data);
    return getQualification(ctx, gymId, personId, qualificationId);
  });

async function updateRevoked(ctx: Context, _lock: CoverLock, id: string, from: string, reason: string) {
  const [row] = await ctx.tx
    .update(qualifications)
    .set({ revokedFrom: from, revokedWhy: reason, revision: sql`${qualifications.revision} + 1` })
    .where(and(ours(ctx, qualifications), eq(qualifications.id, id)))
    .returning({ revision: qualifications.revision });
  return found(row, 'qualification').revision;
}
