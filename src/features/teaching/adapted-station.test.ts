import { expect, test } from 'vitest';
import type { PlanStation } from '../curriculum/plan-content-schema.ts';
import type { Drill } from '../curriculum/schema.ts';
import { asTaught } from './adapted-station.ts';
import type { AdaptedRow } from './sheet-repo.ts';

const drill = (id: string, spotting: Drill['spotting']): Drill => ({
  id,
  name: id,
  apparatusId: 'beam',
  levels: [],
  skills: [],
  lookFors: [],
  sayFirst: 'Ready?',
  ifItGoesWrong: '',
  spotting,
  equipment: [],
  secondsATurn: 20,
  places: 1,
  placesAre: 'side-by-side',
  height: null,
  demonstration: null,
  diagram: null,
  retired: false,
  revision: 1,
});
const byHand: Drill['spotting'] = { mode: 'hands-on', kindId: 'spotter', grade: 1 };
const drills = new Map([
  ['easy', drill('easy', { mode: 'none' })],
  ['plain', drill('plain', { mode: 'none' })],
  ['held', drill('held', byHand)],
]);
const step = (drillId: string): PlanStation['steps'][number] => ({
  drillIds: [drillId],
  chooseBy: null,
  fromLevelId: null,
  dose: { amount: 4, unit: 'lengths', sets: 1, eachSide: false, note: null },
  weight: 'core',
});
const station: PlanStation = {
  id: 'station',
  name: 'Beam',
  apparatusId: 'beam',
  items: 1,
  setUp: { words: '', pieces: [], staysUp: false, diagram: null },
  places: null,
  steps: [step('held'), step('plain')],
  spotting: null,
};
const called = (id: string) => id;
const names = { apparatus: called, skill: called, drill: called, level: called, kind: called };
const instead = (spots: AdaptedRow['spots']): AdaptedRow => ({
  blockId: 'block',
  stationId: 'station',
  kind: 'drill',
  drillId: 'easy',
  spots,
  step: null,
  piece: null,
  choice: null,
  reason: 'nobody to spot',
  by: null,
});

// "easy" led to both when it was put there; by now only the way to the unspotted one is left.
const progressions = [{ easierId: 'easy', harderId: 'plain' }];

test.each([
  ['is not taught where cover asks nobody to spot', 'none', ['easy', 'easy']],
  ['is, where cover asks for a spotter close enough', 'hands-on', ['held', 'easy']],
] as const)('a drill that is spotted by hand %s', (_name, spots, taught) => {
  const { steps } = asTaught(station, [instead(spots)], { drills, progressions, names });
  expect(steps.flatMap((one) => one.drills.map(({ name }) => name))).toEqual(taught);
});
