import { and, eq, isNotNull, notExists, sql } from 'drizzle-orm';
import type { PgColumn } from 'drizzle-orm/pg-core';
import { parseFraction } from '../cover/index.ts';
import type { Athlete } from '../cover/types.ts';
import type { Context } from '../platform/context.ts';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import { type GivenPast, type Past, reading, stands } from './as-of.ts';
import { grouped, isOneOf, onDay, spanOf } from './rows.ts';

interface Where {
  blocks: readonly {
    id: string;
    sessionId: string;
    groupId: string;
    classId: string;
    startsAt: Date;
    endsAt: Date;
  }[];
  /** Athletes to read as well, whether they have a place in one of the groups or not. */
  others: readonly string[];
  past?: Past | undefined;
}

/** Those placed in the groups of some blocks, at every one of them, as the engine sees an athlete. */
export async function loadAthletes(ctx: Context, day: string, { blocks, others, past }: Where): Promise<Athlete[]> {
  const classOf = new Map(blocks.map(({ sessionId, classId }) => [sessionId, classId]));
  const groups = [...new Set(blocks.map(({ groupId }) => groupId))];
  const sessions = [...classOf.keys()];
  const who = { sessions, others: [...others], day };
  const [rows, traits, supports, helpers, categories] = await Promise.all([
    selectAthletes(ctx, { sessions, groups, others: who.others }, past),
    selectTraits(ctx, who),
    selectSupports(ctx, who),
    selectHelpers(ctx, who),
    selectCategories(ctx, { ...who, classes: [...new Set(classOf.values())] }),
  ]);
  const seatsOf = seatsIn(blocks);
  const traitsOf = grouped(traits, ({ athleteId }) => athleteId);
  const helpersOf = grouped(helpers, ({ athleteId }) => athleteId);
  const supported = new Set(supports.map(({ athleteId }) => athleteId));
  const categoriesOf = grouped(categories, ({ athleteId }) => athleteId);
  const athletes = new Map<string, Athlete>();
  for (const row of rows) {
    const classId = row.sessionId === null ? null : classOf.get(row.sessionId);
    const category = categoriesOf(row.athleteId).find((one) => one.classId === classId)?.category ?? null;
    const { at, enrolled } = seatsOf(row.groupId, category);
    const known = athletes.get(row.athleteId);
    if (known) {
      known.at.push(...at);
      known.enrolled.push(...enrolled);
      continue;
    }
    const { athleteId } = row;
    athletes.set(row.athleteId, {
      person: row.athleteId,
      born: row.born,
      family: row.familyId,
      traits: traitsOf(athleteId).map(({ trait }) => ({ trait, spans: null })),
      countsAs: parseFraction(row.countsAs),
      support: supported.has(athleteId) ? { anyOf: helpersOf(athleteId).map(({ helperId }) => helperId) } : null,
      at: [...at],
      enrolled: [...enrolled],
    });
  }
  return [...athletes.values()];
}

type Seats = Readonly<Pick<Athlete, 'at' | 'enrolled'>>;

/** What everybody of one group and category has in common: the same places, as the same objects. */
function seatsIn(blocks: Where['blocks']): (groupId: string | null, category: string | null) => Seats {
  const blocksOf = grouped(
    blocks.map((block) => ({
      group: block.groupId,
      unit: { per: 'block', id: block.id } as const,
      span: spanOf(block),
    })),
    ({ group }) => group,
  );
  const known = new Map<string, Seats>();
  return (groupId, category) => {
    const key = `${groupId} ${category}`;
    const found = known.get(key);
    if (found !== undefined) return found;
    const here = groupId === null ? [] : blocksOf(groupId);
    const seats = {
      at: here.map(({ unit, span }) => ({ unit, span, category })),
      enrolled: here.map(({ unit }) => ({ block: unit.id, category })),
    };
    known.set(key, seats);
    return seats;
  };
}

type OfAthletes = { sessions: string[]; others: string[]; day: string };

type InGroups = { sessions: string[]; groups: string[] };

