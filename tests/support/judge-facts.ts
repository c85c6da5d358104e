/**
 * The judge's plainest facts: exact numbers, days, ages by walking months, every way of pairing, and who stands where
 * at one moment. Slow on purpose, and apart from the engine: only its types are shared.
 */
import type {
  Athlete,
  Block,
  Day,
  Duty,
  Edge,
  Floor,
  Fraction,
  Id,
  Rule,
  Scope,
  Span,
  Staff,
  Unit,
} from '../../src/cover/types.ts';

export function fraction(n: bigint, d: bigint = 1n): Fraction {
  let [a, b] = [n < 0n ? -n : n, d < 0n ? -d : d];
  while (b !== 0n) [a, b] = [b, a % b];
  const sign = d < 0n ? -1n : 1n;
  return { n: (sign * n) / a, d: (sign * d) / a };
}
export const whole = (n: number): Fraction => fraction(BigInt(n));
export const plus = (a: Fraction, b: Fraction): Fraction => fraction(a.n * b.d + b.n * a.d, a.d * b.d);
export const minus = (a: Fraction, b: Fraction): Fraction => fraction(a.n * b.d - b.n * a.d, a.d * b.d);
export const times = (a: Fraction, b: Fraction): Fraction => fraction(a.n * b.n, a.d * b.d);
export const over = (a: Fraction, b: Fraction): Fraction => fraction(a.n * b.d, a.d * b.n);
export const less = (a: Fraction, b: Fraction): boolean => a.n * b.d < b.n * a.d;
export const smaller = (a: Fraction, b: Fraction): Fraction => (less(b, a) ? b : a);
export const larger = (a: Fraction, b: Fraction): Fraction => (less(a, b) ? b : a);
export const total = (all: Fraction[]): Fraction => all.reduce(plus, whole(0));
export const floorOf = (a: Fraction): bigint => (a.n >= 0n ? a.n / a.d : -((-a.n + a.d - 1n) / a.d));
export const ceilingOf = (a: Fraction): bigint => -floorOf({ n: -a.n, d: a.d });
export const written = (a: Fraction): string => (a.d === 1n ? `${a.n}` : `${a.n}/${a.d}`);

export const within = (moment: number, span: Span): boolean => span.from <= moment && moment < span.to;
export const onDays = (day: Day, days: { from: Day; to: Day | null }): boolean =>
  days.from <= day && (days.to === null || day < days.to);

/** The date on the gym's wall calendar at this moment. */
export function dayAt(floor: Floor, moment: number): Day {
  const parts = new Intl.DateTimeFormat('en', {
    timeZone: floor.zone,
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
  }).formatToParts(moment);
  const part = (type: string): string => parts.find((one) => one.type === type)?.value ?? '';
  return `${part('year')}-${part('month')}-${part('day')}`;
}

const two = (n: number): string => String(n).padStart(2, '0');

/** The day on which somebody has lived so many months: a day that month lacks is the next 1st, or that month's last. */
export function monthsAfter(born: Day, months: number, leapDay: Floor['leapDay']): Day {
  const sinceYearZero = Number(born.slice(0, 4)) * 12 + Number(born.slice(5, 7)) - 1 + months;
  const year = Math.floor(sinceYearZero / 12);
  const month = (sinceYearZero % 12) + 1;
  const day = Number(born.slice(8, 10));
  const lastDay = new Date(Date.UTC(year, month, 0)).getUTCDate();
  if (day <= lastDay) return `${year}-${two(month)}-${two(day)}`;
  if (leapDay === '02-28') return `${year}-${two(month)}-${two(lastDay)}`;
  return month === 12 ? `${year + 1}-01-01` : `${year}-${two(month + 1)}-01`;
}

/** Walks a year at a time, then a month at a time, until the next one is still ahead. */
export function completedMonths(born: Day, on: Day, leapDay: Floor['leapDay']): number {
  if (on < born) return -1;
  let months = 0;
  while (monthsAfter(born, months + 12, leapDay) <= on) months += 12;
  while (monthsAfter(born, months + 1, leapDay) <= on) months += 1;
  return months;
}

/** Has somebody born then passed this edge by that day? */
export function isPast(edge: Edge, born: Day, on: Day, leapDay: Floor['leapDay']): boolean {
  if ('months' in edge) return completedMonths(born, on, leapDay) >= edge.months;
  const birthday = monthsAfter(born, edge.afterBirthday * 12, leapDay);
  let year = Number(birthday.slice(0, 4));
  const date = (): Day => `${year}-${two(edge.firstOn.month)}-${two(edge.firstOn.day)}`;
  while (date() <= birthday) year += 1;
  return on >= date();
}

/** Every way to give each on the left nobody, or somebody who fits and whom no other has. */
export function everyPairing<L, R>(left: L[], right: R[], fits: (l: L, r: R) => boolean): (R | null)[][] {
  const [first, ...others] = left;
  if (first === undefined) return [[]];
  const choices: (R | null)[] = [null, ...right.filter((one) => fits(first, one))];
  return choices.flatMap((chosen) =>
    everyPairing(
      others,
      right.filter((one) => one !== chosen),
      fits,
    ).map((rest) => [chosen, ...rest]),
  );
}

export const paired = (pairing: unknown[]): number => pairing.filter((one) => one !== null).length;

export function largest<R>(pairings: (R | null)[][]): (R | null)[][] {
  const most = Math.max(...pairings.map(paired));
  return pairings.filter((one) => paired(one) === most);
}

