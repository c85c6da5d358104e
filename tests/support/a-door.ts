import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise } from './a-franchise.ts';
import { aRule, oneTo } from './a-rule.ts';
import { anAssignment, aSession, type TestSession } from './a-session.ts';
import type { Api } from './api.ts';
import { anAthlete, aStaffMember } from './people.ts';

export interface Door {
  f: Franchise;
  session: TestSession;
  /** Of the session's first group, in the order of their names. */
  children: string[];
  coach: string;
  gym: string;
  desk: ReturnType<Api['as']>;
  manager: ReturnType<Api['as']>;
}

export interface DoorOptions {
  gyms?: number;
  door?: 'admit' | 'hold';
  /** Athletes a coach may have. */
  oneTo?: number;
  names?: [given: string, family: string][];
}

/** A franchise whose one session, on Monday 14 September 2026 at 17:00 in Dublin, has a coach; the clock at 16:50. */
export async function aDoor(api: Api, options: DoorOptions = {}): Promise<Door> {
  api.clock.set('2026-09-14T15:50:00Z');
  const f = await aFranchise(api, { confirmWindowDays: 0, gyms: options.gyms ?? 1 });
  await aRule(f, { body: oneTo(options.oneTo ?? 8) });
  const names = options.names ?? [
    ['Aoife', 'Walsh'],
    ['Brian', 'Walsh'],
    ['Clodagh', 'Nolan'],
  ];
  const children: string[] = [];
  for (const [given, family] of names) children.push(await anAthlete(f, { given, family }));
  const session = await aSession(f, { groups: [children] });
  const coach = await aStaffMember(f);
  for (const block of session.blocks) await anAssignment(f, block, coach);
  if (options.door) {
    await f.arrange((tx) => tx.update(t.gyms).set({ door: options.door }));
  }
  return {
    f,
    session,
    children,
    coach,
    gym: `/gyms/${f.gym.id}`,
    desk: api.as(f.deskOf(f.gym)),
    manager: api.as(f.managerOf(f.gym)),
  };
}

/** Somebody who answers for an athlete; gives the person's id. */
export async function aGuardian(f: Franchise, athleteIds: string[], mayCollect = true): Promise<string> {
  const guardianId = newId();
  const ours = { franchiseId: f.id };
  await f.arrange(async (tx) => {
    await tx.insert(t.persons).values({ ...ours, id: guardianId });
    await tx.insert(t.personNames).values({ ...ours, personId: guardianId, given: 'Maeve', family: 'Walsh' });
    await tx
      .insert(t.guardianships)
      .values(athleteIds.map((athleteId) => ({ ...ours, athleteId, guardianId, relation: 'mother', mayCollect })));
  });
  return guardianId;
}

export async function eventsAbout(api: Api, f: Franchise, subjectId: string): Promise<string[]> {
  const { rows } = await api.database.ownerPool.query(
    'SELECT name FROM events WHERE franchise_id = $1 AND subject_id = $2 ORDER BY id',
    [f.id, subjectId],
  );
  return rows.map(({ name }) => name);
}
