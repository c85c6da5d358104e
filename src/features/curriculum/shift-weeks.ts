import type { Week } from './term-schema.ts';

export const EMPTY_WEEK: Week = { planId: null, note: null, skills: [] };

const isEmpty = ({ planId, note, skills }: Week) => planId === null && note === null && skills.length === 0;

/**
 * The weeks with those from `fromWeek` on so many later, empty ones in the gap; or, where `by` is negative, so many
 * earlier. Null where there is no such week, or where weeks with something in them are in the way.
 */
export function shiftWeeks(weeks: readonly Week[], fromWeek: number, by: number): Week[] | null {
  const at = fromWeek - 1;
  if (at >= weeks.length) return null;
  if (by > 0) return [...weeks.slice(0, at), ...Array.from({ length: by }, () => EMPTY_WEEK), ...weeks.slice(at)];
  const gap = weeks.slice(Math.max(0, at + by), at);
  if (gap.length < -by || !gap.every(isEmpty)) return null;
  return [...weeks.slice(0, at + by), ...weeks.slice(at)];
}
