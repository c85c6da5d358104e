import { and, eq, sql } from 'drizzle-orm';
import { type Floor, type Names, textsIn } from '../cover/index.ts';
import { type Context, scopesAt } from '../platform/context.ts';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import type { GymFloor } from './load-floor.ts';
import { isOneOf } from './rows.ts';

/** The engine's names, and what it never asks for. */
export interface FloorNames extends Names {
  /** Of a block: what is taught, its group and its class. */
  block(id: string): { title: string; group: string; class: string };
}

/**
 * What the ids of a floor are called, and the reader's language. Athletes are named only to somebody who may read athletes
 * at that gym; to others each is "an athlete", those on the staff too.
 */
export async function loadNames(ctx: Context, { gymId, floor }: GymFloor): Promise<FloorNames> {
  const { blocks, staff, athletes, rules } = floor;
  const named = await askNames(ctx, gymId, {
    blocks: blocks.map(({ id }) => id),
    staff: staff.map(({ person }) => person),
    athletes: athletes.map(({ person }) => person),
    sessions: [],
    rules: rules.map(({ id }) => id),
  });
  return named(floor);
}

/** The ids whose names are asked for; of `sessions`, those of whoever was ever placed in them. */
export interface Mentioned {
  blocks: readonly string[];
  staff: readonly string[];
  athletes: readonly string[];
  sessions: readonly string[];
  rules: readonly string[];
}

/** The same in two steps: names can be asked for while the floor that they are for is still being read. */
export async function askNames(
  ctx: Context,
  gymId: string,
  mentioned: Mentioned,
): Promise<(floor: Pick<Floor, 'zone' | 'athletes'>) => FloorNames> {
  const mayRead = scopesAt(ctx, 'athletes.read', gymId);
  const mayNameAthletes = mayRead.has('franchise') || mayRead.has('gym');
  const blocks = [...new Set(mentioned.blocks)];
  const [blockNames, personNames, stations, others] = await Promise.all([
    selectBlockNames(ctx, { blocks }),
    selectPersonNames(ctx, {
      people: [...new Set([...mentioned.staff, ...(mayNameAthletes ? mentioned.athletes : [])])],
      sessions: mayNameAthletes ? [...new Set(mentioned.sessions)] : [],
    }),
    selectStationNames(ctx, { blocks }),
    selectOtherNames(ctx, { gymId, rules: [...mentioned.rules] }),
  ]);
  return (floor) => namesOf(ctx, mayNameAthletes, floor, { blockNames, personNames, stations, others });
}

interface Found {
  blockNames: Awaited<ReturnType<typeof selectBlockNames>>;
  personNames: Awaited<ReturnType<typeof selectPersonNames>>;
  stations: Awaited<ReturnType<typeof selectStationNames>>;
  others: Awaited<ReturnType<typeof selectOtherNames>>;
}

function namesOf(
  { language }: Context,
  mayNameAthletes: boolean,
  { zone, athletes }: Pick<Floor, 'zone' | 'athletes'>,
  { blockNames, personNames, stations, others }: Found,
): FloorNames {
  const { unnamed } = textsIn(language);
  const block = new Map(blockNames.map((row) => [row.id, row]));
  const session = new Map(blockNames.map((row) => [row.sessionId, row.className]));
  const person = new Map(personNames.map((row) => [row.personId, `${row.given} ${row.family}`.trim()]));
  const station = new Map(stations.map(({ id, name }) => [id, name]));
  const other = new Map(others.map((row) => [`${row.what} ${row.id}`, row]));
  const named = (what: Other, id: string) => other.get(`${what} ${id}`);
  const isAthlete = new Set(athletes.map((one) => one.person));

  return {
    language,
    zone,
    unit({ per, id }) {
      if (per === 'premises') return named('gym', id)?.name ?? unnamed.premises;
      if (per === 'session') return session.get(id) ?? unnamed.session;
      const found = block.get(id);
      return found ? `${found.title} (${found.className}, ${found.group})` : unnamed.block;
    },
    block(id) {
      const found = block.get(id);
      return { title: found?.title ?? '', group: found?.group ?? '', class: found?.className ?? '' };
    },
    rule: (id) => named('rule', id)?.name ?? unnamed.rule,
    band: (_rule, band) => band,
    person(id, as) {
      if (as === 'athlete' && !mayNameAthletes) return unnamed.athlete;
      return person.get(id) ?? (isAthlete.has(id) ? unnamed.athlete : unnamed.person);
    },
    station: (id) => station.get(planStationOf(id)) ?? unnamed.station,
    area: (id) => named('area', id)?.name ?? unnamed.area,
    kind(id, grade) {
      const found = named('kind', id);
      if (!found) return unnamed.kind;
      const gradeName = found.grades && found.grades.length > 1 ? found.grades[grade - 1] : undefined;
      return gradeName ? `${found.name}, ${gradeName}` : found.name;
    },
  };
}

