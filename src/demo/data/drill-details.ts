import type { Diagram } from '../../features/curriculum/diagram-schema.ts';
import { DETAILS_ON_APPARATUS } from './drill-details-apparatus.ts';
import { DETAILS_ON_THE_FLOOR } from './drill-details-floor.ts';
import type { KitName } from './kit.ts';
import type { ApparatusName, LevelName } from './place.ts';

/** What more is said of a drill, where there is more to say. */
export interface DrillDetails {
  ifItGoesWrong?: string;
  lookFors?: [phase: string, right: string, wrong: string, say: string][];
  /** From which level to which, a programme each. */
  levels?: [from: LevelName, to: LevelName][];
  needs?: {
    piece: KitName;
    amount?: number;
    fit?: { lowerByCm: number; higherByCm: number; raise: KitName; under: 'piece' | 'child' };
  }[];
  height?: 'floor' | 'low' | 'full';
  /** One after another, rather than side by side. */
  underWay?: true;
  diagram?: Diagram;
}

export const DETAILS: Record<string, DrillDetails> = { ...DETAILS_ON_THE_FLOOR, ...DETAILS_ON_APPARATUS };

/** The class rule for when it goes wrong, where a drill has none of its own. */
export const IF_IT_GOES_WRONG: Record<ApparatusName, string> = {
  Floor: 'Stay down and put one hand up. The next one waits until the lane is free.',
  Vault: 'Shout "stop". Nobody runs until the landing is clear and the coach says "go".',
  Bars: 'Hold on, then feet down. Whoever has let go rolls away from the bar.',
  Beam: 'Step off to the side and land on two feet; never grab the beam on the way down.',
  'Soft shapes': 'Sit down where you are and call. Nobody climbs past.',
};
