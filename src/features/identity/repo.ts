import { and, asc, eq, inArray, isNull, ne, type SQL, sql } from 'drizzle-orm';
import { z } from 'zod';
import type { CoverLock } from '../../enforcement/lock.ts';
import { ROLES } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { found, refuse } from '../../platform/problem.ts';
import { gyms } from '../../tables/gyms.ts';
import { accountFranchises, accounts, franchises, members, memberships } from '../../tables/identity.ts';
import { employments, persons } from '../../tables/people.ts';
import { maySeeRole, maySeeUser, type Reach } from './reach.ts';
import type { Franchise, FranchiseChanges, NewRole, User, UserQuery, Who } from './schema.ts';

/** A user with all their roles, whoever asks. */
export interface Member {
  accountId: string;
  email: string;
  personId: string | null;
  joined: boolean;
  deactivatedAt: Date | null;
  revision: number;
  roles: User['roles'];
}

const rolesOf = (ctx: Context) => sql<User['roles']>`coalesce((
  SELECT json_agg(json_build_object('id', r.id, 'role', r.role, 'gymId', r.gym_id) ORDER BY r.id)
  FROM memberships r WHERE r.franchise_id = ${ctx.franchiseId} AND r.account_id = ${members.accountId}), '[]')`;

const selectMembers = (ctx: Context) =>
  ctx.tx
    .select({
      accountId: members.accountId,
      email: accounts.email,
      personId: members.personId,
      joined: sql<boolean>`EXISTS (SELECT FROM account_franchises f
        WHERE f.franchise_id = ${ctx.franchiseId} AND f.account_id = ${members.accountId})`,
      deactivatedAt: members.deactivatedAt,
      revision: members.revision,
      roles: rolesOf(ctx),
    })
    .from(members)
    .innerJoin(accounts, eq(accounts.id, members.accountId));

/** A user of this franchise with all their roles, whoever asks; null where there is none. */
export async function findMember(ctx: Context, accountId: string): Promise<Member | null> {
  const [row] = await selectMembers(ctx).where(and(ours(ctx, members), eq(members.accountId, accountId)));
  return row ?? null;
}

/** A user that the caller may know of; refuses any other as not found. */
export async function getMember(ctx: Context, reach: Reach, accountId: string): Promise<Member> {
  const member = await findMember(ctx, accountId);
  return found(member && maySeeUser(reach, member.roles) ? member : null, 'user');
}

/** What the caller may know of a user: of their roles, those within reach and those for the whole franchise. */
export const userOf = (reach: Reach, member: Member): User => ({
  accountId: member.accountId,
  email: member.email,
  personId: member.personId,
  state: member.deactivatedAt !== null ? 'deactivated' : member.joined ? 'active' : 'invited',
  roles: member.roles.filter((role) => maySeeRole(reach, role)),
  revision: member.revision,
});

/**
 * The users whom the caller may know of, by address; with a role at `gymId` where one is said, which is nobody when the
 * gym is beyond the caller's reach.
 */
export async function listUsers(ctx: Context, reach: Reach, { limit, cursor, email, gymId }: UserQuery) {
  const after = readCursor(cursor, 2);
  const withRoleAt = (at: ReturnType<typeof sql>) => sql`EXISTS (SELECT FROM memberships r
    WHERE r.franchise_id = ${ctx.franchiseId} AND r.account_id = ${members.accountId} AND ${at})`;
  const seen = reach === 'franchise' || reach.gyms === null ? null : reach.gyms;
  const rows = await selectMembers(ctx)
    .where(
      and(
        ours(ctx, members),
        seen === null ? undefined : withRoleAt(sql`r.gym_id = ANY(${sql.param(seen)}::uuid[])`),
        gymId === undefined ? undefined : withRoleAt(sql`r.gym_id = ${gymId}`),
        gymId !== undefined && seen !== null && !seen.includes(gymId) ? sql`false` : undefined,
        email === undefined ? undefined : eq(sql`lower(${accounts.email})`, email),
        after === null ? undefined : sql`(${accounts.email}, ${members.accountId}::text) > (${after[0]}, ${after[1]})`,
      ),
    )
    .orderBy(asc(accounts.email), asc(sql`${members.accountId}::text`))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row) => userOf(reach, row),
    (row) => [row.email, row.accountId],
  );
}

