import { STAFF, type StaffKey } from '../demo/data/staff.ts';
import { DEMO_PASSWORD, SIGN_INS, type SignInKey } from '../demo/sign-ins.ts';
import { type Player, signIn } from './player.ts';
import type { Told } from './told.ts';

/** Who plays in the tour: the demo's sign-ins, one a role. */
export type Cast = Record<SignInKey, Player>;

const SAID: Record<SignInKey, string> = {
  owner: 'The owner',
  lead: 'The programme lead',
  manager: `${STAFF.mara.given} (manager)`,
  desk: `${STAFF.hugo.given} (front desk)`,
  coach: `${STAFF.iris.given} (coach)`,
};

export async function signInCast(url: string, told: Told): Promise<Cast> {
  let steps = 0;
  const step = () => ++steps;
  const player = (key: SignInKey) =>
    signIn({ url, told, step }, SAID[key], { email: SIGN_INS[key].email, password: DEMO_PASSWORD });
  return {
    owner: await player('owner'),
    lead: await player('lead'),
    manager: await player('manager'),
    desk: await player('desk'),
    coach: await player('coach'),
  };
}

/** "Mara Elderquay". */
export const nameOf = (key: StaffKey) => `${STAFF[key].given} ${STAFF[key].family}`;
