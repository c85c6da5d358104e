import { and, eq, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout } from '../../enforcement/undated-fact.ts';
import { gymsFor } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { employments } from '../../tables/people.ts';
import { refuseBackwards, refuseEndBefore } from './days.ts';
import { getEmployment, getStaffOf } from './staff-repo.ts';
import type { Employment, EmploymentRef, NewEmployment, StaffRef } from './staff-schema.ts';

/** Employs somebody who is on the staff of a gym whose staff the caller manages, at this gym; see `getStaffOf`. */
export const employ = (ctx: Context, { gymId, personId }: StaffRef, employment: NewEmployment) =>
  factAbout(ctx, [personId], async (lock): Promise<Employment> => {
    refuseBackwards(employment);
    await getStaffOf(ctx, gymsFor(ctx.roles, 'staff.write'), personId);
    const row = { id: newId(), from: employment.from, until: employment.until ?? null };
    await insertEmployment(ctx, lock, { ...row, gymId, personId });
    const { id: employmentId, from, until } = row;
    await ctx.record('people.employed', { subjectId: personId, gymId }, { personId, employmentId, from, until });
    return row;
  });

async function insertEmployment(
  ctx: Context,
  _lock: CoverLock,
  row: Employment & { gymId: string; personId: string },
): Promise<void> {
  try {
    await ctx.tx.insert(employments).values({ franchiseId: ctx.franchiseId, ...row, createdAt: ctx.now });
  } catch (error) {
    throw twice(error);
  }
}

const twice = (error: unknown) =>
  violates(error, 'exclusion')
    ? refuse('already-exists', 'They are employed at this gym on some of those days already.')
    : error;

/** Says on which day somebody is employed here no more. */
export const endEmployment = (ctx: Context, { gymId, personId, employmentId }: EmploymentRef, until: string) =>
  factAbout(ctx, [personId], async (lock): Promise<Employment> => {
    await getStaffOf(ctx, [gymId], personId);
    const employment = await getEmployment(ctx, gymId, personId, employmentId);
    refuseEndBefore(employment.from, until);
    const revision = await updateEmployment(ctx, lock, employmentId, until);
    const data = { personId, employmentId, until, revision };
    await ctx.record('people.employment-ended', { subjectId: personId, gymId }, data);
    return { ...employment, until };
  });

async function updateEmployment(ctx: Context, _lock: CoverLock, employmentId: string, until: string): Promise<number> {
  try {
    const [row] = await ctx.tx
      .update(employments)
      .set({ until, revision: sql`${employments.revision} + 1` })
      .where(and(ours(ctx, employments), eq(employments.id, employmentId)))
      .returning({ revision: employments.revision });
    return found(row, 'employment').revision;
  } catch (error) {
    throw twice(error);
  }
}