/** For ties: a list of ids, those without anybody last. */
export const inOrder = (a: (Id | null)[], b: (Id | null)[]): number => {
  for (const [i, mine] of a.entries()) {
    const theirs = b[i] ?? null;
    if (mine === theirs) continue;
    if (mine === null) return 1;
    if (theirs === null) return -1;
    return mine < theirs ? -1 : 1;
  }
  return 0;
};

/** Somebody who has to be looked after: an athlete, or under some rules a young helper. */
export type Head = {
  id: Id;
  born: Day | null;
  athlete: Athlete | null;
  category: string | null; // of the place where they are, not of any other place of theirs that day
  block: Block | null;
  helped: boolean;
};
/** A staff member where they stand: at a block, over a session, or (neither) on the premises. */
export type Post = { staff: Staff; duty: Duty; block: Block | null; session: Id | null; helps: boolean };

function runningBlock(floor: Floor, id: Id, moment: number): Block | undefined {
  return floor.blocks.find((block) => block.id === id && within(moment, block.span));
}

/** One moment on the floor, once it is settled which child has which helper, and who spots by hand. */
export type Scene = { floor: Floor; moment: number; day: Day; helpers: Map<Id, Id>; handsOn: Id[] };

export function headsAt({ floor, moment, helpers }: Scene): Head[] {
  return floor.athletes.flatMap((athlete): Head[] => {
    const at = athlete.at.find((one) => within(moment, one.span));
    if (at === undefined) return [];
    const block = runningBlock(floor, at.unit.id, moment) ?? null;
    if (at.unit.per === 'block' && block === null) return [];
    const { person, born } = athlete;
    return [{ id: person, born, athlete, category: at.category, block, helped: helpers.has(person) }];
  });
}

export function postsAt({ floor, moment, helpers }: Scene): Post[] {
  const helping = [...helpers.values()];
  return floor.staff.flatMap((staff): Post[] => {
    const at = staff.at.find((one) => within(moment, one.span));
    if (at === undefined) return [];
    const block = at.unit.per === 'block' ? (runningBlock(floor, at.unit.id, moment) ?? null) : null;
    if (at.unit.per === 'block' && block === null) return [];
    const session = at.unit.per === 'session' ? at.unit.id : null;
    return [{ staff, duty: at.duty, block, session, helps: helping.includes(staff.person) }];
  });
}

const meets = (wanted: Id[] | undefined, there: Id[]): boolean =>
  wanted === undefined || there.some((id) => wanted.includes(id));

/** Somebody who waits on the premises, enrolled in no block of the day, is in no scope that names anything. */
function inScope(scope: Scope, block: Block | null): boolean {
  return (
    meets(scope.programme, block?.programmes ?? []) &&
    meets(scope.level, block?.levels ?? []) &&
    meets(scope.apparatus, block?.stations.map((station) => station.apparatus) ?? []) &&
    meets(scope.activity, block ? [block.activity] : []) &&
    meets(scope.area, block?.areas ?? [])
  );
}

/** What one rule sees of one unit at one moment. */
export type View = Scene & {
  rule: Rule;
  unit: Unit;
  blocks: Block[];
  heads: Head[];
  posts: Post[];
  everyPost: Post[]; // for what is in sight, beyond what the rule counts
};

export const isIn = (unit: Unit, block: Block): boolean =>
  unit.per === 'block'
    ? block.id === unit.id
    : block.confirmed && (unit.per === 'premises' || block.session === unit.id);

/** Null where the rule does not speak about this unit at this moment. */
export function viewOf(scene: Scene, unit: Unit, rule: Rule): View | null {
  const { floor, moment, day } = scene;
  if (rule.per !== unit.per || !onDays(day, rule.inForce)) return null;
  const governs = (block: Block | null): boolean =>
    inScope(rule.scope, block) && !(rule.except !== null && inScope(rule.except, block));
  const blocks = floor.blocks.filter((block) => within(moment, block.span) && isIn(unit, block) && governs(block));
  const oversees = (session: Id): boolean =>
    unit.per !== 'block' && floor.blocks.some((one) => one.session === session && isIn(unit, one) && governs(one));
  const governsWaiting = (head: Head): boolean => {
    const came = floor.blocks.filter((block) => head.athlete?.enrolled.some((one) => one.block === block.id));
    return unit.per === 'premises' && (came.length === 0 ? governs(null) : came.some(governs));
  };
  const everyPost = postsAt(scene);
  const young = (post: Post): boolean =>
    rule.staffBelowYearsAreAthletes !== null &&
    monthsAfter(post.staff.born, 12 * rule.staffBelowYearsAreAthletes, floor.leapDay) > day;
  const seen = everyPost.filter((post) => {
    if (post.block !== null) return blocks.includes(post.block);
    if (post.session !== null) return oversees(post.session);
    return unit.per === 'premises';
  });
  const children = headsAt(scene).filter((head) =>
    head.block === null ? governsWaiting(head) : blocks.includes(head.block),
  );
  if (blocks.length === 0 && children.length === 0) return null;
  const helpers = seen.filter(young).map(
    (post): Head => ({
      id: post.staff.person,
      born: post.staff.born,
      athlete: null,
      category: null,
      block: post.block,
      helped: false,
    }),
  );
  return {
    ...scene,
    rule,
    unit,
    blocks,
    heads: [...children, ...helpers],
    posts: seen.filter((post) => !young(post)),
    everyPost,
  };
}
