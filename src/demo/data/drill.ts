import type { ApparatusName } from './place.ts';

type Need = 'none' | `${'stand-by' | 'hands-on'} ${1 | 2 | 3}`;

export interface DrillData {
  on: ApparatusName;
  name: string;
  sayFirst: string;
  /** Who spots: how, and the lowest grade of spotting. */
  spotting: Need;
  /** What it teaches. */
  skill: SkillName;
  /** How far its spotter has to be signed off for the skill. */
  signOff?: 'watched' | 'helped' | 'alone' | undefined;
  seconds: number;
  places: number;
  /** The drill that leads to it. */
  after?: string | undefined;
  /** It is the same as the one before, a rung higher. */
  higher?: true | undefined;
}

export const SKILLS = {
  'Rolling sideways': 'Floor',
  'Forward roll': 'Floor',
  'Backward roll': 'Floor',
  Handstand: 'Floor',
  Cartwheel: 'Floor',
  'Back handspring': 'Floor',
  'Jumps and landings': 'Floor',
  Turns: 'Floor',
  'Body shapes': 'Floor',
  'Two-foot take-off': 'Vault',
  'Squat on': 'Vault',
  'Handstand flat-back': 'Vault',
  'Hang and swing': 'Bars',
  'Front support': 'Bars',
  Pullover: 'Bars',
  'Hip circle': 'Bars',
  'Walking on the beam': 'Beam',
  'Balances on the beam': 'Beam',
  'Jumps on the beam': 'Beam',
  'Inverted on the beam': 'Beam',
  'Climbing and crawling': 'Soft shapes',
  'Tipping over safely': 'Soft shapes',
} as const satisfies Record<string, ApparatusName>;
export type SkillName = keyof typeof SKILLS;

export type Row = [
  name: string,
  skill: SkillName,
  spotting: Need,
  seconds: number,
  places: number,
  sayFirst: string,
  more?: { after?: string; higher?: true; signOff?: DrillData['signOff'] },
];

export const on = (apparatus: ApparatusName, rows: Row[]): DrillData[] =>
  rows.map(([name, skill, spotting, seconds, places, sayFirst, more]) => ({
    on: apparatus,
    name,
    skill,
    spotting,
    seconds,
    places,
    sayFirst,
    ...more,
  }));
