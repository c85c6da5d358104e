import { spottingTogether } from '../../cover/index.ts';
import type { Spotting } from '../../cover/types.ts';
import type { Drill } from './schema.ts';

type Needy = Pick<Drill, 'spotting' | 'skills'>;

/** The kinds of qualification that these drills ask their spotter for: a station that can be staffed asks for one at most. */
export const spottingKinds = (drills: readonly Needy[]): string[] => [
  ...new Set(drills.flatMap(({ spotting }) => (spotting.mode === 'none' ? [] : [spotting.kindId]))),
];

/**
 * What drills done at one station ask together.
 *
 * @throws RangeError when they ask for different kinds of qualification.
 */
export function spottingOf(drills: readonly Needy[]): Spotting {
  const together = spottingTogether(
    drills.map(({ spotting, skills }) => ({
      spotting:
        spotting.mode === 'none'
          ? { mode: 'none' }
          : { mode: spotting.mode, kind: spotting.kindId, grade: spotting.grade, skills: [] },
      skills: skills.flatMap(({ skillId, signOff }) => (signOff === null ? [] : [{ skill: skillId, level: signOff }])),
    })),
  );
  if (together === null) throw new RangeError('one station asks for spotters of more than one kind');
  return together;
}
