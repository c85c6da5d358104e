/** The floor of a gym's day for the slow judge, read from the tables in SQL of its own: nothing of the service's loader. */
import type pg from 'pg';
import type {
  Athlete,
  Block,
  Day,
  Floor,
  Fraction,
  Override,
  Place,
  Rule,
  Spotting,
  Staff,
  Test,
} from '../../src/cover/types.ts';
import type { StoredRule } from '../../src/tables/stored-rule.ts';
import { fraction } from './judge-facts.ts';

export interface GymOnDay {
  gymId: string;
  day: Day;
}

interface Times {
  starts_at: Date;
  ends_at: Date;
}
const spanOf = ({ starts_at, ends_at }: Times) => ({ from: starts_at.getTime(), to: ends_at.getTime() });

/** "3/2" or "3". */
function exact(text: string): Fraction {
  const [n = '0', d = '1'] = text.split('/');
  return fraction(BigInt(n), BigInt(d));
}

type Of<T> = (Times & { person: string } & T)[];

/** The connection's transaction says which moment is read. */
export async function floorByHand(client: pg.Client, franchiseId: string, { gymId, day }: GymOnDay): Promise<Floor> {
  const read = async <T extends pg.QueryResultRow>(sql: string, ...more: unknown[]): Promise<T[]> =>
    (await client.query<T>(sql, [franchiseId, ...more])).rows;

  const [gym] = await read<{ zone: string; leap_day: Floor['leapDay']; travel: number; from: string; to: string }>(
    `SELECT g.zone, f.leap_day, f.travel_minutes * 60000 AS travel,
       extract(epoch FROM $3::date::timestamp AT TIME ZONE g.zone) * 1000 AS from,
       extract(epoch FROM ($3::date + 1)::timestamp AT TIME ZONE g.zone) * 1000 AS to
     FROM gyms g JOIN franchises f USING (franchise_id) WHERE g.franchise_id = $1 AND g.id = $2`,
    gymId,
    day,
  );
  if (!gym) throw new Error('there is no such gym');
  const over = { from: Number(gym.from), to: Number(gym.to) };

  const blocks = await readBlocks(read, gymId, day);
  const athletes = await readAthletes(read, day, blocks);
  const helpers = athletes.flatMap(({ support }) => support?.anyOf ?? []);
  return {
    gym: gymId,
    zone: gym.zone,
    leapDay: gym.leap_day,
    over,
    blocks,
    athletes,
    staff: await readStaff(read, { gymId, day }, { ...over, travel: gym.travel }, helpers),
    rules: await readRules(read, gymId, day),
    overrides: await readOverrides(read, gymId, day),
    duties: await read<{ duty: Place['duty']; who: Test }>('SELECT duty, who FROM duty_rules WHERE franchise_id = $1'),
  };
}

type Read = <T extends pg.QueryResultRow>(sql: string, ...more: unknown[]) => Promise<T[]>;

async function readBlocks(read: Read, gymId: string, day: Day): Promise<Block[]> {
  const rows = await read<
    Times & {
      id: string;
      session: string;
      group: string;
      plan_block_id: string;
      confirmed: boolean;
      programme: string;
      activity: string;
      stations_run: string;
      withdrawn: boolean;
      areas: string[];
      levels: string[];
    }
  >(
    `SELECT b.id, b.session_id AS session, b.group_id AS "group", b.plan_block_id, b.starts_at, b.ends_at,
       b.confirmed_at IS NOT NULL AS confirmed, c.programme_id AS programme, p.activity, p.stations_run,
       v.withdrawn_at IS NOT NULL AS withdrawn,
       ARRAY(SELECT area_id::text FROM block_areas WHERE block_id = b.id) AS areas,
       ARRAY(SELECT level_id::text FROM class_levels WHERE class_id = c.id) AS levels
     FROM blocks b JOIN sessions s ON s.id = b.session_id JOIN classes c ON c.id = s.class_id
       JOIN plan_blocks p ON p.id = b.plan_block_id JOIN plan_versions v ON v.id = b.plan_version_id
     WHERE b.franchise_id = $1 AND b.gym_id = $2 AND b.day = $3 AND b.superseded_at IS NULL AND s.cancelled_at IS NULL`,
    gymId,
    day,
  );
  const stations = await read<{ id: string; block: string; apparatus: string; items: number; spotting: Spotting }>(
    `SELECT id, plan_block_id AS block, apparatus_id AS apparatus, items, spotting
     FROM plan_stations WHERE franchise_id = $1 ORDER BY position`,
  );
  const easier = await read<{ block: string; station: string; spotting: Spotting }>(
    `SELECT block_id AS block, station_id AS station, spotting FROM block_step_downs
     WHERE franchise_id = $1 AND undone_at IS NULL`,
  );
  return rows.map((row) => {
    const span = spanOf(row);
    const its = stations.filter(({ block }) => block === row.plan_block_id);
    const turn = (n: number) => span.from + Math.floor(((span.to - span.from) * n) / its.length);
    return {
      id: row.id,
      session: row.session,
      group: row.group,
      areas: row.areas,
      span,
      programmes: [row.programme],
      levels: row.levels,
      activity: row.activity,
      confirmed: row.confirmed,
      planWithdrawn: row.withdrawn,
      stations: its.map(({ id, apparatus, items, spotting }, n) => ({
        id: `${row.id}/${id}`,
        apparatus,
        items,
        span: row.stations_run === 'in-turn' ? { from: turn(n), to: turn(n + 1) } : span,
        spotting: easier.find((one) => one.block === row.id && one.station === id)?.spotting ?? spotting,
        easier: [],
      })),
    };
  });
}

