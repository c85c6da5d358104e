import { and, eq } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { athletes, employments, qualifications, staffMembers } from '../../tables/people.ts';
import { refuseBackwards, refuseUnborn } from './days.ts';
import { refuseUnknownKinds } from './kinds.ts';
import { whichPerson } from './persons.ts';
import { getStaffMember } from './staff-repo.ts';
import type { NewStaff, StaffMember } from './staff-schema.ts';

/**
 * Puts somebody on the staff, employed at this gym. They stand nowhere yet and help nobody, so no cover depends on
 * what is written here.
 */
export async function addStaff(ctx: Context, gymId: string, staff: NewStaff): Promise<StaffMember> {
  const { franchiseId } = ctx;
  const { person, born, employment, qualifications: held = [] } = staff;
  refuseBackwards(employment, '/employment');
  for (const [index, days] of held.entries()) refuseBackwards(days, `/qualifications/${index}`);
  await refuseUnknownKinds(
    ctx,
    held.map(({ kindId, grade }, index) => {
      const at = `/qualifications/${index}`;
      return { kindId, grade, atKind: `${at}/kindId`, atGrade: `${at}/grade` };
    }),
  );
  const personId = await whichPerson(ctx, gymId, person);
  refuseUnborn(ctx, born);
  await refuseOtherBirthDate(ctx, personId, born);

  try {
    await ctx.tx.insert(staffMembers).values({ franchiseId, personId, born, createdAt: ctx.now });
  } catch (error) {
    if (violates(error, 'unique')) {
      throw refuse('already-exists', 'They are on the staff already; employ them here with `employStaff`.');
    }
    throw error;
  }
  const employmentId = newId();
  await ctx.tx
    .insert(employments)
    .values({ franchiseId, id: employmentId, personId, gymId, ...employment, createdAt: ctx.now });
  const rows = held.map((one) => ({ franchiseId, id: newId(), personId, ...one, createdAt: ctx.now }));
  if (rows.length > 0) await ctx.tx.insert(qualifications).values(rows);

  await ctx.record('people.staff-added', { subjectId: personId, gymId, revision: 1 }, { personId });
  const { from, until = null } = employment;
  await ctx.record('people.employed', { subjectId: personId, gymId }, { personId, employmentId, from, until });
  for (const { id: qualificationId, kindId, grade, from, until = null } of rows) {
    const data = { personId, qualificationId, kindId, grade, from, until };
    await ctx.record('people.qualified', { subjectId: personId, gymId }, data);
  }
  return getStaffMember(ctx, gymId, personId);
}

/** Somebody has one birth date, as an athlete and on the staff. */
async function refuseOtherBirthDate(ctx: Context, personId: string, born: string): Promise<void> {
  const [athlete] = await ctx.tx
    .select({ born: athletes.born })
    .from(athletes)
    .where(and(ours(ctx, athletes), eq(athletes.personId, personId)));
  if (athlete?.born && athlete.born !== born) {
    throw invalid('/born', 'They are an athlete with another birth date; correct that one first if it is wrong.');
  }
}
