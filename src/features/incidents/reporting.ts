import type { StoredInjury } from '../../tables/incidents.ts';

// Published thresholds for reporting to an authority, as prompts: the service never decides that something is to be
// reported, and never that it is not. Which law holds at a gym is for its people to know.

/** What a note says that a threshold can turn on. */
export interface Reported {
  injuries: readonly (StoredInjury & { isStaff: boolean })[];
  /** Taken from the scene to hospital for treatment. */
  takenToHospital: boolean | null;
  /** Codes of what was seen after a knock. */
  observed: readonly string[];
}

export interface Threshold {
  id: string;
  /** The published threshold, in our own words. */
  rule: string;
  source: string;
  /** Counted from the event, as the source gives it; null where it gives none. */
  within: { hours: number } | { days: number } | null;
  meets(note: Reported): boolean;
}

const some = (test: (injury: Reported['injuries'][number]) => boolean) => (note: Reported) => note.injuries.some(test);
const coded = (code: number | null, ...codes: number[]) => code !== null && codes.includes(code);

// NEISS: 8 fatality, 4 admitted; 50 amputation, 54 crushing, 57 fracture; 31 and 79 trunk, 75 head, 77 eyeball,
// 92 finger (a thumb too, from memory), 93 toe; 46 to 51 and 73 burns.
const isDeath = ({ disposition }: StoredInjury) => coded(disposition, 8);
const isAdmitted = ({ disposition }: StoredInjury) => coded(disposition, 4);
const isSpecified = ({ diagnosis, bodyPart }: StoredInjury) =>
  coded(diagnosis, 50) ||
  (coded(diagnosis, 57) && !coded(bodyPart, 92, 93)) ||
  (coded(diagnosis, 54) && coded(bodyPart, 31, 75, 79)) ||
  (coded(diagnosis, 46, 47, 48, 49, 51, 73) && coded(bodyPart, 0, 84, 85));

const RIDDOR = 'UK, RIDDOR 2013';
const OSHA = 'US OSHA, 29 CFR 1904';

export const THRESHOLDS: readonly Threshold[] = [
  {
    id: 'riddor-hospital',
    rule: 'Somebody not at work was taken from the scene to hospital for treatment; a trip to be on the safe side, without an injury, does not count. In sport, only where it came from how the activity was run, the equipment or the premises (that part from memory).',
    source: RIDDOR,
    within: { days: 10 },
    meets: (note) =>
      note.takenToHospital === true &&
      note.injuries.some(({ isStaff, disposition }) => !isStaff && !coded(disposition, 0)),
  },
  {
    id: 'riddor-specified',
    rule: 'A worker has a specified injury: a fracture other than of finger, thumb or toe, an amputation, a crush to head or torso with internal damage, a serious burn.',
    source: RIDDOR,
    within: { days: 10 },
    meets: some((injury) => injury.isStaff && isSpecified(injury)),
  },
  {
    id: 'riddor-unconscious',
    rule: 'Somebody lost consciousness from a head injury.',
    source: RIDDOR,
    within: { days: 10 },
    meets: ({ observed }) => observed.includes('loss_of_consciousness'),
  },
  {
    id: 'riddor-over-seven-days',
    rule: 'A worker is off, or unable to do their normal duties, for more than seven days running, the day of the accident not counted, weekends counted.',
    source: RIDDOR,
    within: { days: 15 },
    meets: some(({ isStaff, daysOut }) => isStaff && daysOut !== null && daysOut > 7),
  },
  {
    id: 'osha-death',
    rule: 'A worker died.',
    source: OSHA,
    within: { hours: 8 },
    meets: some((injury) => injury.isStaff && isDeath(injury)),
  },
  {
    id: 'osha-severe',
    rule: 'A worker was admitted to hospital, or lost a limb or an eye.',
    source: OSHA,
    within: { hours: 24 },
    meets: some(
      (injury) =>
        injury.isStaff &&
        (isAdmitted(injury) ||
          coded(injury.diagnosis, 50) ||
          (coded(injury.bodyPart, 77) && coded(injury.diagnosis, 72))),
    ),
  },
  {
    id: 'osha-301',
    rule: 'A worker was hurt: Form 301 is filled in within seven calendar days of learning of it.',
    source: OSHA,
    within: { days: 7 },
    meets: some(({ isStaff }) => isStaff),
  },
  {
    id: 'british-gymnastics-hospital',
    rule: 'Somebody went to hospital, or a claim is likely: the national body is told. A strain that ice mended, a plaster, a repetitive complaint stay in the book.',
    source: 'British Gymnastics, Health and safety FAQs (stored copy)',
    within: null,
    meets: (note) =>
      note.takenToHospital === true || note.injuries.some(({ disposition }) => coded(disposition, 1, 2, 4, 5, 8)),
  },
];

/** Said beside every prompt. */
export const CHECK_LAW =
  'Check your local law: this is a published threshold that what is written may meet, not a decision.';

export interface Prompt {
  id: string;
  rule: string;
  source: string;
  /** When the published time runs out; null where the source gives none. */
  by: Date | null;
  check: string;
}

/** The thresholds that what is written may meet, the most pressing first. */
export function promptsFor(note: Reported, occurredAt: Date): Prompt[] {
  return THRESHOLDS.filter((one) => one.meets(note))
    .map(({ id, rule, source, within }) => ({ id, rule, source, by: byOf(within, occurredAt), check: CHECK_LAW }))
    .sort((a, b) => (a.by?.getTime() ?? Number.POSITIVE_INFINITY) - (b.by?.getTime() ?? Number.POSITIVE_INFINITY));
}

const HOUR_MS = 3_600_000;
function byOf(within: Threshold['within'], from: Date): Date | null {
  if (within === null) return null;
  const hours = 'hours' in within ? within.hours : within.days * 24;
  return new Date(from.getTime() + hours * HOUR_MS);
}
