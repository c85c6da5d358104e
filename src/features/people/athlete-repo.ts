import { and, asc, eq, isNotNull, isNull, ne, or, type SQL, sql } from 'drizzle-orm';
import { type Context, scopesAt } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { pageOf, readCursor } from '../../platform/http/paging.ts';
import { found, refuse } from '../../platform/problem.ts';
import {
  athleteHelpers,
  athleteSupports,
  athletes,
  athleteTraits,
  guardianships,
  personHealth,
  personNames,
} from '../../tables/people.ts';
import type { Athlete, AthleteQuery, AthleteRecord, AthleteSummary, Guardian } from './athlete-schema.ts';
import { afterName, contactsOf, holds, inOrderOfNames, nameHas, nameKeys, namesOf } from './persons.ts';
import { cameToday, inOwnBlocks } from './who-is-here.ts';

/** An athlete of this gym; refuses any other as not found. For those who may see all of them. */
export async function getAthleteOf(ctx: Context, gymId: string, athleteId: string) {
  const [row] = await ctx.tx
    .select({
      athleteId: athletes.personId,
      born: athletes.born,
      familyId: athletes.familyId,
      revision: athletes.revision,
    })
    .from(athletes)
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId), eq(athletes.gymId, gymId)));
  return found(row, 'athlete');
}

/** Counts a write to an athlete, and gives the new revision; refuses when somebody else wrote since `ifMatch`. */
export async function bumpAthlete(ctx: Context, athleteId: string, ifMatch: number): Promise<number> {
  const [row] = await ctx.tx
    .update(athletes)
    .set({ revision: sql`${athletes.revision} + 1` })
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId), eq(athletes.revision, ifMatch)))
    .returning({ revision: athletes.revision });
  if (!row) throw refuse('changed-meanwhile', 'The athlete has another revision by now.');
  return row.revision;
}

/** The gym's own; and a sister gym's who came today, for the day. */
const isHere = (ctx: Context, gymId: string) =>
  or(eq(athletes.gymId, gymId), sql`${athletes.personId} = ANY(${cameToday(ctx, gymId)})`);

/** An athlete of this gym, or one who came here today; refuses any other as not found. To read, never to write. */
export async function getAthleteHere(ctx: Context, gymId: string, athleteId: string) {
  const [row] = await ctx.tx
    .select({ athleteId: athletes.personId, revision: athletes.revision })
    .from(athletes)
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId), isHere(ctx, gymId)));
  return found(row, 'athlete');
}

/** For a coach: those in the blocks that they teach today. Null for those who see all. */
const ofOwnBlocks = (ctx: Context, gymId: string): SQL | null =>
  holds(ctx, 'athletes.read', gymId) ? null : sql`${athletes.personId} = ANY(${inOwnBlocks(ctx, gymId)})`;

/** For the gym as a whole; or for one's own blocks, where those are all that is shown. */
const mayReadHealth = (ctx: Context, gymId: string) =>
  holds(ctx, 'health.read', gymId) ||
  (scopesAt(ctx, 'health.read', gymId).has('own-blocks') && !holds(ctx, 'athletes.read', gymId));

const summaryColumns = {
  athleteId: athletes.personId,
  given: personNames.given,
  family: personNames.family,
  alerts: personHealth.alerts,
};

const alertsOf = (ctx: Context, gymId: string) =>
  and(
    ours(ctx, personHealth),
    eq(personHealth.personId, athletes.personId),
    mayReadHealth(ctx, gymId) ? undefined : sql`false`,
  );

/** The gym's own athletes in the order of their names; for a coach, those in the blocks that they have today. */
export async function listAthletes(ctx: Context, gymId: string, { limit, cursor, name, left }: AthleteQuery) {
  const after = readCursor(cursor, 3);
  const rows = await ctx.tx
    .select({ ...summaryColumns, ...nameKeys })
    .from(athletes)
    .leftJoin(personNames, namesOf(ctx, athletes.personId))
    .leftJoin(personHealth, alertsOf(ctx, gymId))
    .where(
      and(
        ours(ctx, athletes),
        ofOwnBlocks(ctx, gymId) ?? eq(athletes.gymId, gymId),
        left === 'true' ? isNotNull(athletes.leftAt) : isNull(athletes.leftAt),
        nameHas(name),
        afterName(athletes.personId, after),
      ),
    )
    .orderBy(...inOrderOfNames(athletes.personId))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    ({ athleteId, given, family, alerts }): AthleteSummary => ({ athleteId, given, family, alerts }),
    (row) => [row.familyKey, row.givenKey, row.athleteId],
  );
}

