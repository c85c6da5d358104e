import { addAthlete } from '../features/people/add-athlete.ts';
import { addStaff } from '../features/people/add-staff.ts';
import { addHelper, addSupport } from '../features/people/athlete-days.ts';
import { employ } from '../features/people/employ.ts';
import { linkGuardian } from '../features/people/guardians.ts';
import { setHealth } from '../features/people/health.ts';
import { addSignOff } from '../features/people/sign-off.ts';
import type { Context } from '../platform/context.ts';
import { named } from './acting.ts';
import type { Calendar } from './calendar.ts';
import { type ChildData, children, guardiansOf } from './children.ts';
import { is, SUPPORTED } from './data/families.ts';
import type { GymKey } from './data/place.ts';
import { SIGN_OFFS, STAFF, type StaffData, type StaffKey } from './data/staff.ts';
import type { Place } from './seed-place.ts';

/** People's addresses and numbers lead nowhere: example.org, and the numbers that are set aside for stories. */
const contactsOf = (given: string, family: string, index: number) => ({
  email: `${given}.${family}.${index}@families.example.org`.toLowerCase(),
  phone: `+1 902 555 01${String(index % 100).padStart(2, '0')}`,
});

const SINCE_DAYS = -400;

/** The staff with employments, qualifications and sign-offs. */
export async function seedStaff(ctx: Context, place: Place, calendar: Calendar): Promise<(key: StaffKey) => string> {
  const ids: [StaffKey, string][] = [];
  for (const [index, [key, data]] of Object.entries<StaffData>(STAFF).entries()) {
    ids.push([key as StaffKey, await seedStaffMember(ctx, place, calendar, data, index)]);
  }
  const staff = named(ids);
  for (const { who, skill, level, by } of SIGN_OFFS) {
    await addSignOff(
      ctx,
      { gymId: place.gym(STAFF[who].gyms[0]), personId: staff(who) },
      {
        skillId: place.skill(skill),
        level,
        from: calendar.day(-120),
        ...(by === undefined ? {} : { byPersonId: staff(by) }),
      },
    );
  }
  return staff;
}

async function seedStaffMember(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  data: StaffData,
  index: number,
): Promise<string> {
  const { given, family, gyms, holds } = data;
  const [first, ...others] = gyms;
  const from = calendar.day(SINCE_DAYS);
  const { personId } = await addStaff(ctx, place.gym(first), {
    person: { given, family, ...contactsOf(given, family, index) },
    born: staffBorn(data, index, calendar),
    employment: { from },
    qualifications: holds.map(({ kind, grade, ends }) => ({
      kindId: place.kind(kind),
      grade,
      from,
      until: ends === undefined ? null : calendar.day(ends),
      evidence: 'Certificate seen by the owner',
    })),
  });
  for (const gym of others) await employ(ctx, { gymId: place.gym(gym), personId }, { from });
  return personId;
}

const staffBorn = ({ age }: StaffData, index: number, calendar: Calendar): string =>
  calendar.born(age * 12 + ((index * 5) % 12), (index * 3) % 28);

/** The athletes of each class, in order, with families, guardians, traits and what a coach has to know. */
export async function seedChildren(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  staff: (key: StaffKey) => string,
  gym: GymKey,
): Promise<[classKey: string, athleteId: string][]> {
  const made: { child: ChildData; id: string; guardians: string[] }[] = [];
  for (const child of children().filter((one) => one.gym === gym)) {
    const sibling = made.find((one) => one.child.household === child.household);
    const id = await seedChild(ctx, place, calendar, staff, child, sibling?.id ?? null);
    const at = { gymId: place.gym(gym), athleteId: id };
    const guardians: string[] = [];
    for (const [index, { given, family, relation, asStaff }] of guardiansOf(child).entries()) {
      const known = sibling?.guardians[index] ?? (asStaff === null ? undefined : staff(asStaff));
      const person =
        known === undefined ? { given, family, ...contactsOf(given, family, child.household) } : { id: known };
      guardians.push((await linkGuardian(ctx, at, { person, relation })).guardianId);
    }
    made.push({ child, id, guardians });
  }
  return made.map(({ child, id }) => [child.class, id]);
}

async function seedChild(
  ctx: Context,
  place: Place,
  calendar: Calendar,
  staff: (key: StaffKey) => string,
  child: ChildData,
  sibling: string | null,
): Promise<string> {
  const gymId = place.gym(child.gym);
  const from = calendar.day(-60);
  const { asStaff, given, family, months, days, accompanied, alerts } = child;
  const { athleteId } = await addAthlete(ctx, gymId, {
    person: asStaff === null ? { given, family } : { id: staff(asStaff) },
    born: asStaff === null ? calendar.born(months, days) : bornOf(asStaff, calendar),
    familyOf: sibling,
    traits: accompanied ? [{ trait: 'accompanied', from }] : [],
  });
  if (alerts !== null) await setHealth(ctx, { gymId, athleteId }, 1, alerts);
  if (is(SUPPORTED.child, child)) {
    await addSupport(ctx, { gymId, athleteId }, { from });
    await addHelper(ctx, { gymId, athleteId }, { helperId: staff(SUPPORTED.helper), from });
  }
  return athleteId;
}

const bornOf = (key: StaffKey, calendar: Calendar): string =>
  staffBorn(STAFF[key], Object.keys(STAFF).indexOf(key), calendar);
