import { fraction } from '../fraction.ts';
import { largestMatching, sizeOf } from '../matching.ts';
import { passes } from '../passes.ts';
import type { View } from '../scene.ts';
import type { Rule, Test } from '../types.ts';
import { type Lack, lackOf, type RuleCheck } from './check.ts';

type Floor = Rule['floors'][number];

/** Named posts, filled by whole people: those of one floor by different people, those of separate floors by the same or not. */
export const floor: RuleCheck = {
  code: 'floor',
  check(view) {
    const applying = floorsFor(view.rule, view.heads.length);
    return applying.flatMap((one) => missingPosts(one, view));
  },
};

/** The floors that a rule sets for so many athletes, helped children included. */
export function floorsFor(rule: Rule, athletes: number): Floor[] {
  return rule.floors.filter(
    ({ fromAthletes, toAthletes }) => fromAthletes <= athletes && (toAthletes === null || athletes <= toAthletes),
  );
}

/** How many people the largest floor asks for. */
export function peopleAsked(floors: readonly Floor[]): number {
  return Math.max(0, ...floors.map(({ posts }) => posts.reduce((total, { people }) => total + people, 0)));
}

function missingPosts({ posts }: Floor, view: View): Lack[] {
  const { people, youngsters, moment, heads } = view;
  const free = people.filter(({ staff, spot }) => !spot.helpers.has(staff.person) && !youngsters.has(staff.person));
  const who: Test[] = posts.flatMap((post) => new Array<Test>(post.people).fill(post.who));
  const fits = new Map(
    posts.map((post) => [post.who, free.flatMap((one, i) => (passes(post.who, one, moment) ? [i] : []))]),
  );
  const taken = largestMatching(who.map((test) => fits.get(test) ?? []));
  const filled = sizeOf(taken);
  if (filled === who.length) return [];
  const numbers = { heads: fraction(heads.length), needed: fraction(who.length), counted: fraction(filled) };
  return [lackOf(who.length - filled, { numbers, failed: who[taken.indexOf(-1)] as Test })];
}
