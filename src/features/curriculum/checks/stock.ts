import type { PlanBlock, PlanStation } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { atMost, by, type CheckedClass, counted, exact, type Finding, stationsIn, type Where } from './finding.ts';

/** So much of one kind; the first of `choices` is what is meant, later ones will do instead. */
interface Need {
  where: Where;
  choices: { apparatusId: string; amount: number }[];
}

/** A class in the plan's week: when it has the hall, and what its plan asks for. */
export interface Lesson {
  weekday: number;
  /** Minutes of its day, half-open. */
  from: number;
  to: number;
  /** How many blocks go on at once: one a group. */
  groups: number;
  /** What each of its blocks needs. */
  blocks: Need[][];
  /** Where it is taught from the plan that is checked. */
  ours: CheckedClass | null;
}

/** A gym with its stock and all its lessons of the week. */
export interface StockedGym {
  name: string;
  stock: ReadonlyMap<string, { items: number; inUse: number }>;
  lessons: readonly Lesson[];
}

/** What each block needs at once: of stations side by side all; of stations in turn the one that needs most, kind by kind. */
export function needsOf(blocks: readonly PlanBlock[], drills: ReadonlyMap<string, Drill>): Need[][] {
  return blocks.map((block, b) => {
    const needs = stationsIn([block]).map(({ station, where }, s) =>
      needsAt(station, drills, { ...where, pointer: `/blocks/${b}/stations/${s}` }),
    );
    if (block.stationsRun === 'side-by-side') return needs.flat();
    const most = new Map<string, Need>();
    for (const need of needs.flatMap(summed)) {
      const known = most.get(need.choices[0]?.apparatusId ?? '');
      if (!known || amountOf(known) < amountOf(need)) most.set(need.choices[0]?.apparatusId ?? '', need);
    }
    return [...most.values()];
  });
}

const amountOf = ({ choices }: Need): number => choices[0]?.amount ?? 0;

/** One need a kind. */
function summed(needs: readonly Need[]): Need[] {
  const sums = new Map<string, Need>();
  for (const need of needs) {
    const [first, ...instead] = need.choices;
    if (!first) continue;
    const known = sums.get(first.apparatusId);
    const amount = first.amount + (known ? amountOf(known) : 0);
    sums.set(first.apparatusId, { where: need.where, choices: [{ ...first, amount }, ...(known ? [] : instead)] });
  }
  return [...sums.values()];
}

/** The apparatus itself, the pieces of the set-up, and what its drills need beyond those. */
function needsAt({ apparatusId, items, setUp, steps }: PlanStation, drills: ReadonlyMap<string, Drill>, where: Where) {
  const needs: Need[] = [{ where, choices: [{ apparatusId, amount: items }] }];
  for (const piece of setUp.pieces) {
    needs.push({ where, choices: [{ apparatusId: piece.apparatusId, amount: piece.amount }, ...piece.orInstead] });
  }
  const setOut = new Set(needs.flatMap(({ choices }) => choices.map((one) => one.apparatusId)));
  const asked = new Map<string, number>();
  for (const id of steps.flatMap(({ drillIds }) => drillIds)) {
    for (const { apparatusId: kind, amount } of drills.get(id)?.equipment ?? []) {
      if (!setOut.has(kind)) asked.set(kind, Math.max(asked.get(kind) ?? 0, amount));
    }
  }
  return [...needs, ...[...asked].map(([kind, amount]) => ({ where, choices: [{ apparatusId: kind, amount }] }))];
}

/**
 * What a lesson may have out at once where it matters for a kind: with one group each block by itself, with several as
 * many blocks as there are groups, those that need most of it.
 */
function setsOf({ blocks, groups }: Lesson, kind: string): Need[][] {
  if (groups === 1) return blocks;
  return [
    blocks
      .toSorted((a, b) => amountIn(b, kind) - amountIn(a, kind))
      .slice(0, groups)
      .flat(),
  ];
}

/** The most of a kind that a lesson may have out at once. */
const demandOf = (lesson: Lesson, kind: string): number =>
  Math.max(0, ...setsOf(lesson, kind).map((needs) => amountIn(needs, kind)));

const amountIn = (needs: readonly Need[], kind: string): number =>
  needs.reduce((sum, { choices: [first] }) => (first?.apparatusId === kind ? sum + first.amount : sum), 0);

/**
 * Is there enough in use of everything that the plan's classes need, with all other classes of the gym at that hour? One
 * finding a gym and kind, at its worst hour. What has something to do instead, of which enough is left over, is no
 * finding.
 */
