import { ceilOf, dividedBy, fraction, minus, ONE, sum, times } from '../../../cover/index.ts';
import type { Fraction } from '../../../cover/types.ts';
import type { PlanBlock, PlanStation } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { secondsLeft, setUpSecondsOf } from './changeover.ts';
import {
  atMost,
  type CheckedClass,
  counted,
  exact,
  type Finding,
  groupSize,
  SETTING,
  stationsIn,
  type Where,
  whose,
} from './finding.ts';
import type { Limits } from './limits.ts';
import { type Leg, turnsAt, turnsInCircuit } from './turns.ts';

/** What the children of one group get at a station, or in a circuit as a whole. */
export interface StationTurns {
  where: Where;
  /** Who come to it together. */
  athletes: number;
  /** How many can be on their turn at once. */
  places: number;
  /** The longest turn there, with the way back. */
  secondsATurn: number;
  /** How long it runs for them, once it is set up. */
  seconds: number;
  /** Whole turns each; rounds, in a circuit. */
  turnsEach: number;
  waiting: number;
  waitingShare: Fraction;
  waitSeconds: Fraction;
}

type Drills = ReadonlyMap<string, Drill>;

/** Those who come to a block together, and how long it takes them to change over to it. */
export interface Coming {
  athletes: number;
  setUpSeconds: number;
}

/** The largest group of a class, with its set-up. */
const comingOf = (one: CheckedClass, limits: Limits): Coming => ({
  athletes: groupSize(one),
  setUpSeconds: setUpSecondsOf(one, limits),
});

/**
 * Turns and waiting of a block for so many, in what `setUpSeconds` leave of it: side by side, they spread evenly over the
 * stations; in turn, all come to each; a circuit goes at its slowest station. Where several drills are done at a station, the longest turn and the
 * fewest places of its core steps count. Nothing for a block in which everybody moves at once: in a circle.
 */
export function turnsIn(
  block: PlanBlock,
  b: number,
  drills: Drills,
  { athletes, setUpSeconds }: Coming,
): StationTurns[] {
  if (block.formation === 'circle' || athletes < 1) return [];
  const legs = stationsIn([block]).flatMap(({ station, where: { names } }, s) => {
    const leg = legOf(station, drills);
    return leg ? [{ ...leg, where: { pointer: `/blocks/${b}/stations/${s}`, names } }] : [];
  });
  const [first] = legs;
  if (!first) return [];
  const seconds = secondsLeft(block, setUpSeconds);
  if (block.formation === 'circuit' && legs.length > 1) {
    const { turnsEach, share, seconds: wait } = turnsInCircuit(athletes, legs, seconds);
    return [
      {
        where: { pointer: `/blocks/${b}`, names: [block.title] },
        athletes,
        places: legs.reduce((all, { places }) => all + places, 0),
        secondsATurn: Math.max(...legs.map(({ secondsATurn }) => secondsATurn)),
        seconds,
        turnsEach,
        waiting: waitingOf(athletes, share),
        waitingShare: share,
        waitSeconds: wait,
      },
    ];
  }
  const inTurn = block.stationsRun === 'in-turn';
  const here = inTurn ? athletes : Math.ceil(athletes / legs.length);
  const each = inTurn ? Math.floor(seconds / legs.length) : seconds;
  return legs.map(({ where, places, secondsATurn }) => {
    const { turnsEach, share, seconds: wait } = turnsAt({ athletes: here, places, secondsATurn, seconds: each });
    return {
      where,
      athletes: here,
      places,
      secondsATurn,
      seconds: each,
      turnsEach,
      waiting: waitingOf(here, share),
      waitingShare: share,
      waitSeconds: wait,
    };
  });
}

/** At any moment, the last of a child made whole. */
const waitingOf = (athletes: number, share: Fraction): number => ceilOf(times(fraction(athletes), share));

function legOf({ places, steps }: PlanStation, drills: Drills): Leg | null {
  const core = steps.filter(({ weight }) => weight === 'core');
  const done = (core.length > 0 ? core : steps).flatMap(({ drillIds }) =>
    drillIds.flatMap((id) => drills.get(id) ?? []),
  );
  if (done.length === 0) return null;
  return {
    places: places ?? Math.min(...done.map((drill) => drill.places)),
    secondsATurn: Math.max(...done.map(({ secondsATurn }) => secondsATurn)),
  };
}

interface Waited {
  blocks: readonly PlanBlock[];
  drills: Drills;
  classes: readonly CheckedClass[];
  limits: Limits;
}

/** The turns of each station, for the largest group of all classes; of several, the one that changes over slowest. */
export function mostTurns({ blocks, drills, classes, limits }: Waited): StationTurns[] {
  const [largest] = classes
    .map((one) => comingOf(one, limits))
    .sort((a, b) => b.athletes - a.athletes || b.setUpSeconds - a.setUpSeconds);
  return largest ? blocks.flatMap((block, b) => turnsIn(block, b, drills, largest)) : [];
}

/** Where more children wait than is usual, for the groups of which classes. */
export function checkWaiting({ blocks, drills, classes, limits }: Waited): Finding[] {
  const { mostWaiting } = limits;
  return blocks.flatMap((block, b) => {
    const found = new Map<string, { worst: StationTurns; classes: CheckedClass[] }>();
    for (const one of classes) {
      for (const turns of turnsIn(block, b, drills, comingOf(one, limits))) {
        if (turns.waiting <= mostWaiting) continue;
        const known = found.get(turns.where.pointer);
        if (!known) found.set(turns.where.pointer, { worst: turns, classes: [one] });
        else {
          known.classes.push(one);
          if (turns.waiting > known.worst.waiting) known.worst = turns;
        }
      }
    }
    return [...found.values()].map(({ worst, classes: ours }): Finding => {
      const turns = block.formation === 'circuit' ? 'round' : 'turn';
      return {
        check: 'turns',
        about: 'waiting',
        severity: 'warn',
        where: [worst.where],
        number: exact(worst.waiting),
        limit: atMost(mostWaiting),
        unit: 'children',
        limitFrom: 'setting',
        source: SETTING,
        classes: ours,
        sentence: `${worst.waiting} of ${worst.athletes} wait at “${worst.where.names.at(-1)}”, with ${counted(worst.places, 'place')}, and each gets ${counted(worst.turnsEach, turns)}; at most ${mostWaiting} should wait: ${whose(ours)}.`,
      };
    });
  });
}

/** The share of a block, once it is set up, in which a child is not waiting for a turn: the mean of its stations. */
export function activeShare(block: PlanBlock, drills: Drills, athletes: number): Fraction {
  // The share does not depend on how long the block runs.
  const turns = turnsIn(block, 0, drills, { athletes, setUpSeconds: 0 });
  if (turns.length === 0) return ONE;
  return minus(ONE, dividedBy(sum(turns.map(({ waitingShare }) => waitingShare)), fraction(turns.length)));
}
