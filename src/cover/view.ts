import { bandOf } from './bands.ts';
import { ONE, ZERO } from './fraction.ts';
import { ageOfStaff } from './passes.ts';
import { NO_RATIO, ratioOf } from './ratio.ts';
import { type Enrolled, type Head, type Moment, NOBODY, type OnDuty, type Spot, type View } from './scene.ts';
import { weigh } from './shares.ts';
import { placeTrainees } from './trainees.ts';
import type { Athlete, Count, Rule, Staff, Unit } from './types.ts';

/** What one rule sees of a unit at a moment. Everybody is counted once, in the first place they are found. */
export function viewOf(rule: Rule, unit: Unit, moment: Moment, spots: Spot[], enrolled: Enrolled[]): View {
  const people = peopleIn(spots);
  const view: View = {
    rule,
    unit,
    moment,
    spots,
    heads: headsIn(rule, moment, spots),
    groupSize: new Map(),
    people,
    enrolled,
    youngsters: NOBODY,
    ratio: NO_RATIO,
    count: uncounted(rule),
    trainees: { all: [], unplaced: [], under: [] },
  };
  const { staffBelowYearsAreAthletes: years } = rule;
  if (years !== null) {
    const young = people.filter(({ staff }) => ageOfStaff(staff, moment) < years * 12);
    view.youngsters = new Set(young.map(({ staff }) => staff.person));
    view.moment = { ...moment, young };
    for (const { staff, spot } of young) view.heads.push(headOf(rule, asAthlete(staff), spot, moment));
  }
  for (const { spot } of view.heads) view.groupSize.set(spot, (view.groupSize.get(spot) ?? 0) + 1);
  view.ratio = ratioOf(view);
  view.trainees = placeTrainees(view);
  weigh(view);
  return view;
}

/** Whether there is anybody to look after: a unit without athletes is covered. */
export const hasAthletes = (spots: readonly Spot[]): boolean => spots.some(({ athletes }) => athletes.length > 0);

function peopleIn(spots: Spot[]): OnDuty[] {
  if (spots.length === 1) return (spots[0] as Spot).staff;
  const found = new Map<string, OnDuty>();
  for (const { staff } of spots) {
    for (const one of staff) if (!found.has(one.staff.person)) found.set(one.staff.person, one);
  }
  return [...found.values()].sort((a, b) => (a.staff.person < b.staff.person ? -1 : 1));
}

function headsIn(rule: Rule, moment: Moment, spots: Spot[]): Head[] {
  const heads: Head[] = [];
  const seen = spots.length > 1 ? new Set<string>() : null;
  for (const spot of spots) {
    for (const athlete of spot.athletes) {
      if (seen?.has(athlete.person)) continue;
      seen?.add(athlete.person);
      heads.push(headOf(rule, athlete, spot, moment));
    }
  }
  return heads;
}

function headOf(rule: Rule, athlete: Athlete, spot: Spot, moment: Moment): Head {
  const band = bandOf(rule, athlete, spot.categories.get(athlete) ?? null, moment);
  return { athlete, spot, band, helped: spot.helped.has(athlete.person) };
}

function asAthlete({ person, born }: Staff): Athlete {
  const at: Athlete['at'] = [];
  return { person, born, family: null, traits: [], countsAs: ONE, support: null, at, enrolled: [] };
}

function uncounted({ id, version }: Rule): Count {
  return { rule: id, version, load: ZERO, needed: 0, counted: ZERO, band: null, people: [], met: true };
}