const selectBlockNames = statement((tx, given: Given<{ blocks: string[] }>) =>
  tx
    .select({
      id: t.blocks.id,
      sessionId: t.blocks.sessionId,
      title: t.planBlocks.title,
      group: t.groups.name,
      className: t.classes.name,
    })
    .from(t.blocks)
    .innerJoin(t.planBlocks, and(ours(given, t.planBlocks), eq(t.planBlocks.id, t.blocks.planBlockId)))
    .innerJoin(t.groups, and(ours(given, t.groups), eq(t.groups.id, t.blocks.groupId)))
    .innerJoin(t.sessions, and(ours(given, t.sessions), eq(t.sessions.id, t.blocks.sessionId)))
    .innerJoin(t.classes, and(ours(given, t.classes), eq(t.classes.id, t.sessions.classId)))
    .where(and(ours(given, t.blocks), isOneOf(t.blocks.id, given('blocks')))),
);

const selectPersonNames = statement((tx, given: Given<{ people: string[]; sessions: string[] }>) =>
  tx
    .select({ personId: t.personNames.personId, given: t.personNames.given, family: t.personNames.family })
    .from(t.personNames)
    .where(
      and(
        ours(given, t.personNames),
        sql`${t.personNames.personId} = ANY(${given('people')}::uuid[] || ARRAY(SELECT m.athlete_id FROM group_members m
          WHERE m.franchise_id = ${given.franchiseId} AND m.session_id = ANY(${given('sessions')}::uuid[])))`,
      ),
    ),
);

const selectStationNames = statement((tx, given: Given<{ blocks: string[] }>) =>
  tx
    .select({ id: t.planStations.id, name: t.planStations.name })
    .from(t.planStations)
    .where(
      and(
        ours(given, t.planStations),
        sql`${t.planStations.planBlockId} = ANY(ARRAY(SELECT b.plan_block_id FROM blocks b
          WHERE b.franchise_id = ${given.franchiseId} AND b.id = ANY(${given('blocks')}::uuid[])))`,
      ),
    ),
);

type Other = 'gym' | 'area' | 'kind' | 'rule';

const selectOtherNames = statement((tx, given: Given<{ gymId: string; rules: string[] }>) => {
  const { franchiseId } = given;
  return tx
    .select({
      what: sql<Other>`what`,
      id: sql<string>`id`,
      name: sql<string>`name`,
      grades: sql<string[] | null>`grades`,
    })
    .from(sql`(
      SELECT 'gym' AS what, id::text, name, NULL::text[] AS grades FROM gyms
        WHERE franchise_id = ${franchiseId} AND id = ${given('gymId')}
      UNION ALL SELECT 'area', id::text, name, NULL FROM areas
        WHERE franchise_id = ${franchiseId} AND gym_id = ${given('gymId')}
      UNION ALL SELECT 'kind', id::text, name, grades FROM qualification_kinds WHERE franchise_id = ${franchiseId}
      UNION ALL SELECT DISTINCT ON (id) 'rule', id::text, name, NULL FROM ratio_rules
        WHERE franchise_id = ${franchiseId} AND id = ANY(${given('rules')}::uuid[])) named`);
});

/** The engine's station is a plan's station in one block: "block/station". */
const planStationOf = (id: string) => id.split('/').at(-1) ?? id;
