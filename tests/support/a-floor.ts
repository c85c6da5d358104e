/**
 * A floor for tests of the cover engine: what isn't said is an ordinary Thursday class in a gym on UTC. One block, "beam",
 * of the session "class", 16:00 to 16:20; nine-year-olds; coaches of 30, employed for years, who lead; one rule of 1:8.
 */
import { fraction, ONE, parseFraction } from '../../src/cover/fraction.ts';
import type {
  Athlete,
  Band,
  Block,
  Day,
  Edge,
  Floor,
  Id,
  Limit,
  Place,
  Rule,
  Span,
  Spotting,
  Staff,
  Station,
  Test,
  Unit,
} from '../../src/cover/types.ts';

export const DAY: Day = '2026-03-12';
export const ANYONE: Test = { test: 'all', of: [] };

/** "16:00" on the test's day, as epoch ms. */
export const clock = (time: string, day: Day = DAY): number => Date.parse(`${day}T${time}:00Z`);
/** "16:00-16:20" on the test's day. */
export function span(times: string, day: Day = DAY): Span {
  const [from, to] = times.split('-') as [string, string];
  return { from: clock(from, day), to: clock(to, day) };
}
export const atBlock = (id: Id): Unit => ({ per: 'block', id });
export const ALWAYS = { from: '2000-01-01', to: null };

type AthleteSpec = Partial<Omit<Athlete, 'at'>> & {
  years?: number;
  months?: number;
  category?: string | null;
  at?: { unit: Unit; span: Span; category?: string | null }[];
  in?: Id;
};
type StaffSpec = Partial<Staff> & { years?: number; duty?: Place['duty']; in?: Id };
type FloorSpec = Partial<Omit<Floor, 'athletes' | 'staff' | 'rules' | 'blocks'>> & {
  athletes?: number | AthleteSpec[];
  coaches?: number | StaffSpec[];
  blocks?: Partial<Block>[];
  stations?: Station[];
  rules?: Rule[];
  planWithdrawn?: boolean;
};

export function aFloor(spec: FloorSpec = {}): Floor {
  const {
    athletes = 0,
    coaches = 0,
    blocks = [{}],
    stations = [],
    rules = [aRule()],
    planWithdrawn = false,
    ...rest
  } = spec;
  const all = blocks.map((one, i) => aBlock({ ...(i === 0 ? { stations, planWithdrawn } : {}), ...one }));
  const home = all[0] as Block;
  const place = (id: Id | undefined) => all.find((block) => block.id === id) ?? home;
  return {
    gym: 'gym',
    zone: 'UTC',
    leapDay: '03-01',
    over: { from: Math.min(...all.map((b) => b.span.from)), to: Math.max(...all.map((b) => b.span.to)) },
    blocks: all,
    athletes: listed(athletes).map((one, i) => anAthlete(`child-${pad(i)}`, place(one.in), one)),
    staff: listed(coaches).map((one, i) => aCoach(`coach-${pad(i)}`, place(one.in), one)),
    rules,
    overrides: [],
    duties: [],
    ...rest,
  };
}

export function aBlock(spec: Partial<Block> = {}): Block {
  return {
    id: 'beam',
    session: 'class',
    group: 'group',
    areas: ['hall'],
    span: span('16:00-16:20'),
    programmes: ['recreational'],
    levels: ['one'],
    activity: 'class',
    stations: [],
    confirmed: true,
    planWithdrawn: false,
    ...spec,
  };
}

/** Their category, unless a place says otherwise, is the same at every place and in the block. */
function anAthlete(
  person: Id,
  block: Block,
  { years = 9, months, category = null, at, in: _, ...spec }: AthleteSpec,
): Athlete {
  const places = at ?? [{ unit: atBlock(block.id), span: block.span }];
  return {
    person,
    born: bornBefore(months ?? years * 12 + 1),
    family: null,
    traits: [],
    countsAs: ONE,
    support: null,
    at: places.map((place) => ({ category, ...place })),
    enrolled: [{ block: block.id, category }],
    ...spec,
  };
}