/** One change to users at a time, so that two owners who leave at once do not leave the franchise without any. */
export async function lockUsers(ctx: Context): Promise<void> {
  await ctx.tx
    .select({ franchiseId: franchises.franchiseId })
    .from(franchises)
    .where(ours(ctx, franchises))
    .for('no key update');
}

/** Is there an owner who has joined and is not deactivated, beside this one? */
export async function isOtherActiveOwner(ctx: Context, accountId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ accountId: memberships.accountId })
    .from(memberships)
    .innerJoin(members, and(ours(ctx, members), eq(members.accountId, memberships.accountId)))
    .innerJoin(
      accountFranchises,
      and(ours(ctx, accountFranchises), eq(accountFranchises.accountId, memberships.accountId)),
    )
    .where(
      and(
        ours(ctx, memberships),
        eq(memberships.role, 'owner'),
        ne(memberships.accountId, accountId),
        isNull(members.deactivatedAt),
      ),
    )
    .limit(1);
  return rows.length > 0;
}

/** Makes an account a user here; refuses a person who is another user already. */
export async function insertMember(ctx: Context, accountId: string, personId: string | null): Promise<void> {
  try {
    await ctx.tx.insert(members).values({ franchiseId: ctx.franchiseId, accountId, personId });
  } catch (error) {
    throw personTaken(error);
  }
}

/** Says who a user is; refuses a person who is another user already, and when somebody wrote since `ifMatch`. */
export async function updateMemberPerson(ctx: Context, accountId: string, ifMatch: number, personId: string | null) {
  try {
    const rows = await ctx.tx
      .update(members)
      .set({ personId, revision: sql`${members.revision} + 1` })
      .where(and(ours(ctx, members), eq(members.accountId, accountId), eq(members.revision, ifMatch)))
      .returning({ revision: members.revision });
    if (rows.length === 0) throw refuse('changed-meanwhile', 'The user has another revision by now.');
  } catch (error) {
    throw personTaken(error);
  }
}

const personTaken = (error: unknown) =>
  violates(error, 'unique', 'members_person')
    ? refuse('already-exists', 'That person is another user of this franchise already.')
    : error;

export async function setDeactivated(ctx: Context, accountId: string, at: Date | null): Promise<void> {
  await ctx.tx
    .update(members)
    .set({ deactivatedAt: at, revision: sql`${members.revision} + 1` })
    .where(and(ours(ctx, members), eq(members.accountId, accountId)));
}

async function bumpMember(ctx: Context, accountId: string): Promise<number> {
  const [row] = await ctx.tx
    .update(members)
    .set({ revision: sql`${members.revision} + 1` })
    .where(and(ours(ctx, members), eq(members.accountId, accountId)))
    .returning({ revision: members.revision });
  return found(row, 'user').revision;
}

/** Writes a role; gives the user's new revision. Whether the caller may is settled by then. */
export async function insertRole(ctx: Context, accountId: string, { role, gymId }: NewRole): Promise<number> {
  await ctx.tx.insert(memberships).values({ franchiseId: ctx.franchiseId, id: newId(), accountId, role, gymId });
  return bumpMember(ctx, accountId);
}

/** Takes a role away; gives the user's new revision. */
export async function deleteRole(ctx: Context, accountId: string, roleId: string): Promise<number> {
  await ctx.tx
    .delete(memberships)
    .where(and(ours(ctx, memberships), eq(memberships.accountId, accountId), eq(memberships.id, roleId)));
  return bumpMember(ctx, accountId);
}

export async function isGym(ctx: Context, gymId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ id: gyms.id })
    .from(gyms)
    .where(and(ours(ctx, gyms), eq(gyms.id, gymId)));
  return rows.length > 0;
}

/**
 * The condition that an employment holds now or ahead, by the day that it is at its gym. One that is over gives the gym
 * no rights over somebody who left; one that ended on its first day never was.
 */
export const isNowOrAhead = (ctx: Context): SQL => sql`(${employments.until} IS NULL
  OR ${employments.until} > greatest(${employments.from}, (SELECT (${ctx.now.toISOString()}::timestamptz AT TIME ZONE g.zone)::date
    FROM gyms g WHERE g.franchise_id = ${ctx.franchiseId} AND g.id = ${employments.gymId})))`;

