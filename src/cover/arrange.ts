import { compare, minus, plus, ZERO } from './fraction.ts';
import { type Choices, eachLargestMatching, sizeOf } from './matching.ts';
import { type Enrolled, type Moment, NOBODY, type Spot, type View } from './scene.ts';
import { askedBy, weigh } from './shares.ts';
import { spottersFor } from './spotters.ts';
import type { Cover, Fraction, Id, Rule } from './types.ts';
import { viewOf } from './view.ts';

export type Arrangement = { views: View[]; spotters: Cover['spotters'] };

type Tried = { arrangement: Arrangement; undone: Undone };

/** What one arrangement leaves undone; less is better, in this order. */
type Undone = { unspotted: number; failing: number; short: Fraction };
const NOTHING: Undone = { unspotted: 0, failing: 0, short: ZERO };

/**
 * What is tried of one moment: steps through the ways to spot, shared evenly by the ways to help. Six stations spotted by
 * hand among twelve who may spot them all stay below.
 */
export const MOST_STEPS = 3000;
const MOST_WAYS_TO_HELP = 200;

type Setting = { spot: Spot; moment: Moment; rules: readonly Rule[]; enrolled: Enrolled[] };

/**
 * Decides who helps whom one-to-one and who spots where, and leaves it on the spot. Among the largest matchings: fewest
 * stations unspotted, fewest failing `refuse` rules, least shortfall, then by ids. Of more than can be tried, the best of
 * the first ones.
 */
export function arrange(setting: Setting): Arrangement {
  const { spot } = setting;
  const children = spot.athletes.filter(({ support }) => support !== null);
  if (children.length === 0) return withSpotters(setting, MOST_STEPS).arrangement;

  children.sort((a, b) => (a.person < b.person ? -1 : 1));
  const choices = children.map((child) =>
    spot.staff.flatMap(({ staff }, i) => (child.support?.anyOf.includes(staff.person) ? [i] : [])),
  );
  const ways = waysToHelp(choices);
  const steps = Math.floor(MOST_STEPS / ways.length);
  let best: (Tried & { people: Pick<Spot, 'helpers' | 'helped' | 'handsOn'> }) | null = null;
  for (const taken of ways) {
    spot.helpers = new Set(taken.flatMap((person) => spot.staff[person]?.staff.person ?? []));
    spot.helped = new Set(children.filter((_, i) => taken[i] !== -1).map(({ person }) => person));
    const found = withSpotters(setting, steps);
    const { helpers, helped, handsOn } = spot;
    if (best === null || isLess(found.undone, best.undone)) best = { ...found, people: { helpers, helped, handsOn } };
    if (!isLess(NOTHING, best.undone)) break;
  }
  const { arrangement, people } = best as NonNullable<typeof best>; // there is always a way, if only to help nobody
  Object.assign(spot, people);
  return arrangement;
}

function waysToHelp(choices: Choices): number[][] {
  const ways: number[][] = [];
  eachLargestMatching({ choices, isMarked: () => false, steps: MOST_STEPS }, (taken) => {
    ways.push([...taken]);
    return ways.length === MOST_WAYS_TO_HELP;
  });
  return ways;
}

function withSpotters({ spot, moment, rules, enrolled }: Setting, steps: number): Tried {
  spot.handsOn = NOBODY;
  const views = rules.map((rule) => viewOf(rule, spot.unit, moment, [spot], enrolled));
  const { stations, people, choices } = spottersFor(spot, moment);
  if (stations.length === 0) return { arrangement: { views, spotters: [] }, undone: undoneIn(views, 0) };

  const isHandsOn = (slot: number) => stations[slot]?.spotting.mode === 'hands-on';
  const affected = views.filter(({ rule }) => rule.whileSpotting !== 'counts' && rule.bands.length > 0);
  const matters = affected.some(({ rule }) => rule.strength === 'refuse');
  const tried = new Map<string, Undone>();
  let chosen: number[] = [];
  let least: Undone | null = null;

  eachLargestMatching({ choices, isMarked: isHandsOn, steps }, (taken) => {
    const hands = taken.flatMap((person, slot) => (isHandsOn(slot) ? (people[person]?.staff.person ?? []) : []));
    const key = [...hands].sort().join('\n');
    if (tried.has(key)) return false;
    spotByHand(spot, hands, affected);
    const undone = undoneIn(views, stations.length - sizeOf(taken));
    tried.set(key, undone);
    if (least === null || isLess(undone, least)) {
      least = undone;
      chosen = [...taken];
    }
    return !matters || (undone.failing === 0 && undone.short.n === 0n);
  });

  const spotters = stations.flatMap(({ id }, slot) => {
    const person = people[chosen[slot] ?? -1]?.staff.person;
    return person === undefined ? [] : [{ station: id, person }];
  });
  const byHand = spotters.filter(({ station }) => isHandsOn(stations.findIndex(({ id }) => id === station)));
  spotByHand(
    spot,
    byHand.map(({ person }) => person),
    affected,
  );
  return { arrangement: { views, spotters }, undone: least ?? undoneIn(views, stations.length) };
}

function spotByHand(spot: Spot, hands: Id[], affected: View[]): void {
  if (hands.length === spot.handsOn.size && hands.every((person) => spot.handsOn.has(person))) return;
  spot.handsOn = new Set(hands);
  for (const view of affected) weigh(view);
}

function undoneIn(views: View[], unspotted: number): Undone {
  let failing = 0;
  let short = ZERO;
  for (const { rule, count } of views) {
    if (rule.strength !== 'refuse' || rule.bands.length === 0 || count.met) continue;
    failing += 1;
    short = plus(short, minus(askedBy(rule, count.load), count.counted));
  }
  return { unspotted, failing, short };
}

function isLess(a: Undone, b: Undone): boolean {
  return (a.unspotted - b.unspotted || a.failing - b.failing || compare(a.short, b.short)) < 0;
}
