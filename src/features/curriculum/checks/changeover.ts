import type { PlanBlock } from '../plan-content-schema.ts';
import { type CheckedClass, yearsOf } from './finding.ts';
import { bandAt, type Limits } from './limits.ts';

// A block's minutes begin when the block before it ends: sessions are laid out without gaps, so that changing over is the
// first thing in a block. A lesson takes the minutes of its blocks and no more; its turns take what is left of them.

/**
 * How long a class takes, at the shortest that is usual at its age, to come to a block and set it up; where nobody's age
 * is known, as the oldest.
 */
export const setUpSecondsOf = (one: CheckedClass, limits: Limits): number =>
  bandAt(limits, yearsOf(one) ?? Number.POSITIVE_INFINITY).changeoverMinutes.from * 60;

/**
 * What is left of a block for turns once it is set up; nothing of one that is shorter than its set-up. Where everybody
 * drinks first, that takes as long again: common practice, no source.
 */
export const secondsLeft = (
  { minutes, waterFirst }: Pick<PlanBlock, 'minutes' | 'waterFirst'>,
  setUpSeconds: number,
): number => Math.max(0, minutes * 60 - setUpSeconds * (waterFirst ? 2 : 1));