/** Is there such a person: at all, or employed now or ahead at one of these gyms? */
export async function isPerson(ctx: Context, personId: string, atGyms: string[] | null): Promise<boolean> {
  const rows =
    atGyms === null
      ? await ctx.tx
          .select({ id: persons.id })
          .from(persons)
          .where(and(ours(ctx, persons), eq(persons.id, personId)))
      : await ctx.tx
          .select({ id: employments.id })
          .from(employments)
          .where(
            and(
              ours(ctx, employments),
              eq(employments.personId, personId),
              inArray(employments.gymId, atGyms),
              isNowOrAhead(ctx),
            ),
          );
  return rows.length > 0;
}

const WhoRow = z.object({
  email: z.string(),
  franchise: z.object({ id: z.string(), name: z.string() }),
  person: z.object({ id: z.string(), given: z.string().nullable(), family: z.string().nullable() }).nullable(),
  roles: z.array(z.object({ role: z.enum(ROLES), gymId: z.string().nullable() })),
  gyms: z.array(z.object({ id: z.string(), name: z.string() })),
});

/** Who an account is in this franchise, with what it may do; refuses one that is no user here. */
export async function getWho(ctx: Context, accountId: string): Promise<Who> {
  const { rows } = await ctx.tx.execute(sql`
    SELECT a.email, json_build_object('id', f.franchise_id, 'name', f.name) AS franchise,
      CASE WHEN m.person_id IS NOT NULL
        THEN json_build_object('id', m.person_id, 'given', n.given, 'family', n.family) END AS person,
      coalesce((SELECT json_agg(json_build_object('role', r.role, 'gymId', r.gym_id) ORDER BY r.id)
        FROM memberships r WHERE r.franchise_id = ${ctx.franchiseId} AND r.account_id = ${accountId}), '[]') AS roles,
      coalesce((SELECT json_agg(json_build_object('id', g.id, 'name', g.name) ORDER BY g.id)
        FROM gyms g WHERE g.franchise_id = ${ctx.franchiseId} AND g.id IN (SELECT r.gym_id FROM memberships r
          WHERE r.franchise_id = ${ctx.franchiseId} AND r.account_id = ${accountId})), '[]') AS gyms
    FROM members m JOIN accounts a ON a.id = m.account_id
    JOIN franchises f ON f.franchise_id = ${ctx.franchiseId}
    LEFT JOIN person_names n ON n.franchise_id = ${ctx.franchiseId} AND n.person_id = m.person_id
    WHERE m.franchise_id = ${ctx.franchiseId} AND m.account_id = ${accountId}`);
  return { accountId, ...WhoRow.parse(found(rows[0], 'user')) };
}

/** Whether the account may sign in here, kept so until the transaction ends. */
export async function isActiveHere(ctx: Context, accountId: string): Promise<boolean> {
  const rows = await ctx.tx
    .select({ accountId: members.accountId })
    .from(members)
    .where(and(ours(ctx, members), eq(members.accountId, accountId), isNull(members.deactivatedAt)))
    .for('share');
  return rows.length > 0;
}

const franchiseColumns = {
  id: franchises.franchiseId,
  name: franchises.name,
  leapDay: franchises.leapDay,
  travelMinutes: franchises.travelMinutes,
  revision: franchises.revision,
};

/** The franchise of the context; refuses where there is none. */
export async function getFranchise(ctx: Context): Promise<Franchise> {
  const [row] = await ctx.tx.select(franchiseColumns).from(franchises).where(ours(ctx, franchises));
  return found(row, 'franchise');
}

async function updateFranchise(ctx: Context, ifMatch: number, changes: FranchiseChanges): Promise<Franchise> {
  const [row] = await ctx.tx
    .update(franchises)
    .set({ ...changes, revision: sql`${franchises.revision} + 1` })
    .where(and(ours(ctx, franchises), eq(franchises.revision, ifMatch)))
    .returning(franchiseColumns);
  if (!row) throw refuse('changed-meanwhile', 'The franchise has another revision by now.');
  return row;
}

/** Refuses when somebody else wrote since revision `ifMatch`. */
export const renameFranchise = (ctx: Context, ifMatch: number, name: FranchiseChanges['name']) =>
  updateFranchise(ctx, ifMatch, { name });

/** The same for what cover depends on. */
export const setFranchise = (ctx: Context, _lock: CoverLock, ifMatch: number, changes: FranchiseChanges) =>
  updateFranchise(ctx, ifMatch, changes);
