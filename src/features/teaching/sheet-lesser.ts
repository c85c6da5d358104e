import type { LessonSheet } from './sheet-schema.ts';

/**
 * What is left out where paper is short, the first first. Class rules, what to say first and what to do if it goes wrong, who
 * spots, what is not covered, medical alerts and who steps in are not among it: they are never left out.
 */
export const LESSER = [
  'drawings',
  'focus',
  'more-look-fors',
  'alternatives',
  'look-fors',
  'reasons',
  'if-time',
] as const;
export type Lesser = (typeof LESSER)[number];

/** Is it on the paper? */
export type Kept = (what: Lesser) => boolean;

/** With so many of them left out. */
export const keptWithout = (leftOut: number): Kept => {
  const gone = new Set<Lesser>(LESSER.slice(0, leftOut));
  return (what) => !gone.has(what);
};

/** How many look-fors of a drill are said. */
export const mostLookFors = (kept: Kept): number => (kept('more-look-fors') ? 8 : kept('look-fors') ? 1 : 0);

/** What of a sheet is not on the paper, counted, and where it is; null where everything is there. */
export function leftOutOf(sheet: LessonSheet, kept: Kept): string | null {
  const said = [
    counted(kept('drawings') ? 0 : drawingsIn(sheet), 'drawing', 'drawings'),
    counted(kept('focus') ? 0 : sheet.focus.length, 'line of focus', 'lines of focus'),
    counted(lookForsIn(sheet, 8) - lookForsIn(sheet, mostLookFors(kept)), 'look-for', 'look-fors'),
    counted(kept('alternatives') ? 0 : alternativesIn(sheet), 'piece to use instead', 'pieces to use instead'),
    counted(kept('reasons') ? 0 : reasonsIn(sheet), 'reason why adapted', 'reasons why adapted'),
    counted(kept('if-time') ? 0 : ifTimeIn(sheet), 'step for spare time', 'steps for spare time'),
  ].filter((one) => one !== null);
  return said.length === 0 ? null : `Left out for want of room: ${said.join(', ')}. In full: ${addressOf(sheet)}.`;
}

/** Where a sheet is in full. */
export const addressOf = ({ gymId, sessionId }: LessonSheet): string => `/v1/gyms/${gymId}/sessions/${sessionId}/sheet`;

const counted = (count: number, one: string, several: string) =>
  count === 0 ? null : `${count} ${count === 1 ? one : several}`;

const stationsIn = ({ parts }: LessonSheet) => parts.flatMap(({ stations }) => stations);
const stepsIn = (sheet: LessonSheet) => stationsIn(sheet).flatMap(({ steps }) => steps);
const sum = (counts: readonly number[]) => counts.reduce((total, count) => total + count, 0);

const drawingsIn = (sheet: LessonSheet) => stationsIn(sheet).filter(({ setUp }) => setUp.diagram !== null).length;
const reasonsIn = (sheet: LessonSheet) => sum(stationsIn(sheet).map(({ adapted }) => adapted.length));
const ifTimeIn = (sheet: LessonSheet) => stepsIn(sheet).filter(({ weight }) => weight === 'if-time').length;
const alternativesIn = (sheet: LessonSheet) =>
  sum(stationsIn(sheet).map(({ setUp }) => setUp.pieces.filter(({ orInstead }) => orInstead.length > 0).length));

/** A drill's look-fors are said once, where it comes first. */
function lookForsIn(sheet: LessonSheet, most: number): number {
  const once = new Map(
    stepsIn(sheet).flatMap(({ drills }) => drills.map(({ drillId, lookFors }) => [drillId, lookFors])),
  );
  return sum([...once.values()].map(({ length }) => Math.min(length, most)));
}
