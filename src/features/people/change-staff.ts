import { and, eq, sql } from 'drizzle-orm';
import type { CoverLock } from '../../enforcement/lock.ts';
import { factAbout, nothingSettled } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { refuse } from '../../platform/problem.ts';
import { athletes, staffMembers } from '../../tables/people.ts';
import { refuseUnborn } from './days.ts';
import { updatePerson } from './persons.ts';
import { getStaffMember, getStaffOf } from './staff-repo.ts';
import type { ChangedStaffMember, StaffChanges, StaffRef } from './staff-schema.ts';

/** Corrects what is known of somebody on the staff of this gym, see `getStaffOf`. A birth date is an input of cover. */
export async function changeStaff(
  ctx: Context,
  { gymId, personId }: StaffRef,
  ifMatch: number,
  { born, ...changes }: StaffChanges,
): Promise<ChangedStaffMember> {
  const write = async (lock: CoverLock | null) => {
    await getStaffOf(ctx, [gymId], personId);
    const revision = await bumpStaff(ctx, personId, ifMatch);
    await updatePerson(ctx, personId, changes);
    if (lock && born !== undefined) await setBirthDate(ctx, lock, personId, born);
    const fields = Object.keys({ ...changes, ...(born === undefined ? {} : { born }) });
    await ctx.record('people.staff-changed', { subjectId: personId, gymId, revision }, { personId, fields });
    return getStaffMember(ctx, gymId, personId);
  };
  return born === undefined ? { ...(await write(null)), settled: nothingSettled() } : factAbout(ctx, [personId], write);
}

async function bumpStaff(ctx: Context, personId: string, ifMatch: number): Promise<number> {
  const [row] = await ctx.tx
    .update(staffMembers)
    .set({ revision: sql`${staffMembers.revision} + 1` })
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId), eq(staffMembers.revision, ifMatch)))
    .returning({ revision: staffMembers.revision });
  if (!row) throw refuse('changed-meanwhile', 'They have another revision by now.');
  return row.revision;
}

/** Writes somebody's birth date wherever they have one: as an athlete, and on the staff. */
export async function setBirthDate(ctx: Context, _lock: CoverLock, personId: string, born: string): Promise<void> {
  refuseUnborn(ctx, born);
  for (const table of [staffMembers, athletes]) {
    await ctx.tx
      .update(table)
      .set({ born })
      .where(and(ours(ctx, table), eq(table.personId, personId)));
  }
}
