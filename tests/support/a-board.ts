import type { Board } from '../../src/features/live/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import type { StoredRule } from '../../src/tables/stored-rule.ts';
import { aFranchise, type Franchise } from './a-franchise.ts';
import { aPublishedPlan, type PlanBlockOptions } from './a-plan.ts';
import { aRule, oneTo } from './a-rule.ts';
import { aClass, anAssignment, aSession, type TestSession } from './a-session.ts';
import type { Api, Caller } from './api.ts';
import { anAthlete, aStaffMember } from './people.ts';

export interface TestBoard {
  f: Franchise;
  gym: string;
  session: TestSession;
  children: string[];
  coach: string;
  manager: Caller;
  desk: Caller;
  read(as?: Caller): Promise<Board>;
  checkIn(ids: string[]): Promise<void>;
  /** What somebody on the staff did, now. */
  staff(personId: string, kind: 'in' | 'out' | 'break' | 'back'): Promise<void>;
}

export interface BoardOptions {
  children?: number;
  born?: string;
  oneTo?: number;
  rules?: Partial<StoredRule>[];
  blocks?: PlanBlockOptions[];
  /** Local wall time in Dublin on Monday 14 September 2026. */
  startsAt?: string;
}

/** A gym with one class of two parts of twenty minutes, 17:00 to 17:40 in Dublin, led by one coach; the clock at 16:50. */
export async function aBoard(api: Api, options: BoardOptions = {}): Promise<TestBoard> {
  api.clock.set('2026-09-14T15:50:00Z');
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(options.oneTo ?? 3) });
  for (const body of options.rules ?? []) await aRule(f, { body, name: 'House rule' });
  const children: string[] = [];
  for (let index = 0; index < (options.children ?? 3); index += 1) {
    children.push(await anAthlete(f, { given: `Child ${index + 1}`, born: options.born ?? '2018-06-10' }));
  }
  const plan = await aPublishedPlan(f, { blocks: options.blocks ?? [{ title: 'Beam' }, { title: 'Bars' }] });
  const of = await aClass(f, { programme: plan.programme });
  const session = await aSession(f, {
    plan,
    class: of,
    groups: [children],
    ...(options.startsAt && { startsAt: options.startsAt }),
  });
  const coach = await aStaffMember(f, { given: 'Niamh', family: 'Byrne' });
  for (const block of session.blocks) await anAssignment(f, block, coach);
  const gym = `/gyms/${f.gym.id}`;
  const [manager, desk] = [api.as(f.managerOf(f.gym)), api.as(f.deskOf(f.gym))];
  return {
    f,
    gym,
    session,
    children,
    coach,
    manager,
    desk,
    read: async (as = desk) => (await as.get<Board>(`${gym}/board`)).body,
    async checkIn(ids) {
      await desk.post(`${gym}/check-ins`, { arrivals: ids.map((athleteId) => ({ athleteId })) });
    },
    async staff(personId, kind) {
      await desk.post(`${gym}/staff-marks`, { personId, kind });
    },
  };
}

/** Somebody on the premises from 16:30 to 18:30 in Dublin, past every check. */
export async function aFloater(f: Franchise, options: { given?: string; family?: string } = {}): Promise<string> {
  const personId = await aStaffMember(f, { given: 'Ana', family: 'Reyes', ...options });
  await f.arrange((tx) =>
    tx.insert(t.assignments).values({
      franchiseId: f.id,
      id: newId(),
      gymId: f.gym.id,
      personId,
      per: 'premises',
      duty: 'assist',
      day: '2026-09-14',
      startsAt: new Date('2026-09-14T15:30:00Z'),
      endsAt: new Date('2026-09-14T17:30:00Z'),
    }),
  );
  return personId;
}
