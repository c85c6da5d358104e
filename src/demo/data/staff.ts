import type { SkillName } from './drill.ts';
import type { GymKey, KindKey } from './place.ts';

/** Held since some years ago; `ends` is in days after this week's Monday (negative: it has lapsed), left out: no end. */
export interface Holding {
  kind: KindKey;
  grade: number;
  ends?: number;
}

export interface StaffData {
  given: string;
  family: string;
  age: number;
  gyms: [GymKey, ...GymKey[]];
  holds: Holding[];
}

const certificate = (grade: number, ends?: number): Holding => holding('coaching', grade, ends);
const spotting = (grade: number): Holding => holding('spotting', grade);
const firstAid = (ends = 500): Holding => holding('firstAid', 1, ends);
const check = (ends = 700): Holding => holding('check', 1, ends);
const holding = (kind: KindKey, grade: number, ends?: number): Holding =>
  ends === undefined ? { kind, grade } : { kind, grade, ends };

/** A grown-up coach in good standing. */
const coach = (grade: number, spots: number): Holding[] => [certificate(grade), spotting(spots), firstAid(), check()];
/** Old enough to assist. */
const assistant = (): Holding[] => [certificate(1), spotting(1)];

export const STAFF = {
  mara: { given: 'Mara', family: 'Elderquay', age: 46, gyms: ['quillmere'], holds: coach(3, 3) },
  tobin: { given: 'Tobin', family: 'Larkmantle', age: 38, gyms: ['quillmere'], holds: coach(3, 3) },
  iris: { given: 'Iris', family: 'Birkwren', age: 29, gyms: ['quillmere'], holds: coach(2, 2) },
  joss: { given: 'Joss', family: 'Kelpmantle', age: 24, gyms: ['quillmere'], holds: coach(2, 2) },
  nadia: { given: 'Nadia', family: 'Hallowquay', age: 33, gyms: ['quillmere'], holds: coach(2, 1) },
  owen: { given: 'Owen', family: 'Thistlegarth', age: 21, gyms: ['quillmere'], holds: coach(2, 1) },
  /** Her certificate lapsed three weeks ago. */
  petra: {
    given: 'Petra',
    family: 'Mosswren',
    age: 41,
    gyms: ['quillmere'],
    holds: [certificate(2, -21), spotting(2), firstAid(), check()],
  },
  sami: { given: 'Sami', family: 'Underquay', age: 17, gyms: ['quillmere'], holds: assistant() },
  /** A trainee, there to learn. */
  wren: { given: 'Wren', family: 'Fennmantle', age: 15, gyms: ['quillmere'], holds: [] },
  /** One-to-one helper. */
  dalia: {
    given: 'Dalia',
    family: 'Rushgarth',
    age: 35,
    gyms: ['quillmere'],
    holds: [certificate(1), firstAid(), check()],
  },
  /** At the front desk. */
  hugo: { given: 'Hugo', family: 'Saltwren', age: 52, gyms: ['quillmere'], holds: [firstAid(), check()] },
  mateo: { given: 'Mateo', family: 'Wexquay', age: 32, gyms: ['quillmere', 'brandle'], holds: coach(2, 2) },
  colm: { given: 'Colm', family: 'Ivermantle', age: 44, gyms: ['brandle'], holds: coach(3, 3) },
  bea: { given: 'Bea', family: 'Nettlequay', age: 31, gyms: ['brandle'], holds: coach(2, 2) },
  ansel: { given: 'Ansel', family: 'Pindergarth', age: 27, gyms: ['brandle'], holds: coach(2, 2) },
  ruth: { given: 'Ruth', family: 'Oakenwren', age: 36, gyms: ['brandle'], holds: coach(2, 1) },
  /** The check ends on Friday of next week. */
  lior: {
    given: 'Lior',
    family: 'Jessgarth',
    age: 22,
    gyms: ['brandle'],
    holds: [certificate(2), spotting(1), firstAid(), check(11)],
  },
  freya: { given: 'Freya', family: 'Dunwren', age: 19, gyms: ['brandle'], holds: assistant() },
  gwen: { given: 'Gwen', family: 'Vennmantle', age: 39, gyms: ['pellowick'], holds: coach(3, 2) },
  arlo: { given: 'Arlo', family: 'Yarrowquay', age: 30, gyms: ['pellowick'], holds: coach(2, 2) },
  sunita: { given: 'Sunita', family: 'Garrwren', age: 26, gyms: ['pellowick'], holds: coach(2, 1) },
  piotr: {
    given: 'Piotr',
    family: 'Cornmantle',
    age: 34,
    gyms: ['pellowick'],
    holds: [certificate(2), spotting(2), firstAid(-40), check()],
  },
  elsie: { given: 'Elsie', family: 'Ashquay', age: 18, gyms: ['pellowick'], holds: assistant() },
  /** The check lapsed last month, so no group to lead. */
  kofi: {
    given: 'Kofi',
    family: 'Birkgarth',
    age: 48,
    gyms: ['pellowick'],
    holds: [certificate(2), spotting(1), firstAid(), check(-30)],
  },
} as const satisfies Record<string, StaffData>;
export type StaffKey = keyof typeof STAFF;

/** Which skills somebody may spot, how far that was watched, and by whom where that is known. */
export const SIGN_OFFS: { who: StaffKey; skill: SkillName; level: 'watched' | 'helped' | 'alone'; by?: StaffKey }[] = [
  { who: 'tobin', skill: 'Back handspring', level: 'alone', by: 'mara' },
  { who: 'tobin', skill: 'Handstand flat-back', level: 'alone', by: 'mara' },
  { who: 'mara', skill: 'Back handspring', level: 'alone', by: 'tobin' },
  { who: 'mara', skill: 'Handstand flat-back', level: 'alone', by: 'tobin' },
  { who: 'colm', skill: 'Back handspring', level: 'alone' },
  { who: 'colm', skill: 'Handstand flat-back', level: 'alone' },
  { who: 'gwen', skill: 'Back handspring', level: 'helped' },
  { who: 'gwen', skill: 'Handstand flat-back', level: 'alone' },
];
