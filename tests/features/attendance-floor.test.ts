import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aDoor, aGuardian, type Door, eventsAbout } from '../support/a-door.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { anAthlete } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** A door whose session has a coach with an account. */
async function aFloor() {
  const door = await aDoor(api);
  const me = door.f.coachOf(door.f.gym);
  const block = door.session.blocks[0]!;
  await anAssignment(door.f, block, me.personId, { duty: 'assist' });
  return { ...door, me, coach: api.as(me), block, roll: `${door.gym}/blocks/${block.id}/rolls` };
}
const checkIn = (door: Pick<Door, 'desk' | 'gym'>, ids: string[]) =>
  door.desk.post(`${door.gym}/check-ins`, { arrivals: ids.map((athleteId) => ({ athleteId })) });

interface Taken {
  roll: { rollId: string; here: string[] };
  differences: { athleteId: string; what: string; lastSeen: { blockId: string; at: string } | null }[];
  headsDiffer: boolean;
}

describe('a block’s roll', () => {
  test('says where it and the door differ; whoever came past the desk is in by it', async () => {
    const floor = await aFloor();
    const [aoife, brian, clodagh] = floor.children as [string, string, string];
    await checkIn(floor, [aoife, brian]);
    api.clock.set('2026-09-14T16:02:00Z');
    const taken = await floor.coach.post<Taken>(floor.roll, { here: [aoife, clodagh], missing: [brian], counted: 3 });
    expect(taken.status).toBe(201);
    expect(taken.body.differences.map(({ athleteId, what }) => [athleteId, what])).toEqual([
      [clodagh, 'checked-in'],
      [brian, 'missing'],
    ]);
    expect(taken.body.headsDiffer).toBe(true);
    const state = await floor.desk.get(`${floor.gym}/sessions/${floor.session.id}/attendance`);
    expect(state.body.items.map(({ athleteId, state: now }) => [athleteId, now])).toEqual([
      [clodagh, 'present'],
      [aoife, 'present'],
      [brian, 'present'],
    ]);
    expect(await eventsAbout(api, floor.f, taken.body.roll.rollId)).toEqual([
      'attendance.roll-taken',
      'attendance.roll-differs',
    ]);
    expect(await eventsAbout(api, floor.f, clodagh)).toEqual(['attendance.checked-in']);
    expect((await floor.coach.get(floor.roll)).body.items).toMatchObject([
      { here: [aoife, clodagh].sort(), missing: [brian], counted: 3 },
    ]);
  });

  test('at a changeover says where a missing child was seen last, and that one who is out is out', async () => {
    const door = await aDoor(api);
    const { aPublishedPlan } = await import('../support/a-plan.ts');
    const [aoife, brian] = [await anAthlete(door.f, { given: 'Eimear' }), await anAthlete(door.f, { given: 'Fergus' })];
    const session = await aSession(door.f, {
      plan: await aPublishedPlan(door.f, { blocks: [{}, {}] }),
      groups: [[aoife, brian]],
    });
    const [first, second] = session.blocks as [(typeof session.blocks)[0], (typeof session.blocks)[0]];
    await checkIn(door, [aoife, brian]);
    api.clock.set('2026-09-14T16:01:00Z');
    const roll = (blockId: string, body: unknown) =>
      door.manager.post<Taken>(`${door.gym}/blocks/${blockId}/rolls`, body);
    expect((await roll(first.id, { here: [aoife, brian] })).body.differences).toEqual([]);
    api.clock.set(second.startsAt);
    await door.manager.post(`${door.gym}/outings`, {
      sessionId: session.id,
      athleteId: aoife,
      withPersonId: null,
      why: 'water',
    });
    api.clock.advance({ minutes: 1 });
    expect((await roll(second.id, { here: [], missing: [aoife, brian] })).body.differences).toMatchObject([
      { athleteId: aoife, what: 'out' },
      { athleteId: brian, what: 'missing', lastSeen: { blockId: first.id, at: '2026-09-14T16:01:00.000Z' } },
    ]);
  });

  test('does not let a child in who is on hold, or stopped', async () => {
    const floor = await aFloor();
    const [aoife] = floor.children as [string];
    await floor.f.arrange((tx) =>
      tx.insert(t.activityHolds).values({
        franchiseId: floor.f.id,
        id: newId(),
        athleteId: aoife,
        since: new Date('2026-09-10T16:00:00Z'),
        why: 'suspected concussion',
      }),
    );
    api.clock.set('2026-09-14T16:02:00Z');
    const taken = await floor.coach.post<Taken>(floor.roll, { here: [aoife] });
    expect(taken.body.differences).toMatchObject([{ athleteId: aoife, what: 'stopped' }]);
    const state = await floor.desk.get(`${floor.gym}/sessions/${floor.session.id}/attendance/${aoife}`);
    expect(state.body).toMatchObject({ attendance: { state: 'expected' }, marks: [] });
  });

  test('lets in over the limit, with the alerts of the door', async () => {
    const door = await aDoor(api, { oneTo: 2, door: 'hold' });
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    await checkIn(door, [aoife, brian]);
    api.clock.set('2026-09-14T16:02:00Z');
    const roll = `${door.gym}/blocks/${door.session.blocks[0]!.id}/rolls`;
    const taken = await door.desk.post<Taken & { alerts: { code: string }[] }>(roll, { here: [aoife, brian, clodagh] });
    expect(taken.body.alerts).toMatchObject([{ code: 'short' }]);
    const state = await door.desk.get(`${door.gym}/sessions/${door.session.id}/attendance/${clodagh}`);
    expect(state.body.attendance).toMatchObject({ state: 'present', findings: ['short'] });
    expect(await eventsAbout(api, door.f, clodagh)).toEqual(['attendance.checked-in', 'attendance.over-limit']);
  });

  test('says who is of another group, and whom nobody called', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = [await anAthlete(door.f, { given: 'Eimear' }), await anAthlete(door.f, { given: 'Fergus' })];
    const session = await aSession(door.f, { groups: [[aoife], [brian]] });
    await checkIn(door, [aoife, brian]);
    api.clock.set('2026-09-14T16:02:00Z');
    const taken = await door.desk.post<Taken>(`${door.gym}/blocks/${session.blocks[0]!.id}/rolls`, { here: [brian] });
    expect(taken.body.differences.map(({ athleteId, what }) => [athleteId, what])).toEqual([
      [aoife, 'not-called'],
      [brian, 'other-group'],
    ]);
  });

  test('is taken by the coaches of the block alone', async () => {
    const door = await aDoor(api);
    const coach = api.as(door.f.coachOf(door.f.gym));
    const roll = `${door.gym}/blocks/${door.session.blocks[0]!.id}/rolls`;
    expect((await coach.post(roll, { here: [] })).status).toBe(404);
    expect((await coach.get(roll)).status).toBe(404);
    expect((await door.desk.post(roll, { here: [] })).status).toBe(201);
    const stranger = await door.desk.post(roll, { here: [newId()] });
    expect(stranger.body.errors).toMatchObject([{ pointer: '/here' }]);
  });
});