async function readAthletes(read: Read, day: Day, blocks: readonly Block[]): Promise<Athlete[]> {
  const places = await read<{
    person: string;
    group: string;
    category: string | null;
    born: Day | null;
    family: string | null;
    counts_as: string;
    traits: string[];
    supported: boolean;
    helpers: string[];
  }>(
    `SELECT m.athlete_id AS person, m.group_id AS "group", a.born::text, a.family_id AS family, a.counts_as,
       (SELECT e.category FROM enrolments e WHERE e.class_id = s.class_id AND e.athlete_id = m.athlete_id
         AND e.from_day <= $2 AND coalesce(e.until_day, 'infinity') > $2) AS category,
       ARRAY(SELECT trait FROM athlete_traits x WHERE x.athlete_id = m.athlete_id
         AND x.from_day <= $2 AND coalesce(x.until_day, 'infinity') > $2) AS traits,
       EXISTS (SELECT FROM athlete_supports x WHERE x.athlete_id = m.athlete_id
         AND x.from_day <= $2 AND coalesce(x.until_day, 'infinity') > $2) AS supported,
       ARRAY(SELECT helper_id::text FROM athlete_helpers x WHERE x.athlete_id = m.athlete_id
         AND x.from_day <= $2 AND coalesce(x.until_day, 'infinity') > $2) AS helpers
     FROM group_members m JOIN athletes a ON a.person_id = m.athlete_id JOIN sessions s ON s.id = m.session_id
     WHERE m.franchise_id = $1 AND m.released_at IS NULL AND m.group_id = ANY($3::uuid[])`,
    day,
    blocks.map(({ group }) => group),
  );
  const people = [...new Set(places.map(({ person }) => person))];
  return people.map((person) => {
    const its = places.filter((one) => one.person === person);
    const one = its[0]!;
    const there = its.flatMap(({ group, category }) =>
      blocks.filter((block) => block.group === group).map((block) => ({ block, category })),
    );
    return {
      person,
      born: one.born,
      family: one.family,
      traits: one.traits.map((trait) => ({ trait, spans: null })),
      countsAs: exact(one.counts_as),
      support: one.supported ? { anyOf: one.helpers } : null,
      at: there.map(({ block: { id, span }, category }) => ({ unit: { per: 'block', id }, span, category })),
      enrolled: there.map(({ block: { id }, category }) => ({ block: id, category })),
    };
  });
}

