import { type Choices, deficientSet, maySpot, type Spotted, type Spotting, type Staff } from '../../../cover/index.ts';
import type { PlanBlock, PlanStation } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { spottingKinds, spottingOf } from '../spotting.ts';
import {
  atLeast,
  atMost,
  by,
  type CheckedClass,
  counted,
  exact,
  type Finding,
  listed,
  stationsIn,
  type Where,
  weekdayName,
} from './finding.ts';
import type { Limits } from './limits.ts';

/** Somebody employed at a gym, with what they may spot. */
export type Spotter = Pick<Staff, 'person' | 'holds' | 'signedOff'>;

interface SpottedPlan {
  blocks: readonly PlanBlock[];
  drills: ReadonlyMap<string, Drill>;
  classes: readonly CheckedClass[];
  /** Who is employed there that day, and not known to be away. */
  staffOf: (one: CheckedClass) => readonly Spotter[];
  /** The plan's classes that are on at the same gym when this one begins, itself among them. */
  togetherWith: (one: CheckedClass) => readonly CheckedClass[];
  limits: Limits;
}

/** A station that needs its own spotter. */
interface Slot {
  where: Where;
  need: Spotted;
}

/** How short a class is: so many of its stations fall short together, and so many people could spot one of them. */
interface Short {
  one: CheckedClass;
  slots: Slot[];
  able: number;
}

/**
 * Before publishing: has each gym the staff to spot what is on at once, each station somebody of its own? With one group
 * the stations of a block side by side; with several, those of as many blocks as there are groups. Counted is who is
 * employed and qualified that day: who is available is not known before staff are placed. One finding for all gyms that
 * cannot; another for classes that could each by itself, but not at the same hour. A station that asks for two kinds of
 * spotter is refused.
 */
export function checkSpotting(plan: SpottedPlan): Finding[] {
  const refused = twoKinds(plan);
  const blocks = plan.blocks.map((block, b) => slotsOf(block, b, plan.drills));
  const alone = plan.classes.flatMap((one) => shortFor(plan, one, setsOf(blocks, one.groups)));
  const isShort = new Set(alone.map(({ one }) => one));
  const together = plan.classes.flatMap((one) => {
    const all = plan.togetherWith(one);
    if (all.length < 2 || all.some((other) => isShort.has(other))) return [];
    const sets = setsOf(
      blocks,
      all.reduce((sum, { groups }) => sum + groups, 0),
    );
    // As many classes as come to the same block at once ask for its stations as many times over.
    return shortFor(
      plan,
      one,
      sets.map((slots) => (all.every(({ groups }) => groups === 1) ? all.flatMap(() => slots) : slots)),
    );
  });
  return [...refused, ...told(plan, alone, 'spotters'), ...told(plan, together, 'spotters-of-classes-together')];
}

/** What of a block is spotted. */
interface SpottedBlock {
  slots: Slot[];
  inTurn: boolean;
}

const slotsOf = (block: PlanBlock, b: number, drills: SpottedPlan['drills']): SpottedBlock => ({
  inTurn: block.stationsRun === 'in-turn',
  slots: stationsIn([block]).flatMap(({ station, where: { names } }, s) => {
    const need = needOf(station, drills);
    return need.mode === 'none' ? [] : [{ where: { pointer: `/blocks/${b}/stations/${s}`, names }, need }];
  }),
});

/** As it was fixed at publication, or as its drills ask now. */
function needOf({ spotting, steps }: PlanStation, drills: SpottedPlan['drills']): Spotting {
  if (spotting === null) {
    const done = steps.flatMap(({ drillIds }) => drillIds.flatMap((id) => drills.get(id) ?? []));
    return spottingKinds(done).length > 1 ? { mode: 'none' } : spottingOf(done);
  }
  if (spotting.mode === 'none') return spotting;
  const { mode, kindId, grade, skills } = spotting;
  return { mode, kind: kindId, grade, skills: skills.map(({ skillId, level }) => ({ skill: skillId, level })) };
}

/** What is on at once: each block by itself, and as many as there are groups, those with most to spot; in turn, one by one. */
function setsOf(blocks: readonly SpottedBlock[], groups: number): Slot[][] {
  const oneByOne = blocks.flatMap(({ slots, inTurn }) => (inTurn ? slots.map((slot) => [slot]) : []));
  const atOnce = blocks.map(({ slots, inTurn }) => (inTurn ? slots.slice(0, 1) : slots));
  const most = atOnce.toSorted((a, b) => b.length - a.length).slice(0, groups);
  return [...atOnce, ...oneByOne, ...(groups > 1 ? [most.flat()] : [])].filter((slots) => slots.length > 0);
}

