import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aDoor, aGuardian, eventsAbout } from '../support/a-door.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { anAthlete } from '../support/people.ts';

// An athlete of one gym comes to a sister gym of the franchise for a trial or a make-up.

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Marked {
  attendance: { athleteId: string; state: string; kind: string; findings: string[]; groupId: string | null };
  markId: string | null;
  alerts: { code: string; sentence: string }[];
  stopped: boolean;
  custodyNote: string | null;
}
interface SheetAthlete {
  athleteId: string;
  ownGym: string | null;
  alerts: string | null;
  guardians: unknown[];
  custodyNote: string | null;
}

const SAID = { given: 'Kathleen', family: 'Murphy', born: '2018-06-10' };
const ALERTS = 'Nut allergy: pen in the red bag';
const CUSTODY = 'Court order: not to the father.';
const MONDAY = '2026-09-14';

/** Kathleen of Gym 1, of whom all is on record there; and Gym 2, with a session and its coach that same afternoon. */
async function aSisterGym() {
  const home = await aDoor(api, { gyms: 2, names: [['Aoife', 'Walsh']] });
  const { f } = home;
  const sister = f.gyms[1] ?? f.gym;
  const kathleen = await anAthlete(f, SAID);
  const mother = await aGuardian(f, [kathleen]);
  const ours = { franchiseId: f.id };
  await f.arrange(async (tx) => {
    await tx.insert(t.personHealth).values({ ...ours, personId: kathleen, alerts: ALERTS });
    await tx.insert(t.personContacts).values({ ...ours, personId: mother, phone: '+353 1 555 0101' });
    await tx.insert(t.custodyNotes).values({ ...ours, athleteId: kathleen, revision: 1, note: CUSTODY });
  });
  const session = await aSession(f, { class: await aClass(f, { gym: sister }), groups: [2, 3] });
  const coach = f.coachOf(sister);
  for (const block of session.blocks) await anAssignment(f, block, coach.personId, { gym: sister });
  const desk = api.as(f.deskOf(sister));
  const gym = `/gyms/${sister.id}`;
  return {
    ...{ home, f, sister, kathleen, mother, session, gym, desk, coach: api.as(coach) },
    manager: api.as(f.managerOf(sister)),
    lookUp: (said: object = SAID, as: Caller = desk) => as.post(`${gym}/look-ups`, said),
    come: (more: object = {}, as: Caller = desk) =>
      as.post<{ items: Marked[] } & Record<string, unknown>>(`${gym}/check-ins`, {
        arrivals: [{ athleteId: kathleen, sessionId: session.id, ...more }],
      }),
    onSheet: async (): Promise<SheetAthlete | undefined> => {
      const { body } = await desk.get<{ sessions: { roll: SheetAthlete[] }[] }>(`${gym}/days/${MONDAY}/sheet`);
      return body.sessions.flatMap(({ roll }) => roll).find(({ athleteId }) => athleteId === kathleen);
    },
  };
}
type Sister = Awaited<ReturnType<typeof aSisterGym>>;

/** Where the desk and the coach of the sister gym may read of Kathleen, and whether each found her. */
async function foundBy({ desk, coach, gym, kathleen, session }: Sister) {
  const [read, collecting, byCoach, arrivals, ofCoach, sheet] = await Promise.all([
    desk.get(`${gym}/athletes/${kathleen}`),
    desk.get(`${gym}/athletes/${kathleen}/collecting`),
    coach.get(`${gym}/athletes/${kathleen}`),
    desk.get(`${gym}/arrivals?name=Murphy`),
    coach.get(`${gym}/athletes`),
    coach.get<{ alerts: { athleteId: string }[] }>(`${gym}/sessions/${session.id}/sheet`),
  ]);
  const has = (items: object[]) => items.some((one) => 'athleteId' in one && one.athleteId === kathleen);
  return {
    byStatus: [read.status, collecting.status, byCoach.status],
    inLists: [has(arrivals.body.items), has(ofCoach.body.items), has(sheet.body.alerts)],
  };
}
const NOWHERE = { byStatus: [404, 404, 404], inLists: [false, false, false] };
const EVERYWHERE = { byStatus: [200, 200, 200], inLists: [true, true, true] };