const isInGroups = (given: Given<InGroups>, past: GivenPast) =>
  and(
    ours(given, t.groupMembers),
    // Says nothing more than the groups do, but has an index.
    isOneOf(t.groupMembers.sessionId, given('sessions')),
    isOneOf(t.groupMembers.groupId, given('groups')),
    stands(t.groupMembers.createdAt, t.groupMembers.releasedAt, past),
  );

/** Those placed, and those named who are not: in one statement, so that nobody placed meanwhile is neither. */
const selectAthletes = reading((tx, given: Given<InGroups & { others: string[] }>, past) => {
  const of = { born: t.athletes.born, familyId: t.athletes.familyId, countsAs: t.athletes.countsAs };
  const placed = tx
    .select({
      athleteId: t.groupMembers.athleteId,
      groupId: sql<string | null>`${t.groupMembers.groupId}`.as('group_id'),
      sessionId: sql<string | null>`${t.groupMembers.sessionId}`.as('session_id'),
      ...of,
    })
    .from(t.groupMembers)
    .innerJoin(t.athletes, and(ours(given, t.athletes), eq(t.athletes.personId, t.groupMembers.athleteId)))
    .where(isInGroups(given, past));
  const isPlaced = tx
    .select({ athleteId: t.groupMembers.athleteId })
    .from(t.groupMembers)
    .where(and(isInGroups(given, past), eq(t.groupMembers.athleteId, t.athletes.personId)));
  const named = tx
    .select({
      athleteId: t.athletes.personId,
      groupId: sql<string | null>`NULL::uuid`.as('group_id'),
      sessionId: sql<string | null>`NULL::uuid`.as('session_id'),
      ...of,
    })
    .from(t.athletes)
    .where(and(ours(given, t.athletes), isOneOf(t.athletes.personId, given('others')), notExists(isPlaced)));
  return placed.unionAll(named).orderBy(sql`athlete_id`);
});

/**
 * Rows in force on the day, about whoever was ever placed at one of these sessions, and the others: so that they are asked
 * for together with the places, and not behind them.
 */
const ofAthletes = (
  given: Given<OfAthletes>,
  table: { franchiseId: PgColumn; athleteId: PgColumn; from: PgColumn; until: PgColumn },
) => {
  const isOneOfThem = sql`${table.athleteId} = ANY(ARRAY(SELECT m.athlete_id FROM group_members m
    WHERE m.franchise_id = ${given.franchiseId} AND m.session_id = ANY(${given('sessions')}::uuid[]))
    || ${given('others')}::uuid[])`;
  return and(ours(given, table), isOneOfThem, onDay(table, given('day')));
};

const selectTraits = statement((tx, given: Given<OfAthletes>) =>
  tx
    .select({ athleteId: t.athleteTraits.athleteId, trait: t.athleteTraits.trait })
    .from(t.athleteTraits)
    .where(ofAthletes(given, t.athleteTraits))
    .orderBy(t.athleteTraits.trait),
);

const selectSupports = statement((tx, given: Given<OfAthletes>) =>
  tx
    .select({ athleteId: t.athleteSupports.athleteId })
    .from(t.athleteSupports)
    .where(ofAthletes(given, t.athleteSupports)),
);

const selectHelpers = statement((tx, given: Given<OfAthletes>) =>
  tx
    .select({ athleteId: t.athleteHelpers.athleteId, helperId: t.athleteHelpers.helperId })
    .from(t.athleteHelpers)
    .where(ofAthletes(given, t.athleteHelpers))
    .orderBy(t.athleteHelpers.helperId),
);

const selectCategories = statement((tx, given: Given<OfAthletes & { classes: string[] }>) =>
  tx
    .select({ athleteId: t.enrolments.athleteId, classId: t.enrolments.classId, category: t.enrolments.category })
    .from(t.enrolments)
    .where(
      and(
        ofAthletes(given, t.enrolments),
        isOneOf(t.enrolments.classId, given('classes')),
        isNotNull(t.enrolments.category),
      ),
    ),
);
