/** The judge on athletes: whose band, which limit, and the load under each way of mixing ages. */
import type { Band, Fraction, Id } from '../../src/cover/types.ts';
import {
  ceilingOf,
  type Head,
  inOrder,
  isPast,
  larger,
  less,
  over,
  plus,
  smaller,
  total,
  type View,
  whole,
  within,
} from './judge-facts.ts';
import { isLedBy } from './judge-people.ts';

const hasAges = (band: Band): boolean => band.from !== null || band.to !== null;

/** The first band whose trait, ages and category all fit. */
export function bandOf(view: View, head: Head): Band | null {
  const { rule, floor, day, moment } = view;
  const { born } = head;
  if (born === null && rule.bands.some(hasAges)) return null;
  const traits = (head.athlete?.traits ?? [])
    .filter(({ spans }) => spans === null || spans.some((span) => within(moment, span)))
    .map(({ trait }) => trait);
  const { category } = head;
  const isNamed = rule.bands.some((band) => band.category !== null && band.category === category);
  const fits = (band: Band): boolean =>
    (band.trait === null || traits.includes(band.trait)) &&
    (band.category === null || !isNamed || band.category === category) &&
    (born === null ||
      ((band.from === null || isPast(band.from, born, day, floor.leapDay)) &&
        (band.to === null || !isPast(band.to, born, day, floor.leapDay))));
  return rule.bands.find(fits) ?? null;
}

/** Athletes per coach in this band, read at this athlete's own block; where no row fits, the strictest of them. */
export function limitOf(view: View, band: Band, head: Head): Fraction {
  const size = view.heads.filter((other) => other.block === head.block).length;
  const row = band.limits.find(
    (one) =>
      (one.upToGroup === null || size <= one.upToGroup) && (one.when === null || isLedBy(view, head.block, one.when)),
  );
  return row?.athletesPerCoach ?? band.limits.map((one) => one.athletesPerCoach).reduce(smaller);
}

type Item = { band: Band | null; weight: Fraction; limit: Fraction };

/** Athletes as a load sees them: a family in a band that counts families is one, at its heaviest and tightest. */
function items(view: View, heads: Head[], limitFor: (head: Head) => Fraction): Item[] {
  const families = new Map<string, Item>();
  const all: Item[] = [];
  for (const head of heads) {
    const band = bandOf(view, head);
    const item = { band, weight: head.athlete?.countsAs ?? whole(1), limit: limitFor(head) };
    const family = head.athlete?.family ?? null;
    if (band === null || band.countBy === 'athlete' || family === null) {
      all.push(item);
      continue;
    }
    const key = JSON.stringify([band.id, family]);
    const known = families.get(key);
    families.set(key, {
      band,
      weight: known ? larger(known.weight, item.weight) : item.weight,
      limit: known ? smaller(known.limit, item.limit) : item.limit,
    });
  }
  return [...all, ...families.values()];
}

const loadOf = (list: Item[]): Fraction => total(list.map((one) => over(one.weight, one.limit)));

/** Whole coaches, youngest first; a set is closed when the next does not fit. */
function filled(view: View, list: Item[]): Fraction {
  const place = (one: Item): number => view.rule.bands.findIndex((band) => band.id === one.band?.id);
  const waiting = [...list].sort(
    (a, b) =>
      place(a) - place(b) ||
      (less(a.limit, b.limit) ? -1 : less(b.limit, a.limit) ? 1 : 0) ||
      (less(b.weight, a.weight) ? -1 : less(a.weight, b.weight) ? 1 : 0),
  );
  let load = whole(0);
  while (waiting.length > 0) {
    const first = waiting.shift() as Item;
    let size = first.weight;
    for (let next = waiting[0]; next !== undefined; next = waiting[0]) {
      if (less(first.limit, plus(size, next.weight))) break;
      size = plus(size, next.weight);
      waiting.shift();
    }
    const part = over(size, first.limit);
    load = plus(load, waiting.length > 0 ? larger(whole(1), part) : part);
  }
  return load;
}

/** Not of a band without limits: the rule asks nothing for those. */
const asks = (view: View, head: Head): boolean => bandOf(view, head)?.limits.length !== 0;

