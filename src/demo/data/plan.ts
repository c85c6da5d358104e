import type { ApparatusName, LevelName, ProgrammeKey } from './place.ts';

// How the demo's lesson plans are written down.

export interface StepData {
  drill: string;
  dose: string;
  weight: 'core' | 'extend' | 'if-time';
  from?: LevelName;
}
export interface StationData {
  name: string;
  on: ApparatusName;
  items: number;
  setUp: string;
  steps: StepData[];
}
export interface BlockData {
  title: string;
  activity: 'warm-up' | 'stretches' | 'apparatus' | 'conditioning' | 'cool-down';
  minutes: number;
  classRule: string;
  stationsRun: 'side-by-side' | 'in-turn';
  stations: StationData[];
}
export interface PlanData {
  title: string;
  /** 0 is this week. */
  week: number;
  programmes: ProgrammeKey[];
  blocks: BlockData[];
}

export const core = (drill: string, dose: string): StepData => ({ drill, dose, weight: 'core' });
export const extend = (drill: string, dose: string, from: LevelName): StepData => ({
  drill,
  dose,
  weight: 'extend',
  from,
});
export const ifTime = (drill: string, dose: string): StepData => ({ drill, dose, weight: 'if-time' });

export const station = (
  on: ApparatusName,
  items: number,
  name: string,
  setUp: string,
  ...steps: StepData[]
): StationData => ({ on, items, name, setUp, steps });

/** A block on the apparatus that it is called after; its stations run side by side. */
export const block = (title: string, minutes: number, classRule: string, ...stations: StationData[]): BlockData => ({
  title,
  activity: 'apparatus',
  minutes,
  classRule,
  stationsRun: 'side-by-side',
  stations,
});

/** The same with its stations one after another. */
export const inTurn = (whole: BlockData): BlockData => ({ ...whole, stationsRun: 'in-turn' });

export const warmUp = (minutes: number, dose: string): BlockData => ({
  title: 'Warm-up',
  activity: 'warm-up',
  minutes,
  classRule: 'Eyes up, no overtaking through the middle; a clap means freeze.',
  stationsRun: 'side-by-side',
  stations: [
    station(
      'Floor',
      1,
      'The whole floor',
      'Six thin mats as islands, an arm’s length from every edge.',
      core('Islands', dose),
    ),
  ],
});

export const stretches = (minutes: number, hold: string): BlockData => ({
  title: 'Stretches',
  activity: 'stretches',
  minutes,
  classRule: 'Your own space, your own pace. Nobody presses on anybody.',
  stationsRun: 'in-turn',
  stations: [
    station(
      'Floor',
      1,
      'In a circle',
      'Nothing but the floor; everybody can see the coach.',
      core('Sit, fold and reach', hold),
      core('Open and lean', `${hold} each side`),
      ifTime('Shoulders back and up', hold),
    ),
  ],
});

export const coolDown = (minutes: number): BlockData => ({
  title: 'Cool-down',
  activity: 'cool-down',
  minutes,
  classRule: 'Quiet voices. One good thing about somebody else before we go.',
  stationsRun: 'in-turn',
  stations: [station('Floor', 1, 'In a circle', 'Nothing but the floor.', core('Shake and breathe', 'Ten breaths'))],
});
