import type { Mixed } from '../types.ts';
import { composition } from './composition.ts';
import { eachBand } from './each-band.ts';
import { fill } from './fill.ts';
import { majority } from './majority.ts';
import type { MixedAges } from './pool.ts';
import { proportional } from './proportional.ts';
import { youngest } from './youngest.ts';

const METHODS = { youngest, majority, 'each-band': eachBand, proportional, fill } as const;

/** The method that a rule names. */
export function methodOf(mixed: Mixed): MixedAges {
  return mixed.method === 'composition' ? composition(mixed.rows) : METHODS[mixed.method];
}
