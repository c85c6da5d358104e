import type { Pool } from 'pg';
import type { DemoFacts } from '../banner.ts';
import { createFranchise } from '../features/identity/create-franchise.ts';
import { createPasswords } from '../platform/auth/passwords.ts';
import type { Context } from '../platform/context.ts';
import type { Log } from '../platform/log.ts';
import { actingIn } from './acting.ts';
import { calendarAt } from './calendar.ts';
import { FRANCHISE, GYMS, type GymKey } from './data/place.ts';
import { refusalToTry, signInsShown } from './facts.ts';
import { inviteEverybody, joinEverybody, refuseSecondDemo } from './seed-accounts.ts';
import { seedCurriculum } from './seed-curriculum.ts';
import { seedChildren, seedStaff } from './seed-people.ts';
import { seedPlace } from './seed-place.ts';
import { seedRules } from './seed-rules.ts';
import { seedSchedule } from './seed-schedule.ts';
import { seedStaffing } from './seed-staffing.ts';
import { seedToday } from './seed-today.ts';
import { DEMO_PASSWORD, SIGN_INS } from './sign-ins.ts';

/**
 * Loads the demo franchise, dated around `now`: this week and the next are laid out and staffed, and a class runs at this
 * moment. Everything goes through the operations that requests use, so that the demo obeys every rule; its people's acts
 * are dated before this week, and today's attendance before `now`. The sign-ins open with the last transaction, so that a
 * seed that died half-way is simply begun again.
 *
 * @throws CannotStart where the demo's addresses have accounts already.
 */
export async function seedDemo({ pool, log, now }: { pool: Pool; log: Log; now: () => Date }): Promise<DemoFacts> {
  await refuseSecondDemo(pool);
  const passwordHash = await createPasswords().hash(DEMO_PASSWORD);
  const begun = now();
  const calendar = calendarAt(begun);
  const founded = calendar.evening(90);
  const { franchiseId, ownerAccountId } = await createFranchise(
    { pool, now: () => founded },
    { name: FRANCHISE, ownerEmail: SIGN_INS.owner.email, travelMinutes: 40 },
  );
  const act = actingIn(pool, franchiseId);

  const place = await act(founded, ownerAccountId, seedPlace);
  const staff = await act(founded, ownerAccountId, (ctx) => seedStaff(ctx, place, calendar));
  const account = await act(founded, ownerAccountId, (ctx) => inviteEverybody(ctx, ownerAccountId, place, staff));
  await act(founded, ownerAccountId, (ctx) => seedRules(ctx, place, calendar.day(-80)));
  const plan = await act(calendar.evening(12), account('lead'), (ctx) => seedCurriculum(ctx, place, calendar));
  const gyms = Object.keys(GYMS) as GymKey[];
  const enrolled: [classKey: string, athleteId: string][] = [];
  for (const gym of gyms) {
    const seed = (ctx: Context) => seedChildren(ctx, place, calendar, staff, gym);
    enrolled.push(...(await act(calendar.evening(60), ownerAccountId, seed)));
  }
  const athletes = (classKey: string) => enrolled.flatMap(([key, id]) => (key === classKey ? [id] : []));

  const at = calendar.evening(3);
  const managerId = account('manager');
  const stage = {
    ...{ act, at, accountId: managerId, managerId, ownerId: ownerAccountId },
    ...{ place, calendar, plan, athletes, staff },
  };
  // The gyms have nothing in common from here on but a coach or two: side by side they take half as long.
  const atGyms = await Promise.all(
    gyms.map(async (gym) => {
      const theirs = await seedSchedule(stage, gym);
      await seedStaffing(stage, theirs);
      return theirs;
    }),
  );
  const today = await seedToday({ ...stage, now: begun, deskId: account('desk') });
  const laidOut = [...atGyms.flat(), ...today];
  await act(now(), ownerAccountId, (ctx) => joinEverybody(ctx, account, passwordHash));
  log.info({ franchiseId, athletes: enrolled.length, sessions: laidOut.length }, 'the demo franchise is loaded');
  return { signIns: signInsShown(), refusal: refusalToTry(place, laidOut) };
}
