import { completedMonths, type LeapDay } from '../../cover/index.ts';

// Injury codes of the US Consumer Product Safety Commission's NEISS (2014 data year, option lists of its query builder;
// product codes from its comparability table, 2010s edition). Labels lightly reworded. They are not contiguous, and 0 is
// a value like any other: ask `=== null`, never whether it is falsy.

type Codes = Readonly<Record<number, string>>;

export const BODY_PARTS: Codes = {
  0: 'Internal',
  30: 'Shoulder',
  31: 'Upper trunk',
  32: 'Elbow',
  33: 'Lower arm',
  34: 'Wrist',
  35: 'Knee',
  36: 'Lower leg',
  37: 'Ankle',
  38: 'Pubic region',
  75: 'Head',
  76: 'Face',
  77: 'Eyeball',
  79: 'Lower trunk',
  80: 'Upper arm',
  81: 'Upper leg',
  82: 'Hand',
  83: 'Foot',
  84: '25-50% of body',
  85: 'All of body',
  87: 'Not stated / unknown',
  88: 'Mouth',
  89: 'Neck',
  92: 'Finger',
  93: 'Toe',
  94: 'Ear',
};

export const DIAGNOSES: Codes = {
  41: 'Ingested object',
  42: 'Aspirated object',
  46: 'Burns, electrical',
  47: 'Burns, not specified',
  48: 'Burns, scald',
  49: 'Burns, chemical',
  50: 'Amputation',
  51: 'Burns, thermal',
  52: 'Concussion',
  53: 'Contusion or abrasion',
  54: 'Crushing',
  55: 'Dislocation',
  56: 'Foreign body',
  57: 'Fracture',
  58: 'Hematoma',
  59: 'Laceration',
  60: 'Dental injury',
  61: 'Nerve damage',
  62: 'Internal organ injury',
  63: 'Puncture',
  64: 'Strain or sprain',
  65: 'Anoxia',
  66: 'Hemorrhage',
  67: 'Electric shock',
  68: 'Poisoning',
  69: 'Submersion',
  71: 'Other or not stated',
  72: 'Avulsion',
  73: 'Burns, radiation',
  74: 'Dermatitis or conjunctivitis',
};

/** There is no 3 and no 7. */
export const DISPOSITIONS: Codes = {
  0: 'No injury',
  1: 'Treated and released, or examined and released',
  2: 'Treated and transferred',
  4: 'Treated and admitted',
  5: 'Held for observation',
  6: 'Left without being seen',
  8: 'Fatality',
  9: 'Unknown',
};

/** The activity or apparatus. Codes were retired, split and restored over the years: each is kept with its year. */
export const PRODUCTS: Codes = {
  1200: 'Sports and recreational activity, not elsewhere classified',
  1233: 'Trampolines',
  1244: 'Monkey bars, playground gyms or other playground climbing apparatus',
  1272: 'Gymnastics (activity, apparel or equipment; excluding trampolines)',
};

/** The place of an injury in a gym: "sports or recreation place". */
export const LOCATION = 9;

/** Is it one of the table's codes? 0 is. */
export const isCode = (codes: Codes, code: number): boolean => Object.hasOwn(codes, code);

/** An age as NEISS writes it: whole years, but 200 and the completed months below two years. */
export function neissAge(born: string, day: string, leapDay: LeapDay): number {
  const months = completedMonths(born, day, leapDay);
  return months < 24 ? 200 + months : Math.floor(months / 12);
}
