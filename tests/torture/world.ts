import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise, type TestGym } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, type TestClass } from '../support/a-session.ts';
import { aQualificationKind, aStaffMember, athletes } from '../support/people.ts';
import type { Caller } from './caller.ts';
import type { DurableServer } from './server.ts';

/** A session as a client last saw it. */
export interface SeenSession {
  id: string;
  gymId: string;
  classId: string;
  day: string;
  revision: number;
  state: string;
  groups: string[];
  blocks: { id: string; groupId: string; startsAt: string; endsAt: string }[];
}

/** Where it all happens: two gyms with few coaches, many of whom are wanted in two places. */
export interface World {
  f: Franchise;
  today: string;
  kindId: string;
  skillId: string;
  planId: string;
  franchiseRule: string;
  gymRule: string;
  classes: TestClass[];
  /** By gym. */
  staff: Map<string, string[]>;
  athletes: Map<string, string[]>;
  guardianId: string;
  sessions: Map<string, SeenSession>;
}

const DAY_MS = 86_400_000;
export const dayAfter = (day: string, days: number) =>
  new Date(Date.parse(day) + days * DAY_MS).toISOString().slice(0, 10);

/** A zone in which it is about noon, so that today's sessions are ahead, and near enough to come to. */
function zoneAtNoon(now: Date): string {
  const west = (now.getUTCHours() - 12 + 24) % 24;
  return west <= 12 ? `Etc/GMT+${west}` : `Etc/GMT-${24 - west}`;
}

/** Somebody who counts: of age, and qualified. */
const counted = (kind: string) => ({
  test: 'all' as const,
  of: [
    { test: 'age' as const, atLeastYears: 18 },
    { test: 'holds' as const, kind, grade: 1 },
  ],
});

export const limitsOf = (older: string) => [
  { id: 'under 5', to: { months: 60 }, limits: [{ athletesPerCoach: '2' }] },
  { id: '5 and over', from: { months: 60 }, limits: [{ athletesPerCoach: older }] },
];

/** Writes the franchise past the service; what follows goes through it. */
export async function aWorld(server: DurableServer, now: Date): Promise<World> {
  const zone = zoneAtNoon(now);
  const today = new Intl.DateTimeFormat('sv', { timeZone: zone }).format(now);
  const f = await aFranchise({ database: server }, { gyms: 2, zone });
  const kind = await aQualificationKind(f);
  const [big, small] = [f.gyms[0], f.gyms[1]!];
  const franchiseRule = await aRule(f, {
    body: { ...oneTo(3), counts: [{ who: counted(kind.id), share: '1', maxOf: null }] },
  });
  const gymRule = await aRule(f, {
    gym: big,
    name: 'Somebody certified in the session',
    body: {
      per: 'session',
      floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 1, who: counted(kind.id) }] }],
    },
  });
  const plan = await aPublishedPlan(f, { blocks: [{}, { stations: [{ handsOn: { kind } }] }] });
  const [skillId, guardianId] = [crypto.randomUUID(), crypto.randomUUID()];
  const drillId = plan.blocks[1]!.stations[0]!.drillId;

  const weekday = new Date(today).getUTCDay() || 7;
  const classes: TestClass[] = [];
  const at = { programme: plan.programme, weekday, from: dayAfter(today, -70) };
  for (const startsAt of ['16:00', '16:20', '16:40']) classes.push(await aClass(f, { ...at, startsAt }));
  classes.push(await aClass(f, { ...at, gym: small, startsAt: '16:20' }));

  const staff = new Map<string, string[]>(f.gyms.map(({ id }) => [id, []]));
  const hire = async (gyms: TestGym[]) => {
    const id = await aStaffMember(f, { gyms, holds: [{ kind }] });
    for (const gym of gyms) staff.get(gym.id)!.push(id);
  };
  for (const gyms of [[big], [big], [big], [big], [big, small], [big, small], [small]]) await hire(gyms);
  const children = new Map([
    [big.id, await athletes(f, 17)],
    [small.id, await athletes(f, 5, { gym: small })],
  ]);
  const everyChild = [...children.values()].flat();
  await f.arrange(async (tx) => {
    const ours = { franchiseId: f.id };
    await tx.insert(t.skills).values({ ...ours, id: skillId, name: 'Handstand', apparatusId: f.apparatus.floor });
    // A version published from now on asks its spotter for a sign-off as well.
    await tx.insert(t.drillSkills).values({ ...ours, drillId, skillId, signOff: 'helped' });
    await tx.insert(t.persons).values({ ...ours, id: guardianId });
    await tx.insert(t.personNames).values({ ...ours, personId: guardianId, given: 'Orla', family: 'Walsh' });
    const mother = { ...ours, guardianId, relation: 'mother', mayCollect: true };
    await tx.insert(t.guardianships).values(everyChild.map((athleteId) => ({ ...mother, athleteId })));
    await tx.update(t.gyms).set({ door: 'hold' });
  });
  return {
    ...{ f, today, kindId: kind.id, skillId, planId: plan.id, franchiseRule, gymRule, classes, staff, guardianId },
    athletes: children,
    sessions: new Map(),
  };
}

