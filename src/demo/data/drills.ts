import type { DrillData } from './drill.ts';
import { ON_APPARATUS } from './drills-apparatus.ts';
import { ON_THE_FLOOR } from './drills-floor.ts';

/** Some fifty drills from common teaching. */
export const DRILLS: DrillData[] = [...ON_THE_FLOOR, ...ON_APPARATUS];
