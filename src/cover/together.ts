import { saysAsMuch } from './signs.ts';
import type { Sign, Spotting } from './types.ts';

const stricter = (a: Sign, b: Sign): Sign => (saysAsMuch(a, b) ? a : b);

/** What one drill asks of whoever spots it, with the sign-offs of the skills that it teaches. */
export type DrillNeed = { spotting: Spotting; skills: { skill: string; level: Sign }[] };

/**
 * What drills done at one station ask together: the strictest mode, the highest grade, and every skill that wants a
 * sign-off, at the strictest level asked. Skills in the order of their ids, so that equal needs read alike. Null when they
 * ask for different kinds of qualification: one station has one spotter.
 */
export function spottingTogether(drills: readonly DrillNeed[]): Spotting | null {
  const spotted = drills.flatMap(({ spotting }) => (spotting.mode === 'none' ? [] : [spotting]));
  const [first] = spotted;
  if (first === undefined) return { mode: 'none' };
  if (spotted.some(({ kind }) => kind !== first.kind)) return null;
  const levels = new Map<string, Sign>();
  for (const { skill, level } of drills.flatMap(({ skills }) => skills)) {
    levels.set(skill, stricter(level, levels.get(skill) ?? level));
  }
  return {
    mode: spotted.some(({ mode }) => mode === 'hands-on') ? 'hands-on' : 'stand-by',
    kind: first.kind,
    grade: Math.max(...spotted.map(({ grade }) => grade)),
    skills: [...levels].sort(([a], [b]) => (a < b ? -1 : 1)).map(([skill, level]) => ({ skill, level })),
  };
}

const HANDS: Record<Spotting['mode'], number> = { none: 0, 'stand-by': 1, 'hands-on': 2 };

/** Does a spotter stand closer in one mode than in another? */
export const isCloser = (one: Spotting['mode'], other: Spotting['mode']): boolean => HANDS[one] > HANDS[other];

/** Whether one way of spotting asks less than another: fewer hands, or of the same kind a lower grade or fewer sign-offs. */
export function isSpottedLess(one: Spotting, other: Spotting): boolean {
  if (one.mode !== other.mode) return isCloser(other.mode, one.mode);
  if (one.mode === 'none' || other.mode === 'none') return false;
  if (one.kind !== other.kind || one.grade > other.grade) return false;
  const covers = one.skills.every(({ skill, level }) =>
    other.skills.some((asked) => asked.skill === skill && saysAsMuch(asked.level, level)),
  );
  return covers && (one.grade < other.grade || JSON.stringify(one.skills) !== JSON.stringify(other.skills));
}