test('a roll, a headcount or an outing a day early, or long after, is refused', async () => {
  const floor = await aFloor();
  const [aoife] = floor.children as [string];
  const block = floor.session.blocks[0]!;
  const outing = { sessionId: floor.session.id, athleteId: aoife, withPersonId: null, why: 'toilet' };
  const tells = async () => [
    await floor.coach.post(`${floor.gym}/blocks/${block.id}/rolls`, { here: [aoife] }),
    await floor.coach.post(`${floor.gym}/blocks/${block.id}/headcounts`, { counted: 1 }),
    await floor.coach.post(`${floor.gym}/outings`, outing),
  ];
  for (const when of ['2026-09-13T16:00:00Z', '2026-09-15T16:00:00Z']) {
    api.clock.set(when);
    expect((await tells()).map(({ status, body }) => [status, body.errors?.[0]?.pointer])).toEqual([
      [422, '/at'],
      [422, '/at'],
      [422, '/outAt'],
    ]);
  }
});

test('who is in front of the coach has left the session that is over', async () => {
  const floor = await aFloor();
  const [aoife] = floor.children as [string];
  const early = await aSession(floor.f, { class: floor.session.class, plan: floor.session.plan, startsAt: '15:30' });
  api.clock.set('2026-09-14T14:25:00Z');
  await floor.desk.post(`${floor.gym}/check-ins`, { arrivals: [{ athleteId: aoife, sessionId: early.id }] });
  api.clock.set('2026-09-14T16:02:00Z');
  await floor.coach.post(`${floor.gym}/blocks/${floor.session.blocks[0]!.id}/rolls`, { here: [aoife] });
  const { body } = await floor.desk.get<{ items: { sessionId: string }[] }>(`${floor.gym}/present`);
  expect(body.items.map(({ sessionId }) => sessionId)).toEqual([floor.session.id]);
});

