import { and, asc, eq, exists, inArray, sql } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { found, refuse } from '../../platform/problem.ts';
import {
  employments,
  personNames,
  qualificationKinds,
  qualifications,
  signOffs,
  skills,
  staffMembers,
} from '../../tables/people.ts';
import { afterName, contactsOf, holds, inOrderOfNames, nameHas, nameKeys, namesOf } from './persons.ts';
import type { SearchQuery } from './schema.ts';
import type { Employment, Qualification, SignOff, StaffMember, StaffSummary } from './staff-schema.ts';

/** Employed at one of these gyms: once, now or ahead. Null means any gym. */
const isEmployedAt = (ctx: Context, gymIds: string[] | null) =>
  exists(
    ctx.tx
      .select({ id: employments.id })
      .from(employments)
      .where(
        and(
          ours(ctx, employments),
          eq(employments.personId, staffMembers.personId),
          gymIds === null ? undefined : inArray(employments.gymId, gymIds),
        ),
      ),
  );

/** Somebody on the staff of one of these gyms (null: of any). */
export async function findStaffOf(ctx: Context, gymIds: string[] | null, personId: string) {
  const [row] = await ctx.tx
    .select({ personId: staffMembers.personId, born: staffMembers.born, revision: staffMembers.revision })
    .from(staffMembers)
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId), isEmployedAt(ctx, gymIds)));
  return row ?? null;
}

export const getStaffOf = async (ctx: Context, gymIds: string[] | null, personId: string) =>
  found(await findStaffOf(ctx, gymIds, personId), 'staff member');

/** Refuses when somebody is on the staff, and the caller may not write about staff: athletes and guardians may be both. */
export async function refuseStaff(ctx: Context, gymId: string, personId: string): Promise<void> {
  if (holds(ctx, 'staff.write', gymId) || !(await findStaffOf(ctx, null, personId))) return;
  throw refuse('conflict', 'They are on the staff as well; whoever manages the staff corrects what is known of them.');
}

const days = (of: typeof employments | typeof signOffs) => ({ from: of.from, until: of.until });

const employmentsAt = (ctx: Context, gymId: string) => sql<Employment[]>`coalesce((
  SELECT json_agg(json_build_object('id', e.id, 'from', e.from_day, 'until', e.until_day) ORDER BY e.from_day, e.id)
  FROM employments e
  WHERE e.franchise_id = ${ctx.franchiseId} AND e.person_id = ${staffMembers.personId} AND e.gym_id = ${gymId}), '[]')`;

const summaryColumns = (ctx: Context, gymId: string) => ({
  personId: staffMembers.personId,
  given: personNames.given,
  family: personNames.family,
  employments: employmentsAt(ctx, gymId),
});

/** The gym's staff, once, now or ahead, in the order of their names. */
export async function listStaff(ctx: Context, gymId: string, { limit, cursor, name }: SearchQuery) {
  const after = readCursor(cursor, 3);
  const rows = await ctx.tx
    .select({ ...summaryColumns(ctx, gymId), ...nameKeys })
    .from(staffMembers)
    .leftJoin(personNames, namesOf(ctx, staffMembers.personId))
    .where(
      and(ours(ctx, staffMembers), isEmployedAt(ctx, [gymId]), nameHas(name), afterName(staffMembers.personId, after)),
    )
    .orderBy(...inOrderOfNames(staffMembers.personId))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    ({ personId, given, family, employments }): StaffSummary => ({ personId, given, family, employments }),
    (row) => [row.familyKey, row.givenKey, row.personId],
  );
}

/** One of the gym's staff, with what the caller may know of them. */
export async function getStaffMember(ctx: Context, gymId: string, personId: string): Promise<StaffMember> {
  const [row] = await ctx.tx
    .select({ ...summaryColumns(ctx, gymId), born: staffMembers.born, revision: staffMembers.revision })
    .from(staffMembers)
    .leftJoin(personNames, namesOf(ctx, staffMembers.personId))
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId), isEmployedAt(ctx, [gymId])));
  const member = found(row, 'staff member');
  return {
    ...member,
    born: holds(ctx, 'staff.write', gymId) ? member.born : null,
    qualifications: await qualificationsOf(ctx, personId),
    signOffs: await signOffsOf(ctx, personId),
    contacts: await contactsOf(ctx, gymId, personId),
  };
}

async function qualificationsOf(ctx: Context, personId: string, id?: string): Promise<Qualification[]> {
  return ctx.tx
    .select({
      id: qualifications.id,
      kindId: qualifications.kindId,
      kind: qualificationKinds.name,
      grade: qualifications.grade,
      from: qualifications.from,
      until: qualifications.until,
      evidence: qualifications.evidence,
      revokedFrom: qualifications.revokedFrom,
      revokedWhy: qualifications.revokedWhy,
    })
    .from(qualifications)
    .innerJoin(qualificationKinds, and(ours(ctx, qualificationKinds), eq(qualificationKinds.id, qualifications.kindId)))
    .where(
      and(
        ours(ctx, qualifications),
        eq(qualifications.personId, personId),
        id === undefined ? undefined : eq(qualifications.id, id),
      ),
    )
    .orderBy(asc(qualifications.from), asc(qualifications.id))
    .limit(500);
}

export const getQualification = async (ctx: Context, personId: string, id: string): Promise<Qualification> =>
  found((await qualificationsOf(ctx, personId, id))[0], 'qualification');

async function signOffsOf(ctx: Context, personId: string, id?: string): Promise<SignOff[]> {
  return ctx.tx
    .select({
      id: signOffs.id,
      skillId: signOffs.skillId,
      skill: skills.name,
      level: signOffs.level,
      byPersonId: signOffs.byPersonId,
      ...days(signOffs),
    })
    .from(signOffs)
    .innerJoin(skills, and(ours(ctx, skills), eq(skills.id, signOffs.skillId)))
    .where(
      and(ours(ctx, signOffs), eq(signOffs.personId, personId), id === undefined ? undefined : eq(signOffs.id, id)),
    )
    .orderBy(asc(signOffs.from), asc(signOffs.id))
    .limit(2000);
}

export const getSignOff = async (ctx: Context, personId: string, id: string): Promise<SignOff> =>
  found((await signOffsOf(ctx, personId, id))[0], 'sign-off');

/** An employment of theirs at this gym. */
export async function getEmployment(
  ctx: Context,
  gymId: string,
  personId: string,
  employmentId: string,
): Promise<Employment> {
  const [row] = await ctx.tx
    .select({ id: employments.id, ...days(employments) })
    .from(employments)
    .where(
      and(
        ours(ctx, employments),
        eq(employments.id, employmentId),
        eq(employments.personId, personId),
        eq(employments.gymId, gymId),
      ),
    );
  return found(row, 'employment');
}