/** The band that governs everybody under `youngest`, `majority` and `composition`. */
function governing(view: View, basis: Head[]): Band | null {
  const { rule } = view;
  const mixed = basis.filter((head) => asks(view, head) && bandOf(view, head)?.mixes !== 'apart');
  const among = (band: Band): number => mixed.filter((head) => bandOf(view, head) === band).length;
  const there = rule.bands.filter((band) => band.mixes !== 'apart' && band.limits.length > 0 && among(band) > 0);
  const ruling = there.find((band) => band.mixes === 'rules');
  if (ruling) return ruling;
  if (rule.mixed.method === 'majority') {
    const most = Math.max(0, ...there.map(among));
    return there.find((band) => among(band) === most) ?? null;
  }
  if (rule.mixed.method === 'composition') {
    for (const { ifBand, atLeast, use } of rule.mixed.rows) {
      const count = mixed.filter((head) => bandOf(view, head)?.id === ifBand).length;
      const isEnough =
        'count' in atLeast
          ? count >= atLeast.count
          : mixed.length > 0 && !less(over(whole(count), whole(mixed.length)), atLeast.share);
      const used = rule.bands.find((band) => band.id === use);
      if (isEnough && used) return used;
    }
  }
  return there[0] ?? null;
}

/**
 * Those whose ages choose the governing band: the ones here, or the ones on the list of the blocks that the rule sees.
 * Who is on a list and not here is what the list says; of two lists, the one of the block that comes first by id.
 */
function basisOf(view: View, present: Head[]): Head[] {
  if (view.rule.agesOf === 'present') return present;
  const enrolled = view.floor.athletes.flatMap((athlete): Head[] => {
    const here = view.heads.find((head) => head.id === athlete.person);
    const lists = athlete.enrolled.filter((one) => view.blocks.some((block) => block.id === one.block));
    const [list] = lists.sort((a, b) => inOrder([a.block], [b.block]));
    if (list === undefined || here?.helped) return [];
    const { person, born } = athlete;
    const block = view.blocks.find((one) => one.id === list.block) ?? null;
    return [here ?? { id: person, born, athlete, category: list.category, block, helped: false }];
  });
  const helpers = present.filter((head) => head.athlete === null);
  return [...enrolled, ...helpers];
}

export type Load = { load: Fraction; needed: number; band: Id | null };

export function loadUnder(view: View): Load {
  const { rule } = view;
  const pool = view.heads.filter((head) => !head.helped);
  const own = (head: Head): Fraction => {
    const band = bandOf(view, head);
    return band === null ? whole(1) : limitOf(view, band, head);
  };
  const banded = items(
    view,
    pool.filter((head) => bandOf(view, head) !== null && asks(view, head)),
    own,
  );
  const apart = banded.filter((one) => one.band?.mixes === 'apart');
  const together = banded.filter((one) => one.band?.mixes !== 'apart');

  let load = whole(0);
  let band: Band | null = null;
  if (rule.mixed.method === 'proportional') load = loadOf(banded);
  else if (rule.mixed.method === 'fill') load = plus(filled(view, together), loadOf(apart));
  else if (rule.mixed.method === 'each-band') {
    const parts = rule.bands.map((one) => ceilingOf(loadOf(banded.filter((item) => item.band === one))));
    load = total(parts.map((part) => ({ n: part, d: 1n })));
  } else {
    band = governing(view, basisOf(view, pool)) ?? governing(view, pool);
    const governs = band;
    const divided = pool.filter((head) => asks(view, head) && bandOf(view, head)?.mixes !== 'apart');
    load = loadOf(apart);
    if (governs !== null && governs.limits.length > 0) {
      load = plus(load, loadOf(items(view, divided, (head) => limitOf(view, governs, head))));
    }
  }
  const needed = load.n > 0n ? Number(ceilingOf(load)) + rule.plus : 0;
  return { load, needed, band: band?.id ?? null };
}

/** The largest limit of anybody in the pool (the governing one for the bandless): the measure of a coach who spots by hand. */
export function largestLimit(view: View, governs: Id | null): Fraction | null {
  const limits = view.heads.flatMap((head) => {
    const band = bandOf(view, head) ?? view.rule.bands.find((one) => one.id === governs);
    return head.helped || band === undefined || band.limits.length === 0 ? [] : [limitOf(view, band, head)];
  });
  return limits.length === 0 ? null : limits.reduce(larger);
}
