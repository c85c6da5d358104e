import { formatFraction, fraction } from '../../../cover/index.ts';
import type { Fraction } from '../../../cover/types.ts';
import type { PlanBlock, PlanStation } from '../plan-content-schema.ts';
import type { Range } from './limits.ts';

export const CHECKS = [
  'time',
  'order',
  'holds',
  'turns',
  'activity',
  'equipment',
  'size-fit',
  'spotting',
  'coverage',
] as const;
export type Check = (typeof CHECKS)[number];

/** What a finding's number counts. */
export const ABOUT = [
  'lesson-length',
  'block-length',
  'water',
  'warm-up',
  'pulse-raiser',
  'arm-heavy-apart',
  'cool-down-last',
  'hold',
  'waiting',
  'active-share',
  'stock',
  'size',
  'spotters',
  'spotters-of-classes-together',
  'kinds-of-spotter',
  'taught',
  'new-share',
  'test-interval',
] as const;
export type About = (typeof ABOUT)[number];

export const UNITS = [
  'minutes',
  'seconds',
  'children',
  'percent',
  'items',
  'cm',
  'coaches',
  'kinds',
  'drills',
  'weeks',
  'blocks',
] as const;
export type Unit = (typeof UNITS)[number];

/** Where a limit comes from: the franchise's settings, a published text, what was recorded, what is safe, the timetable, a gym's stock or staff, a drill, the term or focus. */
export const LIMITS_FROM = [
  'setting',
  'published',
  'recorded',
  'safety',
  'timetable',
  'gym-stock',
  'gym-staff',
  'drill',
  'plan',
] as const;
export type LimitFrom = (typeof LIMITS_FROM)[number];

/** Where in a version: a JSON Pointer into its content, and what the block, station and step there are called. */
export interface Where {
  pointer: string;
  names: string[];
}

/** A class that the plan is for, as it is in the plan's week. */
export interface CheckedClass {
  id: string;
  name: string;
  gymId: string;
  gymName: string;
  /** Its day in that week. */
  day: string;
  /** 1 is Monday. */
  weekday: number;
  /** Wall time. */
  startsAt: string;
  minutes: number;
  /** Enrolled that day; its capacity while nobody is. */
  athletes: number;
  /** How many groups it was laid out in last; 1 before it ever was. */
  groups: number;
  /** Of those enrolled whose day of birth is known: completed months, ascending. */
  months: number[];
  /** Of those enrolled who were measured lately: their age, where it is known, and their height in centimetres. */
  measured: { months: number | null; cm: number }[];
}

/** Numbers are exact fractions, as on the wire. */
export interface Finding {
  check: Check;
  about: About;
  severity: 'warn' | 'refuse';
  where: Where[];
  number: string;
  limit: { atLeast: string | null; atMost: string | null };
  unit: Unit;
  limitFrom: LimitFrom;
  source: string;
  /** Whom it is about; none: the plan itself. */
  classes: CheckedClass[];
  sentence: string;
}

export const SETTING = 'The franchise’s settings; as delivered: common practice, no source.';

/** A whole number or an exact fraction, as it travels. */
export const exact = (value: number | Fraction): string =>
  formatFraction(typeof value === 'number' ? fraction(value) : value);

export const atMost = (most: number | Fraction): Finding['limit'] => ({ atLeast: null, atMost: exact(most) });
export const atLeast = (least: number | Fraction): Finding['limit'] => ({ atLeast: exact(least), atMost: null });
export const within = ({ from, to }: Range): Finding['limit'] => ({ atLeast: exact(from), atMost: exact(to) });
export const isWithin = ({ from, to }: Range, value: number): boolean => from <= value && value <= to;

export const rangeWords = ({ from, to }: Range): string => (from === to ? String(from) : `${from} to ${to}`);

/** "1 minute", "2 minutes". */
export const counted = (count: number, one: string, many = `${one}s`): string => `${count} ${count === 1 ? one : many}`;

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'];
export const weekdayName = (weekday: number): string => WEEKDAYS[weekday - 1] ?? '';

const and = new Intl.ListFormat('en', { type: 'conjunction' });
/** The first of them, and how many more. */
export function listed(names: readonly string[], most = 6): string {
  const more = names.length - most;
  return and.format(more > 0 ? [...names.slice(0, most), `${more} more`] : names);
}

/** The first two of them by name, and how many more. */
export const whose = (classes: readonly CheckedClass[]): string =>
  listed(
    classes.map(({ name, gymName, weekday }) => `“${name}” (${gymName}, ${weekdayName(weekday)})`),
    2,
  );

/** Completed years of the one in the middle; null where no day of birth is known. */
export function yearsOf({ months }: Pick<CheckedClass, 'months'>): number | null {
  const middle = months[Math.floor(months.length / 2)];
  return middle === undefined ? null : Math.floor(middle / 12);
}

/** How many move together: the class spread evenly over its groups, the larger group where it does not come out even. */
export const groupSize = ({ athletes, groups }: CheckedClass): number => Math.ceil(athletes / groups);

export const whereBlock = (block: PlanBlock, b: number): Where => ({ pointer: `/blocks/${b}`, names: [block.title] });

/** A station where it stands in the plan. */
export interface Placed {
  station: PlanStation;
  block: PlanBlock;
  /** The block's index. */
  b: number;
  where: Where;
}

export const stationsIn = (blocks: readonly PlanBlock[]): Placed[] =>
  blocks.flatMap((block, b) =>
    block.stations.map((station, s) => ({
      station,
      block,
      b,
      where: { pointer: `/blocks/${b}/stations/${s}`, names: [block.title, station.name] },
    })),
  );

/** Values by a key, in the order in which the keys first came. */
export function by<T>(values: readonly T[], keyOf: (value: T) => string): T[][] {
  const groups = new Map<string, T[]>();
  for (const value of values) {
    const key = keyOf(value);
    const group = groups.get(key);
    if (group) group.push(value);
    else groups.set(key, [value]);
  }
  return [...groups.values()];
}
