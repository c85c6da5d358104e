import type { GymKey, ProgrammeKey } from './place.ts';
import type { StaffKey } from './staff.ts';

/** Somebody at every block of their group, unless `except` says otherwise. */
export interface Post {
  who: StaffKey;
  duty: 'lead' | 'assist' | 'shadow';
}

export interface ClassData {
  key: string;
  gym: GymKey;
  name: string;
  programme: ProgrammeKey;
  /** 1 is Monday. */
  weekday: number;
  time: string;
  minutes: number;
  capacity: number;
  athletes: number;
  /** A list of posts for each group. */
  groups: Post[][];
}

const lead = (who: StaffKey): Post => ({ who, duty: 'lead' });
const assist = (who: StaffKey): Post => ({ who, duty: 'assist' });
const shadow = (who: StaffKey): Post => ({ who, duty: 'shadow' });

const of = {
  toddlers: { programme: 'toddlers', minutes: 45, capacity: 8 },
  preschool: { programme: 'preschool', minutes: 45, capacity: 12 },
  recreational: { programme: 'recreational', minutes: 60, capacity: 20 },
  development: { programme: 'development', minutes: 90, capacity: 12 },
} as const;

export const CLASSES: ClassData[] = [
  {
    ...of.recreational,
    key: 'q-mon-rec',
    gym: 'quillmere',
    name: 'Monday recreational',
    weekday: 1,
    time: '16:30',
    athletes: 14,
    groups: [
      [lead('iris'), assist('dalia')],
      [lead('joss'), shadow('wren')],
    ],
  },
  {
    ...of.preschool,
    key: 'q-tue-pre',
    gym: 'quillmere',
    name: 'Tuesday preschool',
    weekday: 2,
    time: '16:00',
    athletes: 10,
    groups: [[lead('nadia')], [lead('owen')]],
  },
  {
    ...of.development,
    key: 'q-wed-dev',
    gym: 'quillmere',
    name: 'Wednesday development',
    weekday: 3,
    time: '17:00',
    athletes: 7,
    groups: [[lead('tobin'), assist('sami')]],
  },
  {
    ...of.recreational,
    key: 'q-thu-rec',
    gym: 'quillmere',
    name: 'Thursday recreational',
    weekday: 4,
    time: '16:30',
    athletes: 12,
    groups: [[lead('iris'), assist('mateo')]],
  },
  {
    ...of.toddlers,
    key: 'q-sat-pc',
    gym: 'quillmere',
    name: 'Saturday parent and child',
    weekday: 6,
    time: '09:30',
    athletes: 6,
    groups: [[lead('nadia')]],
  },
  {
    ...of.recreational,
    key: 'b-mon-rec',
    gym: 'brandle',
    name: 'Monday recreational',
    weekday: 1,
    time: '17:00',
    athletes: 10,
    groups: [[lead('ansel')]],
  },
  {
    ...of.preschool,
    key: 'b-tue-pre',
    gym: 'brandle',
    name: 'Tuesday morning preschool',
    weekday: 2,
    time: '10:00',
    athletes: 11,
    groups: [[lead('ruth'), assist('lior')], [lead('bea')]],
  },
  {
    ...of.development,
    key: 'b-thu-dev',
    gym: 'brandle',
    name: 'Thursday development',
    weekday: 4,
    time: '17:00',
    athletes: 6,
    groups: [[lead('colm'), assist('freya')]],
  },
  {
    ...of.toddlers,
    key: 'b-sat-pc',
    gym: 'brandle',
    name: 'Saturday parent and child',
    weekday: 6,
    time: '09:00',
    athletes: 5,
    groups: [[lead('ruth')]],
  },
  {
    ...of.recreational,
    key: 'b-sat-rec',
    gym: 'brandle',
    name: 'Saturday recreational',
    weekday: 6,
    time: '10:30',
    athletes: 8,
    groups: [[lead('bea')]],
  },
  {
    ...of.recreational,
    key: 'p-tue-rec',
    gym: 'pellowick',
    name: 'Tuesday recreational',
    weekday: 2,
    time: '16:30',
    athletes: 12,
    groups: [[lead('arlo'), assist('elsie')], [lead('piotr')]],
  },
  {
    ...of.development,
    key: 'p-wed-dev',
    gym: 'pellowick',
    name: 'Wednesday development',
    weekday: 3,
    time: '17:30',
    athletes: 7,
    groups: [[lead('gwen'), assist('arlo')]],
  },
  {
    ...of.preschool,
    key: 'p-fri-pre',
    gym: 'pellowick',
    name: 'Friday preschool',
    weekday: 5,
    time: '16:00',
    athletes: 6,
    groups: [[lead('sunita')]],
  },
  {
    ...of.toddlers,
    key: 'p-sat-pc',
    gym: 'pellowick',
    name: 'Saturday parent and child',
    weekday: 6,
    time: '10:00',
    athletes: 6,
    groups: [[lead('sunita')]],
  },
];

/** Places that are still open next week, for something to look at: a class, a plan block, and who is not there. */
export const OPEN_NEXT_WEEK: { class: string; title: string; who: StaffKey; because: string | null }[] = [
  { class: 'q-thu-rec', title: 'Vault', who: 'mateo', because: null },
  {
    class: 'b-tue-pre',
    title: 'Beam',
    who: 'lior',
    because:
      'Lior has to leave for a course half-way. The sixth child is the eldest and does the beam with the group every week; accepted for this one block.',
  },
];

/** A rehearsal some weeks ahead with one coach, and one child's helper, so far: what the first request to try is about. */
export const REHEARSAL = {
  name: 'Display rehearsal',
  gym: 'quillmere',
  programme: 'recreational',
  weeksAhead: 10,
  weekday: 6,
  time: '13:00',
  minutes: 60,
  capacity: 20,
  /** Whoever is in this class. */
  athletesOf: 'q-mon-rec',
  /** Who is placed so far. */
  posts: [lead('joss'), assist('dalia')],
  /** The week whose plan it follows. */
  planOfWeek: 3,
  /** The plan block to try to confirm. */
  title: 'Bars',
} as const satisfies Omit<ClassData, 'key' | 'groups' | 'athletes'> & Record<string, unknown>;

/**
 * Classes to catch up in, today alone: one that runs when the demo is loaded, and one that is over by then. Both coaches
 * of the first were to come, and one has not: more children than one of them may have.
 */
export const CATCH_UP = {
  running: 'Catch-up class',
  before: 'Early catch-up class',
  gym: 'quillmere',
  programme: 'recreational',
  minutes: 60,
  capacity: 12,
  children: 11,
  /** The planned break between the two. */
  minutesBetween: 5,
  lead: 'mara',
  /** Whoever has no class that day. */
  assist: (weekday: number): StaffKey => (weekday === 3 ? 'joss' : 'tobin'),
  athletesOf: (weekday: number): string => (weekday === 1 ? 'q-thu-rec' : 'q-mon-rec'),
} as const;