function aCoach(person: Id, block: Block, { years = 30, duty = 'lead', in: _, ...spec }: StaffSpec): Staff {
  return {
    person,
    born: bornBefore(years * 12 + 1),
    takingPart: [],
    ownChildren: [],
    employed: [ALWAYS],
    elsewhere: [],
    absent: [],
    at: [{ unit: atBlock(block.id), duty, span: block.span }],
    holds: [],
    signedOff: [],
    ...spec,
  };
}

export const holding = (kind: Id, grade = 1): Staff['holds'] => [{ kind, grade, ...ALWAYS }];
export const holds = (kind: Id, grade = 1): Test => ({ test: 'holds', kind, grade });
export const free = { at: [] };

/** A birth date that many completed months before the test's day. */
export function bornBefore(months: number, day: Day = DAY): Day {
  const [y, m, d] = day.split('-').map(Number) as [number, number, number];
  const total = y * 12 + (m - 1) - months;
  return `${String(Math.floor(total / 12)).padStart(4, '0')}-${pad((total % 12) + 1)}-${pad(Math.min(d, 28))}`;
}

export function aRule(spec: Partial<Rule> = {}): Rule {
  return {
    id: 'rule',
    version: 1,
    owner: 'franchise',
    source: null,
    strength: 'refuse',
    overridable: true,
    inForce: ALWAYS,
    scope: {},
    except: null,
    per: 'block',
    agesOf: 'present',
    bands: [aBand('any', null, null, 8)],
    mixed: { method: 'youngest' },
    plus: 0,
    floors: [],
    caps: [],
    counts: [counting(ANYONE)],
    whileSpotting: 'counts',
    supervision: [],
    staffBelowYearsAreAthletes: null,
    ...spec,
  };
}

/** A band between ages in years (or edges), of so many per coach. */
export function aBand(
  id: Id,
  from: number | Edge | null,
  to: number | Edge | null,
  perCoach: number | string | Limit[],
  more: Partial<Band> = {},
): Band {
  const limits = Array.isArray(perCoach) ? perCoach : [aLimit(perCoach)];
  const plain = { category: null, trait: null, countBy: 'athlete', largestGroup: null, mixes: 'in' } as const;
  return { id, from: edge(from), to: edge(to), ...plain, limits, ...more };
}

export function aLimit(perCoach: number | string, more: Partial<Limit> = {}): Limit {
  return { upToGroup: null, athletesPerCoach: parseFraction(`${perCoach}`), when: null, ...more };
}

export const counting = (who: Test, share: string | number = 1): Rule['counts'][number] => ({
  who,
  share: parseFraction(`${share}`),
  maxOf: null,
});

export function aStation(id: Id, spotting: Spotting = { mode: 'none' }, spec: Partial<Station> = {}): Station {
  return { id, apparatus: id, items: 1, span: span('16:00-16:20'), spotting, easier: [], ...spec };
}

export const spotted = (kind: Id = 'spotter', mode: 'hands-on' | 'stand-by' = 'hands-on', grade = 1): Spotting => ({
  mode,
  kind,
  grade,
  skills: [],
});

export const at = (unit: Unit, duty: Place['duty'], times = '16:00-16:20'): Place => ({
  unit,
  duty,
  span: span(times),
});
export const overseeing = (session: Id): Place[] => [at({ per: 'session', id: session }, 'oversee')];
export const onPremises: Place[] = [at({ per: 'premises', id: 'gym' }, 'assist')];
export const half = fraction(1, 2);

const edge = (age: number | Edge | null): Edge | null => (typeof age === 'number' ? { months: age * 12 } : age);
const listed = <T extends object>(some: number | T[]): T[] =>
  typeof some === 'number' ? Array.from({ length: some }, () => ({}) as T) : some;
const pad = (n: number): string => String(n).padStart(2, '0');