describe('looking up', () => {
  test('by name and birth date, tells id, name and home gym, and both gyms have a line of it', async () => {
    const { lookUp, kathleen, f, sister, home, manager } = await aSisterGym();
    for (const said of [SAID, { ...SAID, given: 'Kahtleen', family: 'Murfy' }]) {
      const { status, body } = await lookUp(said);
      const found = { athleteId: kathleen, given: 'Kathleen', family: 'Murphy', gymName: 'Gym 1' };
      expect([status, body]).toEqual([200, { items: [found] }]);
    }
    const line = {
      accountId: f.deskOf(sister).accountId,
      subjectId: kathleen,
      data: { athleteId: kathleen, atGymId: sister.id },
    };
    for (const [as, gymId] of [
      [manager, sister.id],
      [home.manager, f.gym.id],
    ] as const) {
      const { body } = await as.get(`/gyms/${gymId}/events?name=attendance.looked-up`);
      expect(body.items).toMatchObject([line, line]);
    }
  });

  test.each([
    ['another birth date', { born: '2018-06-11' }],
    ['another given name', { given: 'Brian' }],
    ['another family name', { family: 'Walsh' }],
    ['a letter', { given: 'K', family: 'M' }],
    ['no given name to speak of', { given: '%' }],
  ])('%s finds nobody, and this gym has a line of that alone', async (_, other) => {
    const { lookUp, sister, home, manager, f, come } = await aSisterGym();
    expect((await lookUp({ ...SAID, ...other })).body).toEqual({ items: [] });
    const { body } = await manager.get(`/gyms/${sister.id}/events?name=attendance.looked-up`);
    expect(body.items).toMatchObject([{ data: { athleteId: null, atGymId: sister.id } }]);
    expect((await home.manager.get(`/gyms/${f.gym.id}/events?name=attendance.looked-up`)).body.items).toEqual([]);
    expect((await come()).status).toBe(422);
  });

  test('without a birth date, by a coach, by the owner, and across franchises: refused or nobody', async () => {
    const { lookUp, coach, f, home, sister, kathleen } = await aSisterGym();
    const { born: _, ...name } = SAID;
    const { status, body } = await lookUp(name);
    expect([status, body.errors.map(({ pointer }) => pointer)]).toEqual([422, ['/born']]);
    expect((await lookUp(SAID, coach)).status).toBe(403);
    expect((await lookUp(SAID, api.as(f.owner))).status).toBe(403);
    expect((await lookUp(SAID, home.desk)).status).toBe(404);
    const other = await aFranchise(api);
    expect((await lookUp(SAID, api.as(other.deskOf(other.gym)))).status).toBe(404);
    const there = await api.as(other.deskOf(other.gym)).post(`/gyms/${other.gym.id}/look-ups`, SAID);
    expect(there.body).toEqual({ items: [] });
    await f.arrange((tx) => tx.update(t.athletes).set({ gymId: sister.id }).where(eq(t.athletes.personId, kathleen)));
    expect((await lookUp()).body.items).toMatchObject([{ gymName: 'Gym 2' }]);
  });
});