test('heads are counted against those who are in and not out of the hall', async () => {
  const floor = await aFloor();
  const [aoife, brian] = floor.children as [string, string];
  await checkIn(floor, [aoife, brian]);
  api.clock.set('2026-09-14T16:05:00Z');
  const count = (counted: number) => floor.coach.post(`${floor.gym}/blocks/${floor.block.id}/headcounts`, { counted });
  expect((await count(2)).body).toMatchObject({ onRoll: 2, differs: false });
  const out = await floor.coach.post(`${floor.gym}/outings`, {
    sessionId: floor.session.id,
    athleteId: aoife,
    withPersonId: floor.me.personId,
    why: 'toilet',
  });
  api.clock.advance({ minutes: 1 });
  expect((await count(2)).body).toMatchObject({ onRoll: 1, differs: true });
  const totals = await api.as(floor.f.lead).get(`${floor.gym}/sessions/${floor.session.id}/attendance-totals`);
  expect(totals.body).toMatchObject({ expected: 1, present: 2, absent: 0, onHold: 0, left: 0, outOfHall: 1 });
  const back = await floor.coach.post(`${floor.gym}/outings/${out.body.outingId}/back`, {});
  expect(back.body).toMatchObject({ backAt: '2026-09-14T16:06:00.000Z' });
  expect((await count(2)).body).toMatchObject({ onRoll: 2, differs: false });
});

describe('out of the hall', () => {
  test('is written at the time or afterwards, and taken back', async () => {
    const floor = await aFloor();
    const [aoife] = floor.children as [string];
    await checkIn(floor, [aoife]);
    api.clock.set('2026-09-14T16:15:00Z');
    const outing = { sessionId: floor.session.id, athleteId: aoife, withPersonId: null, why: 'first aid' };
    const outings = `${floor.gym}/outings`;
    const after = await floor.coach.post(outings, {
      ...outing,
      outAt: '2026-09-14T16:04:00Z',
      backAt: '2026-09-14T16:08:00Z',
    });
    expect(after.status).toBe(201);
    const now = await floor.coach.post(outings, outing);
    expect((await floor.coach.post(outings, outing)).body.type).toBe('/problems/conflict');
    await floor.coach.post(`${outings}/${now.body.outingId}/undo`);
    expect((await floor.coach.post(outings, outing)).status).toBe(201);
    const listed = await floor.coach.get(`${floor.gym}/sessions/${floor.session.id}/outings`);
    expect(listed.body.items).toMatchObject([
      { outAt: '2026-09-14T16:04:00.000Z', backAt: '2026-09-14T16:08:00.000Z' },
      { undoneAt: '2026-09-14T16:15:00.000Z' },
      { backAt: null, undoneAt: null },
    ]);
    const stranger = await floor.coach.post(outings, { ...outing, withPersonId: newId() });
    expect(stranger.body.errors).toMatchObject([{ pointer: '/withPersonId' }]);
  });

  test('says with whom, of one written at the time and of one written afterwards', async () => {
    const floor = await aFloor();
    const [aoife, brian] = floor.children as [string, string];
    const maeve = await aGuardian(floor.f, [brian]);
    await checkIn(floor, [aoife, brian]);
    api.clock.set('2026-09-14T16:15:00Z');
    const outing = { sessionId: floor.session.id, why: 'first aid' };
    const withCoach = { ...outing, athleteId: aoife, withPersonId: floor.me.personId };
    const withMother = {
      ...outing,
      athleteId: brian,
      withPersonId: maeve,
      outAt: '2026-09-14T16:04:00.000Z',
      backAt: '2026-09-14T16:08:00.000Z',
    };
    for (const sent of [withCoach, withMother]) {
      const answer = await floor.coach.post(`${floor.gym}/outings`, sent);
      expect([answer.status, answer.body]).toMatchObject([201, sent]);
    }
    const listed = await floor.coach.get(`${floor.gym}/sessions/${floor.session.id}/outings`);
    expect(listed.body.items).toMatchObject([withCoach, withMother]);
  });
});

