import type { SkillName } from './drill.ts';
import type { KitName } from './kit.ts';
import type { ApparatusName, LevelName, ProgrammeKey } from './place.ts';

// How the demo's lesson plans are written down.

export interface StepData {
  /** Several: one of them is chosen. */
  drills: string[];
  chooseBy: string | null;
  /** "3 sets of 4 times each side, slowly"; or words alone. */
  dose: string;
  weight: 'core' | 'extend' | 'if-time';
  from?: LevelName;
}
export interface PieceData {
  kit: KitName;
  amount: number;
  job: 'landing' | 'raise' | 'slope' | 'target' | 'keep-off' | 'keep-back';
  mixed?: true;
  orInstead?: [amount: number, kit: KitName][];
}
export interface StationData {
  name: string;
  on: ApparatusName;
  items: number;
  setUp: string;
  steps: StepData[];
  pieces?: PieceData[];
  places?: number;
  staysUp?: true;
}
export interface BlockData {
  title: string;
  activity: 'warm-up' | 'stretches' | 'apparatus' | 'conditioning' | 'cool-down';
  minutes: number;
  classRule: string;
  stationsRun: 'side-by-side' | 'in-turn';
  formation: 'circle' | 'file' | 'lanes' | 'stations' | 'circuit';
  /** 1 is what to keep when time runs out. */
  importance: number;
  stations: StationData[];
}
export interface FocusData {
  on: ApparatusName;
  skills: [SkillName, 'new' | 'continuing' | 'returning'][];
  nextWeek: string | null;
}
export interface PlanData {
  title: string;
  /** 0 is this week. */
  week: number;
  programmes: ProgrammeKey[];
  /** What the lead tells the coaches. */
  note: string;
  focus: FocusData[];
  /** The title of the block before which everybody drinks; a class of an hour needs none. */
  waterBefore?: string;
  blocks: BlockData[];
}

const step = (weight: StepData['weight'], drill: string, dose: string): StepData => ({
  drills: [drill],
  chooseBy: null,
  dose,
  weight,
});
export const core = (drill: string, dose: string): StepData => step('core', drill, dose);
export const extend = (drill: string, dose: string, from: LevelName): StepData => ({
  ...step('extend', drill, dose),
  from,
});
export const ifTime = (drill: string, dose: string): StepData => step('if-time', drill, dose);
/** One of these drills, whichever suits. */
export const oneOf = (drills: string[], chooseBy: string, dose: string): StepData => ({
  drills,
  chooseBy,
  dose,
  weight: 'core',
});

const piece =
  (job: PieceData['job']) =>
  (amount: number, kit: KitName, ...orInstead: [number, KitName][]): PieceData => ({ kit, amount, job, orInstead });
export const landing = piece('landing');
export const slope = piece('slope');
export const raise = piece('raise');
export const target = piece('target');
export const keepOff = piece('keep-off');
export const keepBack = piece('keep-back');
/** Put in only for those whom the set-up does not fit. */
export const forMixedSizes = (one: PieceData): PieceData => ({ ...one, mixed: true });

export const station = (
  on: ApparatusName,
  items: number,
  name: string,
  setUp: string,
  ...steps: StepData[]
): StationData => ({ on, items, name, setUp, steps });

/** The station with what stands around its apparatus. */
export const using = (pieces: PieceData[], whole: StationData): StationData => ({ ...whole, pieces });
/** The station with room for so many at once. */
export const room = (places: number, whole: StationData): StationData => ({ ...whole, places });
/** The station, whose set-up may stay for the next block. */
export const left = (whole: StationData): StationData => ({ ...whole, staysUp: true });

/** A block on the apparatus that it is called after; its stations run side by side. */
export const block = (title: string, minutes: number, classRule: string, ...stations: StationData[]): BlockData => ({
  title,
  activity: 'apparatus',
  minutes,
  classRule,
  stationsRun: 'side-by-side',
  formation: stations.length > 1 ? 'stations' : 'file',
  importance: 2,
  stations,
});

/** The same with its stations one after another. */
export const inTurn = (whole: BlockData): BlockData => ({ ...whole, stationsRun: 'in-turn' });
export const inLanes = (whole: BlockData): BlockData => ({ ...whole, formation: 'lanes' });
export const asCircuit = (whole: BlockData): BlockData => ({ ...whole, formation: 'circuit' });
/** What this week is for: kept when time runs out. */
export const first = (whole: BlockData): BlockData => ({ ...whole, importance: 1 });

export const warmUp = (minutes: number, dose: string): BlockData => ({
  title: 'Warm-up',
  activity: 'warm-up',
  minutes,
  classRule: 'Eyes up, no overtaking through the middle; a clap means freeze.',
  stationsRun: 'side-by-side',
  formation: 'circle',
  importance: 1,
  stations: [
    using(
      [target(6, 'Thin mat', [12, 'Spot'])],
      station(
        'Floor',
        1,
        'The whole floor',
        'Six thin mats as islands, an arm’s length from every edge.',
        core('Islands', dose),
      ),
    ),
  ],
});

export const stretches = (minutes: number, hold: string): BlockData => ({
  title: 'Stretches',
  activity: 'stretches',
  minutes,
  classRule: 'Your own space, your own pace. Nobody presses on anybody.',
  stationsRun: 'in-turn',
  formation: 'circle',
  importance: 2,
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
  formation: 'circle',
  importance: 3,
  stations: [
    station('Floor', 1, 'In a circle', 'Nothing but the floor.', core('Shake and breathe', '10 times, slow breaths')),
  ],
});
