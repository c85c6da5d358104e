import { and, asc, eq, exists, inArray, sql } from 'drizzle-orm';
import { gymsFor } from '../../platform/auth/permissions.ts';
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
import { isNowOrAhead } from '../identity/repo.ts';
import { afterName, contactsOf, holds, inOrderOfNames, nameHas, nameKeys, namesOf } from './persons.ts';
import type { SearchQuery } from './schema.ts';
import type { Employment, Qualification, SignOff, StaffMember, StaffSummary } from './staff-schema.ts';

type When = 'once' | 'now or ahead';

/** Employed at one of these gyms (null: at any); `once` is at whatever time: before, now or ahead. */
const isEmployedAt = (ctx: Context, gymIds: string[] | null, when: When) =>
  exists(
    ctx.tx
      .select({ id: employments.id })
      .from(employments)
      .where(
        and(
          ours(ctx, employments),
          eq(employments.personId, staffMembers.personId),
          gymIds === null ? undefined : inArray(employments.gymId, gymIds),
          when === 'once' ? undefined : isNowOrAhead(ctx),
        ),
      ),
  );

async function findStaff(ctx: Context, gymIds: string[] | null, personId: string, when: When) {
  const [row] = await ctx.tx
    .select({ personId: staffMembers.personId, born: staffMembers.born, revision: staffMembers.revision })
    .from(staffMembers)
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId), isEmployedAt(ctx, gymIds, when)));
  return row ?? null;
}

/** Somebody employed at one of these gyms (null: at any), now or ahead. */
export const findStaffOf = (ctx: Context, gymIds: string[] | null, personId: string) =>
  findStaff(ctx, gymIds, personId, 'now or ahead');

/** The same for whoever was once employed there as well. */
export const findStaffOnce = (ctx: Context, gymIds: string[] | null, personId: string) =>
  findStaff(ctx, gymIds, personId, 'once');

/** Does the caller manage the staff of every gym, so that nobody leaves their reach? */
const managesEveryGym = (ctx: Context) => gymsFor(ctx.roles, 'staff.write') === null;

/**
 * Somebody about whom these gyms may write. Refuses as not found one whom they never employed, and with a conflict one
 * who has left: a former gym writes nothing more about them, unless the caller manages the staff of every gym.
 */
export async function getStaffOf(ctx: Context, gymIds: string[] | null, personId: string) {
  const member = found(await findStaffOnce(ctx, gymIds, personId), 'staff member');
  if (managesEveryGym(ctx) || (await findStaffOf(ctx, gymIds, personId))) return member;
  throw refuse('conflict', 'They are no longer employed here; ask an owner, who manages the staff of every gym.');
}

/**
 * Refuses when somebody is on the staff, of whichever gym, and the caller may not write about them as staff: athletes
 * and guardians may be both.
 */
export async function refuseStaff(ctx: Context, gymId: string, personId: string): Promise<void> {
  if (managesEveryGym(ctx) || !(await findStaffOf(ctx, null, personId))) return;
  if (holds(ctx, 'staff.write', gymId) && (await findStaffOf(ctx, [gymId], personId))) return;
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
      and(
        ours(ctx, staffMembers),
        isEmployedAt(ctx, [gymId], 'once'),
        nameHas(name),
        afterName(staffMembers.personId, after),
      ),
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

/**
 * One of the gym's staff, with what the caller may know of them: names and employments here of one who has left, unless
 * the caller manages the staff of every gym.
 */
export async function getStaffMember(ctx: Context, gymId: string, personId: string): Promise<StaffMember> {
  const [row] = await ctx.tx
    .select({ ...summaryColumns(ctx, gymId), born: staffMembers.born, revision: staffMembers.revision })
    .from(staffMembers)
    .leftJoin(personNames, namesOf(ctx, staffMembers.personId))
    .where(and(ours(ctx, staffMembers), eq(staffMembers.personId, personId), isEmployedAt(ctx, [gymId], 'once')));
  const member = found(row, 'staff member');
  if (!managesEveryGym(ctx) && !(await findStaffOf(ctx, [gymId], personId))) {
    return { ...member, born: null, qualifications: null, signOffs: null, contacts: null };
  }
  return {
    ...member,
    born: holds(ctx, 'staff.write', gymId) ? member.born : null,
    qualifications: await qualificationsOf(ctx, gymId, personId),
    signOffs: await signOffsOf(ctx, personId),
    contacts: await contactsOf(ctx, gymId, personId),
  };
}

/** Somebody's qualifications; what was seen, and why one was revoked, are for those who write about staff. */
async function qualificationsOf(ctx: Context, gymId: string, personId: string, id?: string): Promise<Qualification[]> {
  const rows = await ctx.tx
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
  return holds(ctx, 'staff.write', gymId)
    ? rows
    : rows.map((one): Qualification => ({ ...one, evidence: null, revokedWhy: null }));
}

/** A qualification of theirs, with what the caller may know of it at this gym; refuses any other as not found. */
export const getQualification = async (
  ctx: Context,
  gymId: string,
  personId: string,
  id: string,
): Promise<Qualification> => found((await qualificationsOf(ctx, gymId, personId, id))[0], 'qualification');

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

/** A sign-off of theirs; refuses any other as not found. */
export const getSignOff = async (ctx: Context, personId: string, id: string): Promise<SignOff> =>
  found((await signOffsOf(ctx, personId, id))[0], 'sign-off');

/** An employment of theirs at this gym; refuses any other as not found. */
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