/** What falls short of each set, told once: not again in a larger set that it is part of. */
function shortFor({ staffOf, limits }: SpottedPlan, one: CheckedClass, sets: readonly Slot[][]): Short[] {
  const staff = staffOf(one);
  const days = { first: one.day, last: one.day };
  const short = sets.flatMap((slots) => {
    const able = slots.map(({ need }) => staff.flatMap((person, i) => (maySpot(person, days, need) ? [i] : [])));
    const lacking = deficientSet(manifold(slots, able, limits.handsOnStationsACoach));
    if (lacking.slots.length === 0) return [];
    const people = new Set(lacking.slots.flatMap((slot) => able[slot] ?? []));
    return [{ one, slots: lacking.slots.flatMap((slot) => slots[slot] ?? []), able: people.size }];
  });
  return short.filter((one, i) => !short.some((other, k) => k !== i && isTold(one, other, k < i)));
}

/** Whether the other says it already: part of what falls short here falls short by itself. */
function isTold({ slots }: Short, other: Short, cameFirst: boolean): boolean {
  const pointers = new Set(slots.map(({ where }) => where.pointer));
  const isPart = other.slots.every(({ where }) => pointers.has(where.pointer));
  return isPart && (other.slots.length < slots.length || (other.slots.length === slots.length && cameFirst));
}

/** Each person as often as they may have stations at once. */
const manifold = (slots: readonly Slot[], able: Choices, times: number): Choices =>
  slots.map((_, slot) => (able[slot] ?? []).flatMap((i) => Array.from({ length: times }, (_, k) => i * times + k)));

function told(
  plan: SpottedPlan,
  short: readonly Short[],
  about: 'spotters' | 'spotters-of-classes-together',
): Finding[] {
  return by(short, ({ slots }) => slots.map(({ where }) => where.pointer).join(' ')).flatMap((alike): Finding[] => {
    const [first] = alike;
    if (!first) return [];
    const needed = first.slots.length;
    const where = [...new Set(first.slots.map((slot) => slot.where))];
    const classes = alike.map(({ one }) => one);
    const all = new Set(plan.classes.map(({ gymId }) => gymId)).size;
    const gyms = by(alike, ({ one }) => one.gymId);
    const words = gyms.map(
      (ofGym) =>
        `${ofGym[0]?.one.gymName} on ${listed([...new Set(ofGym.map(({ one }) => one.weekday))].sort().map(weekdayName))} (${Math.min(...ofGym.map(({ able }) => able))} able)`,
    );
    const once = needed === 1 ? '' : ' at once, each with a coach of its own';
    const together = about === 'spotters' ? '' : ', with all classes that are on it at that hour';
    return [
      {
        check: 'spotting',
        about,
        severity: 'warn',
        where,
        number: exact(Math.min(...alike.map(({ able }) => able))),
        limit: atLeast(Math.ceil(needed / plan.limits.handsOnStationsACoach)),
        unit: 'coaches',
        limitFrom: 'gym-staff',
        source:
          'Who is employed and qualified at the gym that day; who is available is not known before staff are placed.',
        classes,
        sentence: `${gyms.length} of ${counted(all, 'gym')} cannot spot ${listed(where.map(({ names }) => `“${names.at(-1)}”`))}${once}${together}: ${listed(words)}.`,
      },
    ];
  });
}

/** One station, one kind of spotter: nobody could be told to hold two. */
function twoKinds({ blocks, drills }: SpottedPlan): Finding[] {
  return stationsIn(blocks).flatMap(({ station, where }): Finding[] => {
    const done = station.steps.flatMap(({ drillIds }) => drillIds.flatMap((id) => drills.get(id) ?? []));
    const kinds = spottingKinds(done).length;
    if (kinds < 2 || station.spotting !== null) return [];
    return [
      {
        check: 'spotting',
        about: 'kinds-of-spotter',
        severity: 'refuse',
        where: [where],
        number: exact(kinds),
        limit: atMost(1),
        unit: 'kinds',
        limitFrom: 'safety',
        source: 'A station is spotted by one coach, who holds the one kind of qualification it asks for.',
        classes: [],
        sentence: `“${station.name}” asks its spotter for ${kinds} kinds of qualification; split it into two stations.`,
      },
    ];
  });
}
