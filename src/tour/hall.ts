import { z } from 'zod';
import { KINDS, type KindKey } from '../demo/data/place.ts';
import { SIGN_INS } from '../demo/sign-ins.ts';
import { addDays, dayOf, wallTimeOf } from '../features/schedule/zone-time.ts';
import { type Cast, nameOf } from './cast.ts';
import { find } from './plan.ts';
import { get, post } from './player.ts';

const Added = z.object({ id: z.string() });
const Listed = z.object({ items: z.array(z.object({ id: z.string(), name: z.string() })) });
const AddedStaff = z.object({ personId: z.string() });
const AddedAthlete = z.object({ athleteId: z.string() });
const User = z.object({ user: z.object({ accountId: z.string() }) });

/** Two of them are eleven hours apart or ten: in one it is not near midnight, and a class, and one three hours later, end on the day they begin. */
const ZONES = ['America/Halifax', 'Asia/Bangkok'] as const;

const COACHES = { runa: ['Runa', 'Tidewren'], edda: ['Edda', 'Marlgarth'], piet: ['Piet', 'Osierquay'] } as const;
type CoachKey = keyof typeof COACHES;
export const coachName = (key: CoachKey) => COACHES[key].join(' ');

const CHILDREN = [
  ...['Ottoline', 'Bram', 'Saoirse', 'Thandi', 'Levi', 'Marit'],
  ...['Jory', 'Amara', 'Cosmo', 'Ines', 'Rafe', 'Wilma'],
];
const FAMILY = 'Sedgemantle';

/** A gym of the tour's own, with its people: nobody there is in two places, however often the tour is played. */
export interface Hall {
  gymId: string;
  zone: string;
  coach: Record<CoachKey, string>;
  /** Twelve of seven to nine: ten a coach is what the demo's table allows at these ages, so they take two. */
  athleteIds: string[];
}

/** The owner opens a gym where it is daytime now; the manager and the desk write down who works and trains there. */
export async function openHall({ owner, manager, desk }: Cast, now: Date): Promise<Hall> {
  const zone = ZONES.find((one) => isDaytime(wallTimeOf(now, one))) ?? ZONES[0];
  const today = dayOf(now, zone);
  const name = `Tour hall of ${today}, ${wallTimeOf(now, zone)}`;
  const { id: gymId } = await owner.does(
    `opens a gym, “${name}” (${zone})`,
    post('/gyms', { name, zone, confirmWindowDays: 0 }),
    Added,
    () => 'it is there; only people confirm its blocks.',
  );
  const apparatus = (await owner.reads('/apparatus?limit=200', Listed)).items;
  for (const standing of ['Floor', 'Bars']) {
    const stands = { name: `${standing} corner`, apparatus: [{ apparatusId: find(apparatus, standing).id, items: 2 }] };
    await owner.quietly(post(`/gyms/${gymId}/areas`, stands), Added);
  }
  const role = ({ email, role }: { email: string; role: string }) => post('/users', { email, role, gymId });
  await owner.quietly(role(SIGN_INS.desk), User);
  await owner.does(
    `lets ${nameOf('mara')} manage it, and ${nameOf('hugo')} be at its desk`,
    role(SIGN_INS.manager),
    User,
    () => 'from the next request on; nobody signs in again.',
  );

  const kinds = (await manager.reads('/qualification-kinds?limit=200', Listed)).items;
  const holds = (kind: KindKey, grade: number) => ({
    kindId: find(kinds, KINDS[kind].name).id,
    grade,
    from: addDays(today, -400),
    evidence: 'Certificate seen by the manager',
  });
  const coach = async (key: CoachKey) => {
    const [given, family] = COACHES[key];
    const body = {
      person: { given, family },
      born: addDays(today, -10_000),
      employment: { from: addDays(today, -400) },
      qualifications: [holds('coaching', 2), holds('spotting', 2), holds('check', 1), holds('firstAid', 1)],
    };
    return (await manager.quietly(post(`/gyms/${gymId}/staff`, body), AddedStaff)).personId;
  };
  const coaches = { runa: await coach('runa'), edda: await coach('edda'), piet: await coach('piet') };
  await manager.does(
    'employs three coaches there',
    get(`/gyms/${gymId}/staff`),
    z.object({ items: z.array(AddedStaff).length(3) }),
    () => `${coachName('runa')}, ${coachName('edda')} and ${coachName('piet')}.`,
  );
  const athleteIds: string[] = [];
  for (const [index, given] of CHILDREN.entries()) {
    const child = { person: { given, family: FAMILY }, born: addDays(today, -2700 - 60 * index) };
    athleteIds.push((await desk.quietly(post(`/gyms/${gymId}/athletes`, child), AddedAthlete)).athleteId);
  }
  await desk.does(
    'writes down twelve children',
    get(`/gyms/${gymId}/athletes`),
    z.object({ items: z.array(AddedAthlete).length(CHILDREN.length) }),
    () => 'seven to nine years old.',
  );
  return { gymId, zone, coach: coaches, athleteIds };
}

const isDaytime = (time: string) => time >= '01:00' && time < '19:00';