describe('checking in', () => {
  test('an id alone opens nothing: neither does a look-up before the athlete has come', async () => {
    const one = await aSisterGym();
    const refused = await one.come();
    expect([refused.status, refused.body.errors]).toMatchObject([422, [{ pointer: '/arrivals/0/athleteId' }]]);
    await one.lookUp();
    expect(await foundBy(one)).toEqual(NOWHERE);
    expect((await one.come({}, one.coach)).status).toBe(403);
    const { desk, gym, kathleen, session, coach } = one;
    const notComing = { athletes: [{ athleteId: kathleen, sessionId: session.id }] };
    expect((await desk.post(`${gym}/not-coming`, notComing)).status).toBe(422);
    const roll = await coach.post(`${gym}/blocks/${session.blocks[0]?.id}/rolls`, { here: [kathleen], missing: [] });
    expect([roll.status, roll.body.errors]).toMatchObject([422, [{ pointer: '/here' }]]);
    expect(await eventsAbout(api, one.f, kathleen)).toEqual(['attendance.looked-up', 'attendance.looked-up']);
  });

  test('beside somebody whom nobody looked up, that one is named', async () => {
    const { lookUp, desk, gym, kathleen, session } = await aSisterGym();
    await lookUp();
    const arrivals = [kathleen, newId()].map((athleteId) => ({ athleteId, sessionId: session.id }));
    const { status, body } = await desk.post(`${gym}/check-ins`, { arrivals });
    expect([status, body.errors]).toMatchObject([422, [{ pointer: '/arrivals/1/athleteId' }]]);
  });

  test('their session is not moved to another day while they are marked in: reading would go with it', async () => {
    const one = await aSisterGym();
    const { lookUp, come, manager, desk, gym, session } = one;
    await lookUp();
    const { body } = await come();
    const move = (day: string, revision = 1) =>
      manager.post(`${gym}/sessions/${session.id}/move`, { day, time: '17:10' }, { ifMatch: revision });
    const refused = await move('2026-09-15');
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/conflict']);
    // Later the same day it may begin.
    expect((await move(MONDAY)).status).toBe(200);
    await desk.post(`${gym}/attendance-marks/${body.items[0]?.markId}/undo`);
    expect((await move('2026-09-15', 2)).status).toBe(200);
    api.clock.set('2026-09-15T12:00:00Z');
    expect(await foundBy(one)).toEqual(NOWHERE);
  });

  test('once looked up, they come for the day, and are known as the gym’s own are', async () => {
    const one = await aSisterGym();
    const { lookUp, come, kathleen, mother, session, gym, desk, coach, onSheet } = one;
    await lookUp();
    const { status, body } = await come({ kind: 'trial' });
    const attendance = { state: 'present', kind: 'trial', groupId: session.groups[0]?.id };
    expect([status, body.items]).toMatchObject([201, [{ attendance, stopped: false, custodyNote: CUSTODY }]]);
    expect(await foundBy(one)).toEqual(EVERYWHERE);
    const record = { guardians: [{ guardianId: mother, contacts: { phone: '+353 1 555 0101' } }] };
    expect((await desk.get(`${gym}/athletes/${kathleen}`)).body).toMatchObject({ alerts: ALERTS, record });
    expect((await coach.get(`${gym}/athletes/${kathleen}`)).body).toMatchObject({ alerts: ALERTS, record: null });
    expect(await onSheet()).toMatchObject({ ownGym: 'Gym 1', alerts: ALERTS, custodyNote: CUSTODY, guardians: [{}] });
    const page = await desk.get(`${gym}/days/${MONDAY}/sheet.html`);
    expect(page.text).toContain('of <bdi>Gym 1</bdi>');
    // The gym's own list stays its own, and the record is written at home alone.
    expect(JSON.stringify((await desk.get(`${gym}/athletes`)).body)).not.toContain(kathleen);
    const written = await desk.put(`${gym}/athletes/${kathleen}/custody-note`, { note: 'No.' }, { ifMatch: 1 });
    expect(written.status).toBe(404);
    const out = { sessionId: session.id, athleteId: kathleen, withPersonId: null, why: 'Toilet', backAt: null };
    expect((await desk.post(`${gym}/outings`, out)).status).toBe(201);
    const stranger = await desk.post(`${gym}/check-outs`, {
      departures: [{ athleteId: kathleen }],
      collectedBy: { guardianId: newId() },
    });
    expect(stranger.body.type).toBe('/problems/may-not-collect');
    const leave = { departures: [{ athleteId: kathleen }], collectedBy: { guardianId: mother } };
    const left = await desk.post(`${gym}/check-outs`, leave);
    expect(left.body.items).toMatchObject([{ attendance: { state: 'left' } }]);
  });

  test('what opened ends: with the mark taken back, and with the day', async () => {
    const one = await aSisterGym();
    const { lookUp, come, desk, gym, onSheet, f } = one;
    await lookUp();
    const wrong = await come();
    await desk.post(`${gym}/attendance-marks/${wrong.body.items[0]?.markId}/undo`);
    expect(await foundBy(one)).toEqual(NOWHERE);
    await come();
    api.clock.set('2026-09-15T00:30:00Z');
    expect((await foundBy(one)).byStatus).toEqual([200, 200, 404]);
    api.clock.set('2026-09-15T05:30:00Z');
    expect(await foundBy(one)).toEqual(NOWHERE);
    expect(await onSheet()).toMatchObject({ ownGym: 'Gym 1', alerts: null, custodyNote: null, guardians: [] });
    const tuesday = await aSession(f, { class: one.session.class, plan: one.session.plan, day: '2026-09-15' });
    api.clock.set('2026-09-15T15:50:00Z');
    const refused = await come({ sessionId: tuesday.id });
    expect(refused.body.errors).toMatchObject([{ pointer: '/arrivals/0/athleteId' }]);
    // Who was forgotten the evening before can still be marked out.
    const gone = { departures: [{ athleteId: one.kathleen }], collectedBy: { guardianId: one.mother } };
    expect((await desk.post(`${gym}/check-outs`, gone)).status).toBe(201);
    expect(await foundBy(one)).toEqual(NOWHERE);
    await lookUp();
    expect((await come({ sessionId: tuesday.id })).status).toBe(201);
  });

  test('a concussion suspected at home stops them here, whoever asks', async () => {
    const { lookUp, come, home, kathleen, desk, gym, session } = await aSisterGym();
    await home.desk.post(`${home.gym}/incidents`, {
      kind: 'injury',
      what: 'Fell on the stairs and hit her head.',
      blockId: null,
      people: [{ personId: kathleen, part: 'hurt' }],
      suspectedConcussions: [{ athleteId: kathleen, observed: [] }],
    });
    await lookUp();
    expect((await come()).body.items).toMatchObject([
      { stopped: true, attendance: { state: 'on-hold', findings: ['activity-hold'] } },
    ]);
    const released = await desk.post(`${gym}/sessions/${session.id}/attendance/${kathleen}/release`, {});
    expect(released.body.type).toBe('/problems/conflict');
    // At the door somebody has to be rung.
    expect((await desk.get(`${gym}/athletes/${kathleen}/collecting`)).body).toMatchObject({ guardians: [{}] });
  });

  test('a note here may name whoever came, and nobody whose coming was a mistake', async () => {
    const { lookUp, come, kathleen, desk, gym } = await aSisterGym();
    const note = { kind: 'small-bump', what: 'Bumped her knee.', blockId: null };
    const write = () => desk.post(`${gym}/incidents`, { ...note, people: [{ personId: kathleen, part: 'hurt' }] });
    await lookUp();
    const { body } = await come();
    expect((await write()).status).toBe(201);
    await desk.post(`${gym}/attendance-marks/${body.items[0]?.markId}/undo`);
    expect((await write()).status).toBe(422);
  });

  test('nobody is in two places, whichever gym is first', async () => {
    const { lookUp, come, home, kathleen, desk, gym } = await aSisterGym();
    await lookUp();
    const atHome = { arrivals: [{ athleteId: kathleen, sessionId: home.session.id }] };
    const leave = { departures: [{ athleteId: kathleen }], collectedBy: { alone: true } };
    const atOnce = [come(), home.desk.post(`${home.gym}/check-ins`, atHome)];
    expect((await Promise.all(atOnce)).map(({ status }) => status).sort()).toEqual([201, 409]);
    await desk.post(`${gym}/check-outs`, leave);
    await home.desk.post(`${home.gym}/check-outs`, leave);
    api.clock.advance({ minutes: 5 });
    await home.desk.post(`${home.gym}/check-ins`, atHome);
    const refused = await come();
    expect([refused.status, refused.body.detail]).toEqual([409, expect.stringContaining('in at Gym 1')]);
    await home.desk.post(`${home.gym}/check-outs`, leave);
    api.clock.advance({ minutes: 5 });
    expect((await come()).status).toBe(201);
    const back = await home.desk.post(`${home.gym}/check-ins`, atHome);
    expect([back.status, back.body.detail]).toEqual([409, expect.stringContaining('in at Gym 2')]);
    api.clock.advance({ minutes: 5 });
    await desk.post(`${gym}/check-outs`, leave);
    expect((await home.desk.post(`${home.gym}/check-ins`, atHome)).status).toBe(201);
  });

  test('they count by age and by what they need', async () => {
    const { lookUp, come, f, kathleen, sister } = await aSisterGym();
    await aRule(f, { gym: sister, name: 'One to two', body: oneTo(2) });
    await f.arrange((tx) =>
      tx
        .insert(t.athleteSupports)
        .values({ franchiseId: f.id, id: newId(), athleteId: kathleen, from: '2026-01-01', until: null }),
    );
    await lookUp();
    const { body } = await come();
    expect(body.items[0]?.alerts.map(({ code }) => code)).toEqual(['support']);
    expect(body.items[0]?.alerts[0]?.sentence).toContain('Kathleen Murphy');
  });

  test('from a device: only whoever was looked up that day, written down in two places too, and told', async () => {
    const { lookUp, desk, sister, session, kathleen, home } = await aSisterGym();
    const handIn = async (at: string) => {
      const item = {
        clientId: newId(),
        kind: 'in',
        at: `${MONDAY}T${at}Z`,
        athleteId: kathleen,
        sessionId: session.id,
      };
      return (await desk.post('/offline-batches', { gymId: sister.id, items: [item] })).body.items;
    };
    expect(await handIn('15:49:00')).toMatchObject([{ outcome: 'refused', problem: 'invalid-request' }]);
    await lookUp();
    await home.desk.post(`${home.gym}/check-ins`, {
      arrivals: [{ athleteId: kathleen, sessionId: home.session.id }],
    });
    api.clock.set('2026-09-15T08:00:00Z');
    expect(await handIn('15:55:00')).toMatchObject([{ outcome: 'recorded', problem: 'conflict' }]);
  });
});
