import type { CheckedClass, Finding } from '../../src/features/curriculum/checks/finding.ts';
import type { PlanBlock, PlanStation, PlanStep } from '../../src/features/curriculum/plan-content-schema.ts';
import type { Drill } from '../../src/features/curriculum/schema.ts';

// Plain values for the checks of a plan: no database.

let made = 0;
const anId = () => {
  made += 1;
  return `id-${made}`;
};

/** On the floor, one place, 20 seconds a turn, not spotted, when left out. */
export const aDrillLike = (more: Partial<Drill> = {}): Drill => ({
  id: anId(),
  name: 'Forward roll',
  apparatusId: 'floor',
  sayFirst: '',
  ifItGoesWrong: '',
  lookFors: [],
  levels: [],
  spotting: { mode: 'none' },
  skills: [],
  equipment: [],
  secondsATurn: 20,
  places: 1,
  placesAre: 'side-by-side',
  height: null,
  demonstration: null,
  diagram: null,
  retired: false,
  revision: 1,
  ...more,
});

export const aStepOf = (drills: readonly Drill[], more: Partial<PlanStep> = {}): PlanStep => ({
  drillIds: drills.map(({ id }) => id),
  chooseBy: null,
  fromLevelId: null,
  dose: { amount: 3, unit: 'turns', sets: 1, eachSide: false, note: null },
  weight: 'core',
  ...more,
});

export const aStationOf = (drills: readonly Drill[], more: Partial<PlanStation> = {}): PlanStation => ({
  id: anId(),
  name: 'Wedge',
  apparatusId: 'floor',
  items: 1,
  setUp: { words: '', pieces: [], staysUp: false, diagram: null },
  places: null,
  steps: drills.map((drill) => aStepOf([drill])),
  spotting: null,
  ...more,
});

export const aBlockOf = (stations: PlanStation[], more: Partial<PlanBlock> = {}): PlanBlock => ({
  id: anId(),
  title: 'Floor',
  activity: 'apparatus',
  minutes: 15,
  apparatusIds: [...new Set(stations.map(({ apparatusId }) => apparatusId))],
  formation: 'stations',
  importance: 1,
  classRule: '',
  waterFirst: false,
  stationsRun: 'side-by-side',
  stations,
  ...more,
});

export const byId = (...drills: readonly Drill[]): Map<string, Drill> => new Map(drills.map((one) => [one.id, one]));

/** Eight children of eight years in one group, Mondays at five, an hour long, when left out. */
export const aCheckedClass = (more: Partial<CheckedClass> = {}): CheckedClass => ({
  id: anId(),
  name: 'Tumblers',
  gymId: 'north',
  gymName: 'North',
  day: '2026-09-14',
  weekday: 1,
  startsAt: '17:00',
  minutes: 60,
  athletes: 8,
  groups: 1,
  months: [100],
  measured: [],
  ...more,
});

/** A finding in short: what it counts, its number and its limit, as "waiting 7 of at most 3". */
export function inShort({ about, number, limit: { atLeast, atMost } }: Pick<Finding, 'about' | 'number' | 'limit'>) {
  if (atLeast === null) return `${about} ${number}, at most ${atMost}`;
  return atMost === null ? `${about} ${number}, at least ${atLeast}` : `${about} ${number}, ${atLeast} to ${atMost}`;
}