export function checkStock(gyms: readonly StockedGym[], nameOf: (apparatusId: string) => string): Finding[] {
  return gyms.flatMap((gym) => {
    const mine = gym.lessons.filter(({ ours }) => ours !== null);
    const kinds = new Set(
      mine.flatMap(({ blocks }) => blocks.flat().flatMap(({ choices: [first] }) => first?.apparatusId ?? [])),
    );
    return [...kinds].flatMap((kind) => shortOf(gym, mine, kind, nameOf(kind)));
  });
}

/** A set of the plan's blocks at an hour at which the gym has not enough for it. */
interface Short {
  ours: CheckedClass;
  /** How many other lessons need some of it then. */
  others: number;
  needed: number;
  needs: Need[];
}

function shortOf(gym: StockedGym, mine: readonly Lesson[], kind: string, what: string): Finding[] {
  const { items, inUse } = gym.stock.get(kind) ?? { items: 0, inUse: 0 };
  const short = hours(mine, gym.lessons).flatMap((hour) => hour.flatMap((lesson) => shortAt(gym, hour, lesson, kind)));
  const [worst] = short.toSorted((a, b) => b.needed - a.needed);
  if (!worst) return [];
  const broken = items - inUse;
  const { name, startsAt, day } = worst.ours;
  const pointers = by(
    short.flatMap(({ needs }) => needs.filter((need) => need.choices[0]?.apparatusId === kind)),
    ({ where }) => where.pointer,
  );
  return [
    {
      check: 'equipment',
      about: 'stock',
      severity: 'warn',
      where: pointers.flatMap(([first]) => first?.where ?? []),
      number: exact(worst.needed),
      limit: atMost(inUse),
      unit: 'items',
      limitFrom: 'gym-stock',
      source: 'What stands in the gym’s areas, less what is out of use.',
      classes: [...new Set(short.map(({ ours }) => ours))],
      sentence: `${worst.needed} of “${what}” are needed at once (“${name}”, ${startsAt} on ${day}${worst.others > 0 ? `, with ${counted(worst.others, 'other class', 'other classes')}` : ''}); ${gym.name} has ${inUse} in use${broken > 0 ? ` and ${broken} out of use` : ''}.`,
    },
  ];
}

/** What is needed of a kind by one of the plan's lessons, beside all that is on with it, and neither there nor made up. */
function shortAt({ stock }: StockedGym, hour: readonly Lesson[], lesson: Lesson, kind: string): Short[] {
  const { ours } = lesson;
  if (ours === null) return [];
  const others = hour.filter((one) => one !== lesson);
  const elsewhere = (what: string) => others.reduce((sum, one) => sum + demandOf(one, what), 0);
  const leftOf = (what: string) => (stock.get(what)?.inUse ?? 0) - elsewhere(what);
  return setsOf(lesson, kind).flatMap((needs) => {
    const amount = amountIn(needs, kind);
    const missing = amount - leftOf(kind);
    if (amount === 0 || missing <= 0 || isMadeUp(needs, kind, missing, leftOf)) return [];
    return [
      { ours, others: others.filter((one) => demandOf(one, kind) > 0).length, needed: amount + elsewhere(kind), needs },
    ];
  });
}

/** The lessons that are on together, at each moment at which one begins while one of the plan's is on. */
function hours(mine: readonly Lesson[], lessons: readonly Lesson[]): Lesson[][] {
  const isOn = (lesson: Lesson, weekday: number, at: number) =>
    lesson.weekday === weekday && lesson.from <= at && at < lesson.to;
  const seen = new Set<string>();
  return lessons.flatMap(({ weekday, from }) => {
    const moment = `${weekday} ${from}`;
    if (seen.has(moment) || !mine.some((lesson) => isOn(lesson, weekday, from))) return [];
    seen.add(moment);
    return [lessons.filter((lesson) => isOn(lesson, weekday, from))];
  });
}

/** Can what is missing be made up by what the plan says will do instead, the better first, as far as that is left over? */
function isMadeUp(needs: readonly Need[], kind: string, missing: number, leftOf: (what: string) => number): boolean {
  const spent = new Map<string, number>();
  const spare = (what: string) => leftOf(what) - amountIn(needs, what) - (spent.get(what) ?? 0);
  let short = missing;
  for (const { choices } of needs) {
    const [first, ...instead] = choices;
    if (short <= 0 || first?.apparatusId !== kind) continue;
    const other = instead.find(({ apparatusId, amount }) => spare(apparatusId) >= amount);
    if (!other) continue;
    spent.set(other.apparatusId, (spent.get(other.apparatusId) ?? 0) + other.amount);
    short -= first.amount;
  }
  return short <= 0;
}
