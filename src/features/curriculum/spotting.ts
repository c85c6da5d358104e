import { saysAsMuch, spottingTogether } from '../../cover/index.ts';
import type { Sign, Spotting } from '../../cover/types.ts';
import type { PlanStation } from './plan-content-schema.ts';
import type { Drill } from './schema.ts';

type Needy = Pick<Drill, 'spotting' | 'skills'>;

/** What a drill asks of its spotter. Skills in the order of their ids, so that equal needs read alike. */
export function needOf({ spotting, skills }: Needy): Spotting {
  if (spotting.mode === 'none') return { mode: 'none' };
  const { mode, kindId: kind, grade } = spotting;
  const signed = skills.flatMap(({ skillId, signOff }) => (signOff === null ? [] : [[skillId, signOff] as const]));
  return { mode, kind, grade, skills: inOrder(new Map(signed)) };
}

const inOrder = (levels: ReadonlyMap<string, Sign>) =>
  [...levels].sort(([a], [b]) => (a < b ? -1 : 1)).map(([skill, level]) => ({ skill, level }));

/** The kinds of qualification that these needs ask for: a station that can be staffed asks for one at most. */
export const kindsAsked = (needs: readonly Spotting[]): string[] => [
  ...new Set(needs.flatMap((need) => (need.mode === 'none' ? [] : [need.kind]))),
];

/** The kinds of qualification that these drills ask their spotter for. */
export const spottingKinds = (drills: readonly Needy[]): string[] => kindsAsked(drills.map(needOf));

/**
 * What needs at one station come to together: the strictest mode, the highest grade, and every skill that wants a
 * sign-off, at the strictest level asked.
 *
 * @throws RangeError when they ask for different kinds of qualification.
 */
export function together(needs: readonly Spotting[]): Spotting {
  const all = spottingTogether(
    needs.map((spotting) => ({ spotting, skills: spotting.mode === 'none' ? [] : spotting.skills })),
  );
  if (all === null) throw new RangeError('one station asks for spotters of more than one kind');
  return all;
}

/** What drills done at one station ask together. */
export const spottingOf = (drills: readonly Needy[]): Spotting => together(drills.map(needOf));

/**
 * Does the second ask less of a spotter than the first in anything: how close they stand, their grade, a sign-off? Another
 * kind of qualification counts as less, since nobody can say that it is more.
 */
export function asksLess(was: Spotting, now: Spotting): boolean {
  if (was.mode === 'none') return false;
  if (now.mode === 'none' || (was.mode === 'hands-on' && now.mode === 'stand-by')) return true;
  if (was.kind !== now.kind || now.grade < was.grade) return true;
  const levels = new Map(now.skills.map(({ skill, level }) => [skill, level]));
  return was.skills.some(({ skill, level }) => {
    const still = levels.get(skill);
    return still === undefined || !saysAsMuch(still, level);
  });
}

/** What a published station is said to ask, as cover reads it. */
export function needOnFloor(spotting: NonNullable<PlanStation['spotting']>): Spotting {
  if (spotting.mode === 'none') return spotting;
  const { mode, kindId, grade, skills } = spotting;
  return { mode, kind: kindId, grade, skills: skills.map(({ skillId, level }) => ({ skill: skillId, level })) };
}
