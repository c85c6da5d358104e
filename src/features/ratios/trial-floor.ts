import { completedMonths, parseFraction } from '../../cover/index.ts';
import type { Athlete, Block, Floor, Place, Rule, Span, Staff, Station } from '../../cover/types.ts';
import type { Fault } from '../../platform/problem.ts';
import { refuseFaults } from './refusals.ts';
import { type CoverTrial, MOST_ATHLETES, MOST_STAFF } from './trial-schema.ts';

const BLOCK = 'block';
const SESSION = 'session';
const PREMISES = 'premises';
const LONG_AGO = '1900-01-01';

export const TRIED_BLOCK = BLOCK;

/** The made-up floor of a trial: one block of an hour at noon, UTC, in which everybody stands but floaters and overseers. */
export function trialFloor(trial: CoverTrial, day: string, rules: readonly Rule[]): Floor {
  const noon = Date.parse(`${day}T12:00:00Z`);
  const span: Span = { from: noon, to: noon + 3_600_000 };
  const athletes = trial.athletes.flatMap((one, i) =>
    repeated(one.count, one.id ?? `athlete ${i + 1}`).map(
      (person): Athlete => ({
        ...likeAthlete(one, day),
        person,
        family: one.family,
        countsAs: parseFraction(one.countsAs),
        support: one.helpers === null ? null : { anyOf: one.helpers },
        at: [{ unit: { per: 'block', id: BLOCK }, span, category: one.category }],
      }),
    ),
  );
  const staff = trial.staff.flatMap((one, i) =>
    repeated(one.count, one.id ?? `coach ${i + 1}`).map(
      (person): Staff => ({
        person,
        born: one.born ?? bornMonthsBefore(day, (one.ageYears ?? 0) * 12),
        takingPart: one.takesPart ? [span] : [],
        ownChildren: one.ownChildren,
        employed: [{ from: LONG_AGO, to: null }],
        elsewhere: [],
        absent: [],
        at: [placeOf(one, span)],
        holds: one.qualifications.map((held) => ({ ...held, from: LONG_AGO, to: null })),
        signedOff: one.signedOff.map((sign) => ({ ...sign, from: LONG_AGO, to: null })),
      }),
    ),
  );
  const stations = trial.stations.map(
    (one, i): Station => ({ ...one, id: one.id ?? `station ${i + 1}`, span, easier: [] }),
  );
  refuseFaultyFloor(trial, athletes, staff, stations);
  const block: Block = {
    id: BLOCK,
    session: SESSION,
    group: 'group',
    areas: [],
    span,
    programmes: [],
    levels: [],
    activity: 'apparatus',
    stations,
    confirmed: true,
    planWithdrawn: false,
  };
  const { leapDay } = trial;
  const empty = { overrides: [], duties: [] };
  return {
    gym: PREMISES,
    zone: 'UTC',
    leapDay,
    over: span,
    blocks: [block],
    athletes,
    staff,
    rules: [...rules],
    ...empty,
  };
}

/** An athlete of that age and kind, enrolled in the block and at no place yet. */
export function likeAthlete(
  { ageMonths, born, traits, category }: NonNullable<CoverTrial['oneMore']>,
  day: string,
): Athlete {
  return {
    person: 'one more',
    born: ageMonths === undefined ? (born ?? null) : bornMonthsBefore(day, ageMonths),
    family: null,
    traits: traits.map((trait) => ({ trait, spans: null })),
    countsAs: parseFraction('1'),
    support: null,
    at: [],
    enrolled: [{ block: BLOCK, category }],
  };
}

export const ageOn = (born: string | null, { leapDay }: CoverTrial, day: string): number | null =>
  born === null ? null : completedMonths(born, day, leapDay);

function placeOf({ duty, floats }: CoverTrial['staff'][number], span: Span): Place {
  if (floats) return { unit: { per: 'premises', id: PREMISES }, duty, span };
  if (duty === 'oversee') return { unit: { per: 'session', id: SESSION }, duty, span };
  return { unit: { per: 'block', id: BLOCK }, duty, span };
}

const repeated = (count: number, name: string): string[] =>
  count === 1 ? [name] : Array.from({ length: count }, (_, i) => `${name}, ${i + 1}`);

/** The day so many months earlier; where that month has no such day, its last: so many months are then completed. */
function bornMonthsBefore(day: string, months: number): string {
  const [year = 0, month = 1, date = 1] = day.split('-').map(Number);
  const index = year * 12 + (month - 1) - months;
  const [y, m] = [Math.floor(index / 12), index % 12];
  const last = new Date(Date.UTC(y, m + 1, 0)).getUTCDate();
  return new Date(Date.UTC(y, m, Math.min(date, last))).toISOString().slice(0, 10);
}

function refuseFaultyFloor(
  trial: CoverTrial,
  athletes: readonly Athlete[],
  staff: readonly Staff[],
  stations: readonly Station[],
): void {
  const faults: Fault[] = [];
  const say = (pointer: string, detail: string) => faults.push({ pointer, detail });
  if (athletes.length > MOST_ATHLETES)
    say('/athletes', `At most ${MOST_ATHLETES} athletes; these are ${athletes.length}.`);
  if (staff.length > MOST_STAFF) say('/staff', `At most ${MOST_STAFF} staff; these are ${staff.length}.`);
  const people = new Set<string>();
  for (const { person } of [...athletes, ...staff]) {
    if (people.has(person)) say('', `"${person}" is there twice; call each by a name of their own.`);
    people.add(person);
  }
  if (new Set(stations.map(({ id }) => id)).size < stations.length) say('/stations', 'Call each by a name of its own.');
  const isStaff = new Set(staff.map(({ person }) => person));
  for (const [a, { helpers }] of trial.athletes.entries()) {
    for (const [h, helper] of (helpers ?? []).entries()) {
      if (!isStaff.has(helper)) say(`/athletes/${a}/helpers/${h}`, `There is nobody called "${helper}" on the staff.`);
    }
  }
  const isAthlete = new Set(athletes.map(({ person }) => person));
  for (const [s, { ownChildren }] of trial.staff.entries()) {
    for (const [c, child] of ownChildren.entries()) {
      if (!isAthlete.has(child)) say(`/staff/${s}/ownChildren/${c}`, `There is no athlete called "${child}".`);
    }
  }
  for (const [a, { countsAs }] of trial.athletes.entries()) {
    if (parseFraction(countsAs).n <= 0n) say(`/athletes/${a}/countsAs`, 'Expected more than 0.');
  }
  refuseFaults(faults);
}