/** One of the gym's athletes, or a sister gym's who came here today, with what the caller may know of them. */
export async function getAthlete(ctx: Context, gymId: string, athleteId: string): Promise<Athlete> {
  const [row] = await ctx.tx
    .select({
      ...summaryColumns,
      gymId: athletes.gymId,
      born: athletes.born,
      familyId: athletes.familyId,
      countsAs: athletes.countsAs,
      leftAt: athletes.leftAt,
      revision: athletes.revision,
    })
    .from(athletes)
    .leftJoin(personNames, namesOf(ctx, athletes.personId))
    .leftJoin(personHealth, alertsOf(ctx, gymId))
    .where(and(ours(ctx, athletes), eq(athletes.personId, athleteId), ofOwnBlocks(ctx, gymId) ?? isHere(ctx, gymId)));
  const { born, familyId, countsAs, leftAt, ...athlete } = found(row, 'athlete');
  if (!holds(ctx, 'athletes.read', gymId)) return { ...athlete, record: null };
  const record = { born, countsAs, hasLeft: leftAt !== null, family: await familyOf(ctx, athleteId, familyId) };
  return { ...athlete, record: { ...record, ...(await linksOf(ctx, gymId, athleteId)) } };
}

async function familyOf(ctx: Context, athleteId: string, familyId: string | null): Promise<string[]> {
  if (familyId === null) return [];
  const rows = await ctx.tx
    .select({ id: athletes.personId })
    .from(athletes)
    .where(and(ours(ctx, athletes), eq(athletes.familyId, familyId), ne(athletes.personId, athleteId)))
    .orderBy(asc(athletes.personId))
    .limit(100);
  return rows.map(({ id }) => id);
}

type Links = Pick<AthleteRecord, 'traits' | 'supports' | 'helpers' | 'guardians' | 'contacts'>;

async function linksOf(ctx: Context, gymId: string, athleteId: string): Promise<Links> {
  const [traits, supports, helpers] = [athleteTraits, athleteSupports, athleteHelpers];
  const guardians = await guardiansOf(ctx, gymId, athleteId);
  return {
    traits: await ctx.tx
      .select({ id: traits.id, trait: traits.trait, from: traits.from, until: traits.until })
      .from(traits)
      .where(and(ours(ctx, traits), eq(traits.athleteId, athleteId)))
      .orderBy(asc(traits.from), asc(traits.id))
      .limit(500),
    supports: await ctx.tx
      .select({ id: supports.id, from: supports.from, until: supports.until })
      .from(supports)
      .where(and(ours(ctx, supports), eq(supports.athleteId, athleteId)))
      .orderBy(asc(supports.from), asc(supports.id))
      .limit(500),
    helpers: await ctx.tx
      .select({ id: helpers.id, helperId: helpers.helperId, from: helpers.from, until: helpers.until })
      .from(helpers)
      .where(and(ours(ctx, helpers), eq(helpers.athleteId, athleteId)))
      .orderBy(asc(helpers.from), asc(helpers.id))
      .limit(500),
    guardians,
    contacts: await contactsOf(ctx, gymId, athleteId),
  };
}

/** An athlete's guardians, with how to reach them where the caller may know. */
export async function guardiansOf(
  ctx: Context,
  gymId: string,
  athleteId: string,
  guardianId?: string,
): Promise<Guardian[]> {
  const rows = await ctx.tx
    .select({
      guardianId: guardianships.guardianId,
      given: personNames.given,
      family: personNames.family,
      relation: guardianships.relation,
      mayCollect: guardianships.mayCollect,
    })
    .from(guardianships)
    .leftJoin(personNames, namesOf(ctx, guardianships.guardianId))
    .where(
      and(
        ours(ctx, guardianships),
        eq(guardianships.athleteId, athleteId),
        guardianId === undefined ? undefined : eq(guardianships.guardianId, guardianId),
      ),
    )
    .orderBy(asc(guardianships.guardianId))
    .limit(50);
  const guardians: Guardian[] = [];
  for (const row of rows) guardians.push({ ...row, contacts: await contactsOf(ctx, gymId, row.guardianId) });
  return guardians;
}
