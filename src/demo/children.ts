import { ALERTS, is, PARENT_ON_STAFF, SIBLINGS, TRAINEE_TRAINS } from './data/families.ts';
import { familyName, GIVEN, GROWN_UP } from './data/names.ts';
import type { GymKey, ProgrammeKey } from './data/place.ts';
import { STAFF, type StaffKey } from './data/staff.ts';
import { CLASSES } from './data/timetable.ts';

export interface ChildData {
  gym: GymKey;
  class: string;
  /** Their place in the list of the class. */
  at: number;
  given: string;
  family: string;
  /** Completed months, and some days, on this week's Monday. */
  months: number;
  days: number;
  /** Brothers and sisters share it. */
  household: number;
  accompanied: boolean;
  alerts: string | null;
  /** On the staff too. */
  asStaff: StaffKey | null;
}

export interface GuardianData {
  given: string;
  family: string;
  relation: string;
  asStaff: StaffKey | null;
}

/** From the youngest to the oldest, in completed months: no birthday of the next weeks takes a child out of these. */
const AGES: Record<ProgrammeKey, [from: number, to: number]> = {
  toddlers: [24, 33],
  preschool: [36, 68],
  recreational: [72, 140],
  development: [108, 184],
};

/** All children of the demo, class by class. The same on every machine. */
export function children(): ChildData[] {
  const all: ChildData[] = [];
  let households = 0;
  for (const { key, gym, programme, athletes } of CLASSES) {
    const [youngest, oldest] = AGES[programme];
    for (let at = 0; at < athletes; at += 1) {
      const which = { class: key, at };
      const related = SIBLINGS.find(({ child }) => is(child, which))?.of;
      const sibling = related && all.find((one) => is(one, related));
      const asStaff = is(TRAINEE_TRAINS.child, which) ? TRAINEE_TRAINS.staff : null;
      const household = sibling?.household ?? households++;
      all.push({
        gym,
        ...which,
        given: GIVEN[(all.length * 7) % GIVEN.length] ?? 'Ada',
        family: familyOf(household, which, asStaff, sibling),
        months: youngest + Math.floor((((at * 13) % athletes) * (oldest - youngest)) / Math.max(1, athletes - 1)),
        days: (all.length * 11) % 28,
        household,
        accompanied: programme === 'toddlers',
        alerts: ALERTS.find(({ child }) => is(child, which))?.alerts ?? null,
        asStaff,
      });
    }
  }
  return all;
}

function familyOf(
  household: number,
  which: { class: string; at: number },
  asStaff: StaffKey | null,
  sibling: ChildData | undefined,
): string {
  if (asStaff) return STAFF[asStaff].family;
  if (is(PARENT_ON_STAFF.child, which)) return STAFF[PARENT_ON_STAFF.staff].family;
  return sibling?.family ?? familyName(household);
}

/** Who a child comes with: one, or in every third household two. */
export function guardiansOf({ household, family, class: its, at }: ChildData): GuardianData[] {
  const name = (n: number) => GROWN_UP[(household * 3 + n) % GROWN_UP.length] ?? 'Hannah';
  const onStaff = is(PARENT_ON_STAFF.child, { class: its, at }) ? PARENT_ON_STAFF.staff : null;
  const first: GuardianData = onStaff
    ? { ...STAFF[onStaff], relation: 'mother', asStaff: onStaff }
    : { given: name(0), family, relation: household % 11 === 4 ? 'grandparent' : 'parent', asStaff: null };
  const second: GuardianData = { given: name(7), family, relation: 'parent', asStaff: null };
  return household % 3 === 0 ? [first, second] : [first];
}