async function readStaff(
  read: Read,
  { gymId, day }: GymOnDay,
  over: { from: number; to: number; travel: number },
  helpers: string[],
): Promise<Staff[]> {
  const people = await read<{ person: string; born: Day; children: string[] }>(
    `SELECT person_id AS person, born::text,
       ARRAY(SELECT athlete_id::text FROM guardianships g WHERE g.guardian_id = person_id) AS children
     FROM staff_members WHERE franchise_id = $1 AND (person_id = ANY($4::uuid[])
       OR person_id IN (SELECT person_id FROM assignments WHERE gym_id = $2 AND day = $3 AND released_at IS NULL)
       OR person_id IN (SELECT person_id FROM employments WHERE gym_id = $2 AND from_day <= $3
           AND coalesce(until_day, 'infinity') > $3))`,
    gymId,
    day,
    helpers,
  );
  const days = 'from_day::text AS from, until_day::text AS to';
  const employed = await read<{ person: string; from: Day; to: Day | null }>(
    `SELECT person_id AS person, ${days} FROM employments WHERE franchise_id = $1 AND gym_id = $2`,
    gymId,
  );
  // Ended or revoked, whichever comes first; one revoked from its first day was never held.
  const holds = await read<{ person: string; kind: string; grade: number; from: Day; to: Day | null }>(
    `SELECT person_id AS person, kind_id AS kind, grade, from_day::text AS from,
       least(until_day, revoked_from_day)::text AS to
     FROM qualifications WHERE franchise_id = $1 AND coalesce(least(until_day, revoked_from_day), 'infinity') > from_day`,
  );
  const signs = await read<
    { person: string; skill: string; level: Staff['signedOff'][number]['level'] } & {
      from: Day;
      to: Day | null;
    }
  >(`SELECT person_id AS person, skill_id AS skill, level, ${days} FROM sign_offs WHERE franchise_id = $1`);
  const near = [new Date(over.from - over.travel), new Date(over.to + over.travel)];
  const placed: Of<{ gym: string; on: Day; per: Place['unit']['per']; unit: string; duty: Place['duty'] }> = await read(
    `SELECT person_id AS person, gym_id AS gym, day::text AS on, per, coalesce(block_id, session_id, gym_id) AS unit, duty,
       starts_at, ends_at
     FROM assignments WHERE franchise_id = $1 AND released_at IS NULL AND starts_at < $3 AND ends_at > $2`,
    ...near,
  );
  const away: Of<object> = await read(
    `SELECT person_id AS person, starts_at, ends_at FROM absences
     WHERE franchise_id = $1 AND withdrawn_at IS NULL AND starts_at < $3 AND ends_at > $2`,
    ...near,
  );
  const learning: Of<{ gym: string }> = await read(
    `SELECT m.athlete_id AS person, s.gym_id AS gym, m.starts_at, m.ends_at
     FROM group_members m JOIN sessions s ON s.id = m.session_id
     WHERE m.franchise_id = $1 AND m.released_at IS NULL AND s.cancelled_at IS NULL
       AND m.starts_at < $3 AND m.ends_at > $2`,
    ...near,
  );
  return people.map(({ person, born, children }) => {
    const theirs = <T extends { person: string }>(rows: readonly T[]) => rows.filter((row) => row.person === person);
    const busy = [...theirs(placed), ...theirs(learning)].filter(({ gym }) => gym !== gymId).map(spanOf);
    return {
      person,
      born,
      takingPart: theirs(learning)
        .filter(({ gym }) => gym === gymId)
        .map(spanOf),
      ownChildren: children,
      employed: theirs(employed),
      elsewhere: busy.map(({ from, to }) => ({ from: from - over.travel, to: to + over.travel })),
      absent: theirs(away).map(spanOf),
      at: theirs(placed)
        .filter(({ gym, on }) => gym === gymId && on === day)
        .map((row) => ({ unit: { per: row.per, id: row.unit }, duty: row.duty, span: spanOf(row) })),
      holds: theirs(holds),
      signedOff: theirs(signs),
    };
  });
}

async function readRules(read: Read, gymId: string, day: Day): Promise<Rule[]> {
  const rows = await read<{
    id: string;
    version: number;
    gym: string | null;
    body: StoredRule;
    from: Day;
    to: Day | null;
  }>(
    `SELECT id, version, gym_id AS gym, body, from_day::text AS from, until_day::text AS to FROM ratio_rules r
     WHERE franchise_id = $1 AND (gym_id IS NULL OR gym_id = $2) AND from_day <= $3 AND NOT retired
       AND coalesce(until_day, 'infinity') > $3
       AND NOT EXISTS (SELECT FROM ratio_rules n WHERE n.id = r.id AND n.version > r.version AND n.from_day <= $3)`,
    gymId,
    day,
  );
  return rows.map(({ id, version, gym, body, from, to }) => ({
    ...body,
    id,
    version,
    owner: gym === null ? 'franchise' : 'gym',
    inForce: { from, to },
    bands: body.bands.map((band) => ({
      ...band,
      limits: band.limits.map((limit) => ({ ...limit, athletesPerCoach: exact(limit.athletesPerCoach) })),
    })),
    mixed: mixedBy(body.mixed),
    counts: body.counts.map(({ who, share, maxOf }) => ({
      who,
      share: exact(share),
      maxOf: maxOf && { base: maxOf.base, share: exact(maxOf.share) },
    })),
  }));
}

function mixedBy(mixed: StoredRule['mixed']): Rule['mixed'] {
  if (mixed.method !== 'composition') return mixed;
  const rows = mixed.rows.map(({ atLeast, ...row }) => ({
    ...row,
    atLeast: 'share' in atLeast ? { share: exact(atLeast.share) } : atLeast,
  }));
  return { method: 'composition', rows };
}

async function readOverrides(read: Read, gymId: string, day: Day): Promise<Override[]> {
  const rows = await read<
    Times & {
      id: string;
      per: Override['unit']['per'];
      unit: string;
      code: Override['code'];
      rule: string | null;
      subjects: string[];
      short: string;
    }
  >(
    `SELECT id, per, unit_id AS unit, starts_at, ends_at, code, rule_id AS rule, subjects, short FROM overrides
     WHERE franchise_id = $1 AND gym_id = $2 AND day = $3 AND withdrawn_at IS NULL`,
    gymId,
    day,
  );
  return rows.map((row) => ({
    id: row.id,
    unit: { per: row.per, id: row.unit },
    span: spanOf(row),
    code: row.code,
    rule: row.rule,
    subjects: row.subjects,
    short: exact(row.short),
  }));
}
