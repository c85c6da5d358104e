/** The judge on adults: who passes a test, who supervises whom, who counts for how much. */
import type { Block, Fraction, Id, Test } from '../../src/cover/types.ts';
import {
  completedMonths,
  floorOf,
  fraction,
  type Head,
  inOrder,
  less,
  monthsAfter,
  onDays,
  over,
  type Post,
  smaller,
  times,
  total,
  type View,
  whole,
  within,
} from './judge-facts.ts';

export function holds(post: Post, kind: Id, grade: number, day: string): boolean {
  return post.staff.holds.some((one) => one.kind === kind && one.grade >= grade && onDays(day, one));
}

/** Others at the same block, or overseeing its session; nobody is in sight of somebody without a block. */
function inSightOf(view: View, post: Post): Post[] {
  const { block } = post;
  if (block === null) return [];
  return view.everyPost.filter(
    (other) => other.staff !== post.staff && (other.block === block || other.session === block.session),
  );
}

/** The athletes somebody is with: of their block, of the session they oversee, or all whom the rule sees. */
function headsBeside(view: View, { block, session }: Post): Head[] {
  if (block !== null) return view.heads.filter((head) => head.block === block);
  return session === null ? view.heads : view.heads.filter((head) => head.block?.session === session);
}

export function passes(view: View, post: Post, test: Test): boolean {
  const { floor, day, moment } = view;
  const heads = headsBeside(view, post);
  const { staff } = post;
  switch (test.test) {
    case 'age':
      return completedMonths(staff.born, day, floor.leapDay) >= 12 * test.atLeastYears;
    case 'older-than-athletes':
      return heads
        .filter((head) => head.id !== staff.person)
        .every((head) => head.born !== null && monthsAfter(staff.born, 12 * test.byYears, floor.leapDay) <= head.born);
    case 'holds':
      return holds(post, test.kind, test.grade, day);
    case 'duty':
      return test.in.includes(post.duty);
    case 'not-taking-part':
      return !staff.takingPart.some((span) => within(moment, span));
    case 'no-own-child-here':
      return !heads.some((head) => staff.ownChildren.includes(head.id));
    case 'supervised':
      return inSightOf(view, post).some((other) => !other.helps && passes(view, other, test.by));
    case 'all':
      return test.of.every((part) => passes(view, post, part));
    case 'any':
      return test.of.some((part) => passes(view, post, part));
  }
}

/** Somebody who leads or assists at that very place (a block, or null: the premises), minds no single child, and passes. */
export function isLedBy(view: View, block: Block | null, test: Test): boolean {
  return view.posts.some(
    (post) =>
      post.block === block &&
      post.session === null &&
      (post.duty === 'lead' || post.duty === 'assist') &&
      !post.helps &&
      passes(view, post, test),
  );
}

/** Under any entry: one of those to be supervised, and not one of its supervisors. */
function trainees(view: View): Post[] {
  return view.posts.filter((post) =>
    view.rule.supervision.some(
      (entry) =>
        !passes(view, post, entry.supervisor) &&
        entry.anyOf.some((set) => set.some(({ who }) => passes(view, post, who))),
    ),
  );
}

type Slot = { supervisor: Post; who: Test; max: number };

/** Every way for supervisors to choose one of the sets they may take. */
function everyChoice(view: View, supervisors: Post[]): Slot[][] {
  const [first, ...others] = supervisors;
  if (first === undefined) return [[]];
  const sets = view.rule.supervision
    .filter((entry) => passes(view, first, entry.supervisor))
    .flatMap((one) => one.anyOf);
  return sets.flatMap((set) =>
    everyChoice(view, others).map((rest) => [...set.map((part) => ({ supervisor: first, ...part })), ...rest]),
  );
}

/** Every set of trainees that these slots can take. */
function everyPlacing(view: View, waiting: Post[], slots: Slot[]): Id[][] {
  const [first, ...others] = waiting;
  if (first === undefined) return [[]];
  const taken = slots
    .filter((slot) => slot.max > 0 && inSightOf(view, first).includes(slot.supervisor) && passes(view, first, slot.who))
    .flatMap((slot) =>
      everyPlacing(
        view,
        others,
        slots.map((one) => (one === slot ? { ...one, max: one.max - 1 } : one)),
      ).map((rest) => [first.staff.person, ...rest]),
    );
  return [...everyPlacing(view, others, slots), ...taken];
}

/** Trainees whom no supervisor in sight has room for; of the largest placings, the one first by ids. */
export function unplaced(view: View): Id[] {
  const waiting = trainees(view).sort((a, b) => inOrder([a.staff.person], [b.staff.person]));
  if (waiting.length === 0) return [];
  const supervisors = view.everyPost.filter(
    (post) =>
      !post.helps &&
      waiting.some((one) => inSightOf(view, one).includes(post)) &&
      view.rule.supervision.some((entry) => passes(view, post, entry.supervisor)),
  );
  const placings = everyChoice(view, supervisors).flatMap((slots) => everyPlacing(view, waiting, slots));
  const most = Math.max(...placings.map((one) => one.length));
  const [best = []] = placings.filter((one) => one.length === most).sort(inOrder);
  return waiting.map((post) => post.staff.person).filter((id) => !best.includes(id));
}

/** What the adults count for together while these people spot by hand and that many are needed. */
export function countedOf(view: View, needed: number, largestLimit: Fraction | null): Fraction {
  const { rule, handsOn } = view;
  const without = unplaced(view);
  const spotting = (share: Fraction): Fraction => {
    if (rule.whileSpotting === 'counts') return share;
    if (rule.whileSpotting === 'does-not-count') return whole(0);
    return largestLimit === null ? share : smaller(share, over(whole(rule.whileSpotting.upTo), largestLimit));
  };
  const shares = rule.counts.map((): { id: Id; share: Fraction }[] => []);
  for (const post of view.posts) {
    const row = rule.counts.findIndex(({ who }) => passes(view, post, who));
    const share = rule.counts[row]?.share ?? whole(0);
    const id = post.staff.person;
    if (post.helps || without.includes(id)) continue;
    shares[row]?.push({ id, share: handsOn.includes(id) ? spotting(share) : share });
  }
  const counting = (row: number): { id: Id; share: Fraction }[] =>
    (shares[row] ?? []).filter((one) => one.share.n > 0n);
  const admitted = (row: number): Fraction[] => {
    const sorted = counting(row)
      .map((one) => one.share)
      .sort((a, b) => (less(a, b) ? 1 : less(b, a) ? -1 : 0));
    const most = rule.counts[row]?.maxOf ?? null;
    if (most === null) return sorted;
    if (most.base === 'required') return sorted.slice(0, Number(floorOf(times(most.share, whole(needed)))));
    if (most.share.n >= most.share.d) return sorted;
    const others = rule.counts.flatMap((one, other) =>
      other === row || one.maxOf?.base === 'counted' ? [] : admitted(other),
    );
    const toOne = over(most.share, fraction(most.share.d - most.share.n, most.share.d));
    return sorted.slice(0, Number(floorOf(times(toOne, whole(others.length)))));
  };
  return total(rule.counts.flatMap((_, row) => admitted(row)));
}
