/**
 * The cover engine: is there the staff, with the right qualifications, that the rules ask for? Pure: values in, values out;
 * it knows no clock, no database and no feature. The vocabulary, with shapes and units, is in `types.ts`.
 */
export { admissible } from './admissible/index.ts';
export { birthday, completedMonths, hasReached, type LeapDay } from './age.ts';
export { applyChange } from './change.ts';
export { localDay } from './day.ts';
export { type Edge, type EdgeCode, edgesOf, type Reasoned, reasoned } from './edges.ts';
export { firstSteps } from './first-steps.ts';
export {
  atLeast,
  ceilOf,
  compare,
  dividedBy,
  equal,
  floorOf,
  formatFraction,
  fraction,
  minus,
  ONE,
  parseFraction,
  plus,
  sum,
  times,
  ZERO,
} from './fraction.ts';
export { fragility } from './fragility.ts';
export { HEADROOM_BOUND, type Headroom, headroom, headroomIn, headroomReader, joining, stoppedAt } from './headroom.ts';
export { looserThan } from './looser.ts';
export { type Choices, deficientSet } from './matching.ts';
export { narrowed } from './narrow.ts';
export { isExcusedBy } from './overrides.ts';
export { remedies } from './remedies.ts';
export { edgeSentence, type Names, nearestSentence, refusalSentence, sentence, testPhrase } from './sentences.ts';
export { saysAsMuch } from './signs.ts';
export { maySpot, type Spotted } from './spotters.ts';
export { type Adoption, ruleSet, type Standard, standards } from './standards/index.ts';
export { missingWith, type Substitute, substitutes } from './substitutes.ts';
export { type Language, type Texts, textsIn } from './texts/index.ts';
export { coverOf, coverTimeline, type FloorReading, readFloor } from './timeline.ts';
export { type DrillNeed, isCloser, isSpottedLess, spottingTogether } from './together.ts';
export type * from './types.ts';
export { newlyUncovered, type UncoveredBlock, uncoveredBlocks } from './uncovered.ts';
