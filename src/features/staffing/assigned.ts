import { z } from 'zod';
import { Covered } from './cover.ts';
import { Assignment } from './schema.ts';

/** A new place, and what the unit's cover is with it. */
export const Assigned = z.strictObject({ assignment: Assignment, cover: Covered }).meta({ id: 'Assigned' });

/** How giving somebody a place can be refused. */
export const PLACING_PROBLEMS = [
  'not-admissible',
  'cover-broken',
  'already-assigned',
  'already-over',
  'conflict',
] as const;
