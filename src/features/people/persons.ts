import { and, eq, type SQL, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import type { Permission } from '../../platform/auth/permissions.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { newId } from '../../platform/ids.ts';
import { invalid } from '../../platform/problem.ts';
import { employments, personContacts, personNames, persons } from '../../tables/people.ts';
import { isNowOrAhead } from '../identity/repo.ts';
import type { Contacts, NewPerson, WhichPerson } from './schema.ts';

/** Writes somebody new. Nobody new stands anywhere, so no cover depends on them yet. */
export async function insertPerson(ctx: Context, person: NewPerson): Promise<string> {
  const { franchiseId } = ctx;
  const { given, family, email = null, phone = null } = person;
  const personId = newId();
  await ctx.tx.insert(persons).values({ franchiseId, id: personId, createdAt: ctx.now });
  await ctx.tx.insert(personNames).values({ franchiseId, personId, given, family });
  if (email !== null || phone !== null) {
    await ctx.tx.insert(personContacts).values({ franchiseId, personId, email, phone });
  }
  return personId;
}

export interface PersonChanges {
  given?: string | undefined;
  family?: string | undefined;
  email?: string | null | undefined;
  phone?: string | null | undefined;
}

/** Names and ways to reach somebody; no cover depends on them. */
export async function updatePerson(ctx: Context, personId: string, { given, family, email, phone }: PersonChanges) {
  const { franchiseId } = ctx;
  if (given !== undefined || family !== undefined) {
    await ctx.tx
      .update(personNames)
      .set({ given, family })
      .where(and(ours(ctx, personNames), eq(personNames.personId, personId)));
  }
  if (email !== undefined || phone !== undefined) {
    await ctx.tx
      .insert(personContacts)
      .values({ franchiseId, personId, email, phone })
      .onConflictDoUpdate({ target: [personContacts.franchiseId, personContacts.personId], set: { email, phone } });
  }
}

/** Somebody new, or whoever is meant: refuses one whom this gym does not know. */
export async function whichPerson(ctx: Context, gymId: string, which: WhichPerson): Promise<string> {
  if (!('id' in which)) return insertPerson(ctx, which);
  if (await isKnownAt(ctx, gymId, which.id)) return which.id;
  throw invalid('/person/id', 'This gym knows nobody by that id: neither on the staff, nor as athlete or guardian.');
}

/** Is somebody on the staff of the gym (now or ahead), an athlete there, or the guardian of one? */
async function isKnownAt(ctx: Context, gymId: string, personId: string): Promise<boolean> {
  const anywhere = scopesAt(ctx, 'staff.write', gymId).has('franchise');
  const { rowCount } = await ctx.tx.execute(sql`
    SELECT FROM persons p WHERE p.franchise_id = ${ctx.franchiseId} AND p.id = ${personId} AND (${anywhere}
      OR EXISTS (SELECT FROM employments
        WHERE ${ours(ctx, employments)} AND ${employments.personId} = p.id AND ${employments.gymId} = ${gymId}
          AND ${isNowOrAhead(ctx)})
      OR EXISTS (SELECT FROM athletes a
        WHERE a.franchise_id = ${ctx.franchiseId} AND a.person_id = p.id AND a.gym_id = ${gymId})
      OR EXISTS (SELECT FROM guardianships g
        JOIN athletes a ON a.franchise_id = ${ctx.franchiseId} AND a.person_id = g.athlete_id AND a.gym_id = ${gymId}
        WHERE g.franchise_id = ${ctx.franchiseId} AND g.guardian_id = p.id))`);
  return rowCount === 1;
}

/** How to reach somebody; null where the caller may not know. */
export async function contactsOf(ctx: Context, gymId: string, personId: string): Promise<Contacts | null> {
  if (!holds(ctx, 'contacts.read', gymId)) return null;
  const [row] = await ctx.tx
    .select({ email: personContacts.email, phone: personContacts.phone })
    .from(personContacts)
    .where(and(ours(ctx, personContacts), eq(personContacts.personId, personId)));
  return row ?? { email: null, phone: null };
}

/** Does the caller hold the permission for the gym as a whole, beyond their own blocks? */
export function holds(ctx: Context, permission: Permission, gymId: string): boolean {
  const scopes = scopesAt(ctx, permission, gymId);
  return scopes.has('franchise') || scopes.has('gym');
}

/** The day that it is at the gym, at the moment of the request. */
export const todayAt = (
  ctx: Context,
  gymId: string,
): SQL => sql`(SELECT (${ctx.now.toISOString()}::timestamptz AT TIME ZONE g.zone)::date
  FROM gyms g WHERE g.franchise_id = ${ctx.franchiseId} AND g.id = ${gymId})`;

// Lists of people stand in the order of their names; somebody whose name was erased comes first.
const lowered = (column: PgColumn) => sql<string>`lower(coalesce(${column}, ''))`;
export const nameKeys = { familyKey: lowered(personNames.family), givenKey: lowered(personNames.given) };
export const inOrderOfNames = (id: PgColumn) => [nameKeys.familyKey, nameKeys.givenKey, sql`${id}::text`];
export const afterName = (id: PgColumn, after: string[] | null) =>
  after === null
    ? undefined
    : sql`(${nameKeys.familyKey}, ${nameKeys.givenKey}, ${id}::text) > (${after[0]}, ${after[1]}, ${after[2]})`;
export const nameHas = (text: string | undefined) =>
  text === undefined
    ? undefined
    : sql`position(lower(${text}) IN ${nameKeys.givenKey} || ' ' || ${nameKeys.familyKey}) > 0`;
export const namesOf = (ctx: Context, id: PgColumn) => and(ours(ctx, personNames), eq(personNames.personId, id));