/** Enrols children, lays out today and the same day next week, and confirms the first of it, over HTTP. */
export async function fillWorld(world: World, owner: Caller): Promise<void> {
  for (const [index, its] of world.classes.entries()) {
    const gymId = its.gym.id;
    const from = its.gym.id === world.f.gym.id ? index * 4 : 0;
    for (const athleteId of world.athletes.get(gymId)!.slice(from, from + 4)) {
      await owner.write('enrol', `/gyms/${gymId}/classes/${its.id}/enrolments`, { athleteId, from: world.today });
    }
    await layOut(world, owner, its, world.today);
    if (index < 2) await layOut(world, owner, its, dayAfter(world.today, 7));
  }
  const [first] = world.sessions.values();
  if (!first) throw new Error('nothing was laid out');
  const gym = `/gyms/${first.gymId}`;
  const staff = world.staff.get(first.gymId)!;
  for (const { id, groupId } of first.blocks) {
    const body = { personId: staff[first.groups.indexOf(groupId)], duty: 'lead' };
    await owner.write('assign', `${gym}/blocks/${id}/assignments`, body);
  }
  const { status } = await owner.write('confirm', `${gym}/sessions/${first.id}/confirm`, undefined);
  if (status !== 200) throw new Error('the first session could not be confirmed');
}

/** A class's session of that day, with two groups. */
export async function layOut(world: World, owner: Caller, its: TestClass, day: string): Promise<void> {
  const gym = `/gyms/${its.gym.id}`;
  const { body } = await owner.write(
    'lay out sessions',
    `${gym}/classes/${its.id}/sessions`,
    { from: day, until: dayAfter(day, 1) },
    {
      told: (made) =>
        Array.isArray(made.laidOut) && made.laidOut.length > 0 ? [['schedule.sessions-laid-out', its.id]] : [],
    },
  );
  for (const { id, revision } of sessionsIn(body.laidOut)) {
    await owner.write(
      'lay out blocks',
      `${gym}/sessions/${id}/lay-out`,
      { planId: world.planId, groupCount: 2 },
      { ifMatch: revision, told: () => [['schedule.blocks-laid-out', id]] },
    );
    await see(world, owner, its.gym.id, id);
  }
}

const sessionsIn = (value: unknown): { id: string; revision: number }[] => (Array.isArray(value) ? value : []);

/** Reads a session anew, and remembers it. */
export async function see(world: World, caller: Caller, gymId: string, id: string): Promise<SeenSession | null> {
  const body = await caller.read(`/gyms/${gymId}/sessions/${id}`);
  if (body === null) return null;
  const { classId, day, revision, state, groups, blocks } = body;
  if (typeof classId !== 'string' || typeof day !== 'string' || !Array.isArray(groups) || !Array.isArray(blocks)) {
    throw new Error('that is no session');
  }
  const seen = { id, gymId, classId, day, revision, state: String(state), groups: groups.map((one) => one.id), blocks };
  if (state === 'cancelled') world.sessions.delete(id);
  else world.sessions.set(id, seen);
  return seen;
}
