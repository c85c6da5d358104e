import type { Floor, Rule, Test } from '../../cover/types.ts';

/** Of a station and a person, while stations are matched with spotters. */
const MATCHING = 4;

/**
 * About how many steps it takes to judge a made-up floor once, never much less than it does: what each rule looks at,
 * times the ways in which helpers, spotters and supervisors can be shared out. Real halls take some thousands; rules and
 * floors can be made up that would take for ever.
 */
export function stepsFor(floor: Floor): number {
  const looks = floor.rules.reduce((sum, rule) => sum + looksOf(rule, floor), 1);
  const stations = floor.blocks.reduce((sum, block) => sum + block.stations.length, 0);
  const matching = MATCHING * stations * stations * floor.staff.length;
  return (looks * waysToSpot(floor) + matching) * waysToHelp(floor);
}

function looksOf({ bands, counts, floors, caps, supervision, mixed }: Rule, { staff, athletes }: Floor): number {
  const people = staff.length;
  const weight = (test: Test | null): number => {
    switch (test?.test) {
      case undefined:
        return 0;
      case 'supervised':
        return 1 + people * weight(test.by);
      case 'older-than-athletes':
        return 1 + athletes.length;
      case 'all':
      case 'any':
        return test.of.reduce((sum, part) => sum + weight(part), 1);
      default:
        return 1;
    }
  };
  const limits = bands.flatMap((band) => band.limits);
  const posts = floors.flatMap((floor) => floor.posts);
  const places = posts.reduce((sum, post) => sum + post.people, 0);
  const tests = [
    ...limits.map(({ when }) => when),
    ...counts.map(({ who }) => who),
    ...posts.map(({ who }) => who),
    ...supervision.flatMap(({ supervisor, anyOf }) => [supervisor, ...anyOf.flat().map(({ who }) => who)]),
  ].reduce((sum, test) => sum + weight(test), 1);
  const rows = mixed.method === 'composition' ? mixed.rows.length : 1;
  const mixes = supervision.reduce((sum, { anyOf }) => sum + anyOf.length, 0);
  return (
    athletes.length * (1 + bands.length + caps.length + rows) +
    people * (tests + places * places) +
    (mixes > 0 ? people * people * (tests + mixes ** people) : 0)
  );
}

/** Sets of hands: they are told apart only where a rule counts somebody less while they spot. */
function waysToSpot({ rules, blocks, staff }: Floor): number {
  if (rules.every(({ whileSpotting }) => whileSpotting === 'counts')) return 1;
  const needs = blocks
    .flatMap(({ stations }) => stations)
    .flatMap(({ spotting }) => (spotting.mode === 'hands-on' ? [spotting] : []));
  const able = staff.filter(({ holds }) =>
    needs.some(({ kind, grade }) => holds.some((held) => held.kind === kind && held.grade >= grade)),
  );
  return setsOf(able.length, needs.length);
}

function waysToHelp({ athletes }: Floor): number {
  const children = athletes.flatMap(({ support }) => (support === null ? [] : [support.anyOf]));
  const helpers = new Set(children.flat()).size;
  return setsOf(helpers, children.length) * setsOf(children.length, Math.max(0, children.length - helpers));
}

/** How many sets of at most so many can be taken from n. */
function setsOf(n: number, most: number): number {
  let [sets, ofThisSize] = [1, 1];
  for (let size = 1; size <= Math.min(n, most); size += 1) {
    ofThisSize = (ofThisSize * (n - size + 1)) / size;
    sets += ofThisSize;
  }
  return sets;
}
