import { caps } from './caps.ts';
import type { PlaceCheck, RuleCheck } from './check.ts';
import { coachRatio } from './coach-ratio.ts';
import { floor } from './floor.ts';
import { noBand } from './no-band.ts';
import { planWithdrawn } from './plan-withdrawn.ts';
import { spotting } from './spotting.ts';
import { supervision } from './supervision.ts';
import { support } from './support.ts';

/** What a place asks, whatever the rules are; then what each rule asks. Findings come in this order. */
export const placeChecks: readonly PlaceCheck[] = [planWithdrawn, support, spotting];
export const ruleChecks: readonly RuleCheck[] = [noBand, coachRatio, floor, caps, supervision];
