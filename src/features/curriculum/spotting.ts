import type { Sign, Spotting } from '../../cover/types.ts';
import type { Drill } from './schema.ts';

const SIGNS: readonly Sign[] = ['watched', 'helped', 'alone'];
const stricter = (a: Sign, b: Sign): Sign => (SIGNS.indexOf(a) >= SIGNS.indexOf(b) ? a : b);

type Needy = Pick<Drill, 'spotting' | 'skills'>;

/** The kinds of qualification that these drills ask their spotter for: a station that can be staffed asks for one at most. */
export const spottingKinds = (drills: readonly Needy[]): string[] => [
  ...new Set(drills.flatMap(({ spotting }) => (spotting.mode === 'none' ? [] : [spotting.kindId]))),
];

/**
 * What drills done at one station ask together: the strictest mode, the highest grade, and every skill that wants a
 * sign-off, at the strictest level asked. Skills in the order of their ids, so that equal needs read alike.
 *
 * @throws RangeError when they ask for different kinds of qualification.
 */
export function spottingOf(drills: readonly Needy[]): Spotting {
  const [kind, ...others] = spottingKinds(drills);
  if (kind === undefined) return { mode: 'none' };
  if (others.length > 0) throw new RangeError('one station asks for spotters of more than one kind');
  const spotted = drills.flatMap(({ spotting }) => (spotting.mode === 'none' ? [] : [spotting]));
  const levels = new Map<string, Sign>();
  for (const { skillId, signOff } of drills.flatMap(({ skills }) => skills)) {
    if (signOff !== null) levels.set(skillId, stricter(signOff, levels.get(skillId) ?? signOff));
  }
  return {
    mode: spotted.some(({ mode }) => mode === 'hands-on') ? 'hands-on' : 'stand-by',
    kind,
    grade: Math.max(...spotted.map(({ grade }) => grade)),
    skills: [...levels].sort(([a], [b]) => (a < b ? -1 : 1)).map(([skill, level]) => ({ skill, level })),
  };
}