describe('staff', () => {
  test('a coach comes, has a break and goes', async () => {
    const floor = await aFloor();
    const mark = (kind: string) => floor.coach.post(`${floor.gym}/staff-marks`, { kind });
    expect((await mark('break')).body.type).toBe('/problems/conflict');
    expect((await mark('in')).body).toMatchObject({ personId: floor.me.personId, state: 'at-work' });
    expect((await mark('in')).body).toMatchObject({ state: 'at-work', staffMarkId: null });
    api.clock.advance({ minutes: 10 });
    expect((await mark('break')).body).toMatchObject({ state: 'on-break' });
    api.clock.advance({ minutes: 5 });
    expect((await mark('back')).body).toMatchObject({ state: 'at-work' });
    api.clock.advance({ minutes: 5 });
    const gone = await mark('out');
    expect(gone.body).toMatchObject({
      state: 'away',
      stays: [
        { kind: 'work', inAt: '2026-09-14T15:50:00.000Z', outAt: '2026-09-14T16:10:00.000Z' },
        { kind: 'break', inAt: '2026-09-14T16:00:00.000Z', outAt: '2026-09-14T16:05:00.000Z' },
      ],
    });
    const undone = await floor.coach.post(`${floor.gym}/staff-marks/${gone.body.staffMarkId}/undo`);
    expect(undone.body).toMatchObject({ state: 'at-work' });
    const all = await floor.desk.get(`${floor.gym}/staff-presence`);
    expect(all.body.items).toMatchObject([{ state: 'away' }, { personId: floor.me.personId, state: 'at-work' }]);
    expect(await eventsAbout(api, floor.f, floor.me.personId)).toEqual([
      'attendance.staff-marked',
      'attendance.staff-marked',
      'attendance.staff-marked',
      'attendance.staff-marked',
      'attendance.staff-mark-undone',
    ]);
  });

  test('who goes after midnight goes on the day on which they came', async () => {
    const floor = await aFloor();
    const mark = (kind: string) => floor.coach.post(`${floor.gym}/staff-marks`, { kind });
    await mark('in');
    api.clock.set('2026-09-14T23:10:00Z'); // Ten past midnight in Dublin.
    expect((await mark('out')).body).toMatchObject({
      state: 'away',
      stays: [{ kind: 'work', inAt: '2026-09-14T15:50:00.000Z', outAt: '2026-09-14T23:10:00.000Z' }],
    });
    expect((await mark('out')).body.type).toBe('/problems/conflict');
  });

  test('others are marked by the desk, not by a coach', async () => {
    const floor = await aFloor();
    const other = floor.session && (await aDoorCoach(floor));
    const mark = { personId: other, kind: 'in' };
    expect((await floor.coach.post(`${floor.gym}/staff-marks`, mark)).status).toBe(403);
    const marked = await floor.desk.post(`${floor.gym}/staff-marks`, mark);
    expect(marked.body).toMatchObject({ personId: other, state: 'at-work' });
    const undo = `${floor.gym}/staff-marks/${marked.body.staffMarkId}/undo`;
    expect((await floor.coach.post(undo)).status).toBe(404);
  });
});

async function aDoorCoach(floor: { f: Door['f'] }): Promise<string> {
  const { aStaffMember } = await import('../support/people.ts');
  return aStaffMember(floor.f, { given: 'Oisín' });
}

