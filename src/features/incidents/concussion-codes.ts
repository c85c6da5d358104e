import type { EDITIONS } from '../../tables/incidents.ts';

// What somebody saw, as codes in our own neutral words. The published recognition tools may be copied unaltered only, so
// they are not here: the caution links to them. Which codes each edition's list of red flags comes to:
// 2017: Concussion in Sport Group, Concussion Recognition Tool 5; 2023: the same group's tool 6 (from memory).

export type Edition = (typeof EDITIONS)[number];

/** Each means: call for emergency medical help. The editions differ: any vomiting, or repeated vomiting. */
export const RED_FLAGS = {
  '2017': [
    'neck_pain_or_tenderness',
    'double_vision',
    'weakness_tingling_or_burning_in_arms_or_legs',
    'severe_or_increasing_headache',
    'seizure_or_convulsion',
    'loss_of_consciousness',
    'deteriorating_conscious_state',
    'vomiting',
    'increasingly_restless_agitated_or_combative',
  ],
  '2023': [
    'neck_pain_or_tenderness',
    'seizure_or_convulsion',
    'loss_of_or_double_vision',
    'loss_of_consciousness',
    'increasing_confusion_or_deteriorating_conscious_state',
    'weakness_or_numbness_or_tingling_in_more_than_one_limb',
    'repeated_vomiting',
    'severe_or_increasing_headache',
    'increasingly_restless_agitated_or_combative',
    'visible_skull_deformity',
  ],
} as const satisfies Record<Edition, readonly string[]>;

/** Every code of either edition. */
export const OBSERVATIONS = [...new Set<string>([...RED_FLAGS['2017'], ...RED_FLAGS['2023']])].sort();

export const isInEdition = (edition: Edition, code: string): boolean =>
  (RED_FLAGS[edition] as readonly string[]).includes(code);

/** Where the tool that a trained person works through is published. */
const TOOLS: Record<Edition, string> = {
  '2017': 'Concussion Recognition Tool 5 (Concussion in Sport Group, 2017)',
  '2023': 'Concussion Recognition Tool 6 (Concussion in Sport Group, 2023), https://bjsm.bmj.com/content/57/11/689',
};

/** What this software is not. */
export const NO_ADVICE =
  'This software gives no medical advice. Local law and the judgement of licensed professionals come first.';

/**
 * What to do now, in our own words, after the rules that come with the 2017 edition: out at once and not back that day,
 * emergency help on any red flag, not left alone at first; questions of memory only above the age of 12.
 */
export function cautionsFor(edition: Edition, observed: readonly string[], ageYears: number | null): string[] {
  return [
    'Out of activity at once, and no return today, even if it all passes.',
    ...(observed.length > 0 ? ['What was seen is a red flag: call for emergency medical help now.'] : []),
    'Do not leave the athlete alone; tell whoever collects them.',
    ...(ageYears !== null && ageYears <= 12 ? ['Questions that test memory are not meant for this age.'] : []),
    `Somebody trained goes through the published tool itself: ${TOOLS[edition]}.`,
    'Check-in to activity stays stopped until a clearance by a licensed professional is on file.',
    NO_ADVICE,
  ];
}