describe('what stands in the way', () => {
  test('an id that a roll or a headcount has already', async () => {
    const floor = await aFloor();
    const rollId = newId();
    expect((await floor.coach.post(floor.roll, { rollId, here: [] })).status).toBe(201);
    expect((await floor.coach.post(floor.roll, { rollId, here: [] })).body.type).toBe('/problems/already-exists');
    const counted = await floor.coach.post(`${floor.gym}/blocks/${floor.block.id}/headcounts`, { rollId, counted: 1 });
    expect(counted.body.type).toBe('/problems/already-exists');
  });

  test('an outing that was taken back does not end', async () => {
    const floor = await aFloor();
    const outing = { sessionId: floor.session.id, athleteId: floor.children[0], withPersonId: null, why: 'water' };
    const { body } = await floor.coach.post(`${floor.gym}/outings`, outing);
    await floor.coach.post(`${floor.gym}/outings/${body.outingId}/undo`);
    const back = await floor.coach.post(`${floor.gym}/outings/${body.outingId}/back`, {});
    expect([back.status, back.body.type]).toEqual([409, '/problems/conflict']);
  });

  test('somebody who is there does not come late', async () => {
    const floor = await aFloor();
    const [aoife] = floor.children as [string];
    await checkIn(floor, [aoife]);
    const late = await floor.desk.post(`${floor.gym}/coming-late`, {
      athletes: [{ athleteId: aoife, sessionId: floor.session.id }],
    });
    expect([late.status, late.body.type]).toEqual([409, '/problems/conflict']);
  });

  test('at most a hundred marks, outings and comings of one', async () => {
    const floor = await aFloor();
    const [aoife] = floor.children as [string];
    const of = { franchiseId: floor.f.id, gymId: floor.f.gym.id };
    const undone = { at: new Date('2026-09-14T15:00:00Z'), recordedAt: new Date(), undoneAt: new Date() };
    const hundred = Array.from({ length: 100 }, () => ({ ...of, id: newId(), ...undone }));
    const where = { athleteId: aoife, sessionId: floor.session.id };
    await checkIn(floor, [aoife]);
    await floor.f.arrange(async (tx) => {
      await tx.insert(t.attendanceMarks).values(hundred.map((one) => ({ ...one, ...where, kind: 'out' as const })));
      const outing = { ...where, why: 'water', outAt: undone.at };
      await tx.insert(t.outings).values(hundred.map((one) => ({ ...one, ...outing })));
      const mine = { personId: floor.me.personId, day: '2026-09-14', kind: 'in' as const };
      await tx.insert(t.staffMarks).values(hundred.map((one) => ({ ...one, ...mine })));
    });
    const answers = [
      await floor.desk.post(`${floor.gym}/check-outs`, {
        departures: [{ athleteId: aoife }],
        collectedBy: { alone: true },
      }),
      await floor.coach.post(`${floor.gym}/outings`, { ...where, withPersonId: null, why: 'water' }),
      await floor.coach.post(`${floor.gym}/staff-marks`, { kind: 'in' }),
    ];
    expect(answers.map(({ body }) => body.type)).toEqual(Array(3).fill('/problems/conflict'));
  });

  test('at most twenty others may collect an athlete', async () => {
    const floor = await aFloor();
    const [aoife] = floor.children as [string];
    const add = (n: number) =>
      floor.desk.post(`${floor.gym}/athletes/${aoife}/collectors`, {
        name: `Neighbour ${n}`,
        relation: 'neighbour',
        from: '2026-09-01',
      });
    for (let n = 1; n <= 20; n += 1) expect((await add(n)).status).toBe(201);
    expect((await add(21)).body.type).toBe('/problems/conflict');
  });
});

test('whoever comes for a make-up is in front of the coach of the group that they go with, alerts and all', async () => {
  const { f, gym, desk, coach, session, block } = await aFloor();
  const dara = await anAthlete(f, { given: 'Dara', family: 'Quinn' });
  const alerts = 'Asthma: blue inhaler in the bag.';
  await f.arrange((tx) => tx.insert(t.personHealth).values({ franchiseId: f.id, personId: dara, alerts }));
  const seen = async () => {
    const { items } = (await coach.get(`${gym}/athletes`)).body;
    const sheet = await coach.get<{ alerts: object[] }>(`${gym}/sessions/${session.id}/sheet`);
    const one = await coach.get(`${gym}/athletes/${dara}`);
    return [items.filter(({ athleteId }) => athleteId === dara), one.status, sheet.body.alerts];
  };
  expect(await seen()).toEqual([[], 404, []]);
  await desk.post(`${gym}/check-ins`, { arrivals: [{ athleteId: dara, sessionId: session.id }] });
  expect(await seen()).toMatchObject([[{ alerts }], 200, [{ athleteId: dara, alerts }]]);
  // A coach who only watches that block sees nothing of it.
  await f.arrange((tx) => tx.update(t.assignments).set({ duty: 'shadow' }).where(eq(t.assignments.blockId, block.id)));
  expect(await seen()).toEqual([[], 404, []]);
  await f.arrange((tx) => tx.update(t.assignments).set({ duty: 'lead' }).where(eq(t.assignments.blockId, block.id)));
  expect(await seen()).toMatchObject([[{ alerts }], 200, [{ alerts }]]);
  // And with the day it is over.
  api.clock.set('2026-09-15T08:00:00Z');
  expect(await seen()).toEqual([[], 404, []]);
});
