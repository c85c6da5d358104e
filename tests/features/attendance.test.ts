import { eq, inArray } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aDoor, aGuardian, type Door, eventsAbout } from '../support/a-door.ts';
import { aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { anAthlete } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Marked {
  attendance: {
    athleteId: string;
    sessionId: string;
    state: string;
    stays: { inAt: string | null; outAt: string | null }[];
    late: boolean;
    leftEarly: boolean;
    notCollected: boolean;
    kind: string;
    findings: string[];
    groupId: string | null;
  };
  markId: string | null;
  alerts: { code: string; sentence: string }[];
  stopped: boolean;
  custodyNote: string | null;
}
type Markeds = { items: Marked[] };

const checkIn = (door: Door, ids: string[], more: Record<string, unknown> = {}) =>
  door.desk.post<Markeds>(`${door.gym}/check-ins`, { arrivals: ids.map((athleteId) => ({ athleteId })), ...more });
/** What the events of that name about somebody carry, the first one first. */
const dataOf = async (door: Door, subjectId: string, name: string) => {
  const { rows } = await api.database.ownerPool.query(
    'SELECT data FROM events WHERE franchise_id = $1 AND subject_id = $2 AND name = $3 ORDER BY id',
    [door.f.id, subjectId, name],
  );
  return rows.map(({ data }) => data);
};
const rollOf = async (door: Door) =>
  (await door.desk.get<{ items: Marked['attendance'][] }>(`${door.gym}/sessions/${door.session.id}/attendance`)).body
    .items;

describe('checking in', () => {
  test('a family comes in with one request, to the session that they are expected at', async () => {
    const door = await aDoor(api);
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const answer = await checkIn(door, [aoife, brian]);
    expect(answer.status).toBe(201);
    expect(answer.body.items).toMatchObject([
      {
        attendance: {
          athleteId: aoife,
          sessionId: door.session.id,
          kind: 'enrolled',
          state: 'present',
          late: false,
          stays: [{ inAt: '2026-09-14T15:50:00.000Z', outAt: null }],
        },
        alerts: [],
        stopped: false,
      },
      { attendance: { athleteId: brian, state: 'present' } },
    ]);
    expect((await rollOf(door)).map(({ athleteId, state }) => [athleteId, state])).toEqual([
      [clodagh, 'expected'],
      [aoife, 'present'],
      [brian, 'present'],
    ]);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-in']);
  });

  test('twice is once', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await checkIn(door, [aoife]);
    api.clock.advance({ minutes: 5 });
    const again = await checkIn(door, [aoife]);
    expect(again.body.items).toMatchObject([
      { markId: null, attendance: { state: 'present', stays: [{ inAt: '2026-09-14T15:50:00.000Z' }] } },
    ]);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-in']);
  });

  test('after the start is late; a time may be given, but none ahead', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    api.clock.set('2026-09-14T16:10:00Z');
    expect((await checkIn(door, [aoife])).body.items).toMatchObject([{ attendance: { late: true } }]);
    const earlier = await checkIn(door, [brian], { at: '2026-09-14T15:58:00Z' });
    expect(earlier.body.items).toMatchObject([
      { attendance: { late: false, stays: [{ inAt: '2026-09-14T15:58:00.000Z' }] } },
    ]);
    const ahead = await door.desk.post(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: aoife }],
      at: '2026-09-14T16:15:00Z',
    });
    expect(ahead.status).toBe(422);
    expect(ahead.body.errors).toMatchObject([{ pointer: '/at' }]);
  });

  test('somebody not enrolled comes to a make-up or a trial, in the smallest group; without a session it is asked which', async () => {
    const door = await aDoor(api);
    const dara = await anAthlete(door.f, { given: 'Dara', family: 'Quinn' });
    const where = await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: dara }] });
    expect(where.status).toBe(422);
    expect(where.body.errors).toMatchObject([{ pointer: '/arrivals/0/sessionId' }]);
    const made = await door.desk.post<Markeds>(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: dara, sessionId: door.session.id, kind: 'trial' }],
    });
    expect(made.body.items).toMatchObject([
      { attendance: { kind: 'trial', state: 'present', groupId: door.session.groups[0]?.id } },
    ]);
    expect((await rollOf(door)).map(({ kind }) => kind)).toEqual(['enrolled', 'trial', 'enrolled', 'enrolled']);
  });

  test('a guest who walks in needs a name and somebody to reach', async () => {
    const door = await aDoor(api);
    const guest = {
      given: 'Ebele',
      family: 'Okafor',
      born: null,
      phone: '+353 1 555 0147',
      sessionId: door.session.id,
    };
    const guestId = newId();
    const answer = await door.desk.post<Markeds>(`${door.gym}/guests`, { ...guest, guestId });
    expect(answer.status).toBe(201);
    expect(answer.body.items).toMatchObject([
      {
        attendance: { athleteId: guestId, kind: 'guest', state: 'present', given: 'Ebele' },
        alerts: [],
      },
    ]);
    const known = await door.desk.get(`${door.gym}/athletes/${guestId}`);
    expect(known.body.record).toMatchObject({ contacts: { phone: '+353 1 555 0147' } });
    // The answer may have been lost: the same sent again is one, whatever became of them since.
    const again = await door.desk.post<Markeds>(`${door.gym}/guests`, { ...guest, guestId });
    expect([again.status, again.body.items]).toMatchObject([201, [{ markId: null, attendance: { state: 'present' } }]]);
    expect(await eventsAbout(api, door.f, guestId)).toEqual(['people.athlete-added', 'attendance.checked-in']);
    const others = [{ born: '2019-05-01' }, { given: 'Ada' }, { phone: '+353 1 555 0148' }];
    for (const other of others) {
      const refused = await door.desk.post(`${door.gym}/guests`, { ...guest, ...other, guestId });
      expect([refused.status, refused.body.type]).toEqual([409, '/problems/already-exists']);
    }
    const enrolled = { ...guest, guestId: door.children[0] };
    expect((await door.desk.post(`${door.gym}/guests`, enrolled)).status).toBe(409);
  });

  test.each(['given', 'family', 'phone'])('a guest without %s is refused', async (field) => {
    const door = await aDoor(api);
    const guest = {
      given: 'Ebele',
      family: 'Okafor',
      born: null,
      phone: '+353 1 555 0147',
      sessionId: door.session.id,
    };
    for (const without of [undefined, '']) {
      const { status, body } = await door.desk.post(`${door.gym}/guests`, { ...guest, [field]: without });
      expect([status, new Set(body.errors.map(({ pointer }) => pointer))]).toEqual([422, new Set([`/${field}`])]);
    }
    expect(await rollOf(door)).toHaveLength(door.children.length);
  });

  test('absent, late and there after all', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const at = (athleteId: string) => ({ athletes: [{ athleteId, sessionId: door.session.id }] });
    const absent = await door.desk.post<Markeds>(`${door.gym}/not-coming`, at(aoife));
    expect(absent.body.items).toMatchObject([{ attendance: { state: 'absent' } }]);
    const late = await door.desk.post<Markeds>(`${door.gym}/coming-late`, at(brian));
    expect(late.body.items).toMatchObject([{ attendance: { state: 'expected', late: true } }]);
    api.clock.advance({ minutes: 1 });
    expect((await checkIn(door, [aoife])).body.items).toMatchObject([{ attendance: { state: 'present' } }]);
    const refused = await door.desk.post(`${door.gym}/not-coming`, at(aoife));
    expect(refused.body.type).toBe('/problems/conflict');
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.absent', 'attendance.checked-in']);
  });

  test('names are found in spite of their spelling', async () => {
    const door = await aDoor(api, {
      names: [
        ['Séan', 'Ó Briain'],
        ['Kathleen', 'Murphy'],
        ['Tom', 'Hayes'],
      ],
    });
    const [sean, kathleen] = door.children as [string, string];
    const find = async (name: string) =>
      (await door.desk.get(`${door.gym}/arrivals?name=${encodeURIComponent(name)}`)).body.items;
    expect(await find('Kahtleen Murfy')).toMatchObject([
      { athleteId: kathleen, stopped: false, sessions: [{ sessionId: door.session.id, state: 'expected' }] },
    ]);
    expect((await find('sean o brian'))[0]).toMatchObject({ athleteId: sean });
    expect((await find('murphy kathleen'))[0]).toMatchObject({ athleteId: kathleen });
    expect(await find('zzyzx')).toEqual([]);
    await anAthlete(door.f, { given: 'Not', family: 'Today' });
    expect((await door.desk.get(`${door.gym}/arrivals`)).body.items.map(({ given }) => given)).toEqual([
      'Tom',
      'Kathleen',
      'Séan',
    ]);
  });
});

describe('over the limit', () => {
  test('a gym that admits lets them in with an alert and an event', async () => {
    const door = await aDoor(api, { oneTo: 2 });
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const answer = await checkIn(door, [aoife, brian, clodagh]);
    expect(
      answer.body.items.map(({ attendance, alerts }) => [attendance.state, alerts.map(({ code }) => code)]),
    ).toEqual([
      ['present', []],
      ['present', []],
      ['present', ['short']],
    ]);
    expect(answer.body.items[2]?.alerts[0]?.sentence).toEqual(expect.any(String));
    expect(await eventsAbout(api, door.f, clodagh)).toEqual(['attendance.checked-in', 'attendance.over-limit']);
  });

  test('a gym that holds puts them on hold, with why, until they are released', async () => {
    const door = await aDoor(api, { oneTo: 2, door: 'hold' });
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const answer = await checkIn(door, [aoife, brian, clodagh]);
    expect(answer.body.items.map(({ attendance }) => attendance.state)).toEqual(['present', 'present', 'on-hold']);
    expect(answer.body.items[2]).toMatchObject({
      attendance: { findings: ['short'], stays: [] },
      alerts: [{ code: 'short' }],
    });
    expect(await eventsAbout(api, door.f, clodagh)).toEqual(['attendance.held', 'attendance.over-limit']);
    // Still over: still held.
    expect((await checkIn(door, [clodagh])).body.items).toMatchObject([{ attendance: { state: 'on-hold' } }]);
    const release = `${door.gym}/sessions/${door.session.id}/attendance/${clodagh}/release`;
    api.clock.advance({ minutes: 2 });
    const released = await door.desk.post<Markeds>(release, {});
    expect(released.body.items).toMatchObject([
      { attendance: { state: 'present', stays: [{ inAt: '2026-09-14T15:52:00.000Z' }] } },
    ]);
    expect((await door.desk.post(release, {})).body.type).toBe('/problems/conflict');
  });

  test('two desks at once admit only as many as fit', async () => {
    const door = await aDoor(api, { oneTo: 1, door: 'hold' });
    const answers = await Promise.all(door.children.map((child) => checkIn(door, [child])));
    const states = answers.map(({ body }) => body.items[0]?.attendance.state).sort();
    expect(states).toEqual(['on-hold', 'on-hold', 'present']);
  });

  test('a coach who has gone counts no more', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const ours = { franchiseId: door.f.id, gymId: door.f.gym.id, day: '2026-09-14', personId: door.coach };
    await door.f.arrange((tx) =>
      tx.insert(t.staffStays).values({
        ...ours,
        position: 1,
        kind: 'work',
        inAt: new Date('2026-09-14T15:00:00Z'),
        outAt: new Date('2026-09-14T15:40:00Z'),
      }),
    );
    expect((await checkIn(door, [aoife])).body.items).toMatchObject([{ alerts: [{ code: 'short' }] }]);
  });

  test('the setting is the gym’s, and its change is an event', async () => {
    const door = await aDoor(api, { oneTo: 1 });
    const gym = await door.manager.get(door.gym);
    expect(gym.body).toMatchObject({ door: 'admit' });
    const changed = await door.manager.patch(door.gym, { door: 'hold' }, { ifMatch: gym.body.revision });
    expect(changed.body).toMatchObject({ door: 'hold' });
    expect(await eventsAbout(api, door.f, door.f.gym.id)).toEqual(['gyms.changed']);
    await checkIn(door, [door.children[0] ?? '']);
    expect((await checkIn(door, [door.children[1] ?? ''])).body.items).toMatchObject([
      { attendance: { state: 'on-hold' } },
    ]);
  });
});

describe('a hold on activity', () => {
  test('stops a child at the door whatever the gym’s setting, and no release lets them in', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    await door.f.arrange((tx) =>
      tx.insert(t.activityHolds).values({
        franchiseId: door.f.id,
        id: newId(),
        athleteId: aoife,
        since: new Date('2026-09-10T16:00:00Z'),
        why: 'suspected concussion',
      }),
    );
    const answer = await checkIn(door, [aoife, brian]);
    expect(answer.body.items).toMatchObject([
      { stopped: true, attendance: { state: 'on-hold', findings: ['activity-hold'], stays: [] } },
      { stopped: false, attendance: { state: 'present' } },
    ]);
    const release = await door.desk.post(`${door.gym}/sessions/${door.session.id}/attendance/${aoife}/release`, {});
    expect([release.status, release.body.type]).toEqual([409, '/problems/conflict']);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.held']);
    expect(await dataOf(door, aoife, 'attendance.held')).toMatchObject([{ codes: [] }]);
  });

  test('leaves a line in the trail for whoever was shown it', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await door.f.arrange((tx) =>
      tx.insert(t.activityHolds).values({
        franchiseId: door.f.id,
        id: newId(),
        athleteId: aoife,
        since: new Date('2026-09-10T16:00:00Z'),
        why: 'suspected concussion',
      }),
    );
    const trail = () => dataOf(door, door.f.gym.id, 'people.health-read');
    await door.desk.get(`${door.gym}/arrivals?name=Clodagh`);
    expect(await trail()).toEqual([]);
    await door.desk.get(`${door.gym}/arrivals?name=Aoife`);
    expect(await trail()).toEqual([{ athleteIds: [aoife] }]);
    await checkIn(door, [aoife]);
    expect(await trail()).toHaveLength(2);
  });
});

describe('collecting', () => {
  test('a guardian who may collects the family; children not collected are still there, and said to be', async () => {
    const door = await aDoor(api);
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const maeve = await aGuardian(door.f, [aoife, brian]);
    await checkIn(door, [aoife, brian, clodagh]);
    api.clock.set('2026-09-14T17:10:00Z');
    const waiting = await door.desk.get(`${door.gym}/present?notCollected=true`);
    expect(waiting.body.items).toHaveLength(3);
    const out = await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }, { athleteId: brian }],
      collectedBy: { guardianId: maeve },
    });
    expect(out.status).toBe(201);
    expect(out.body.items).toMatchObject([
      { attendance: { state: 'left', stays: [{ outAt: '2026-09-14T17:10:00.000Z' }], leftEarly: false } },
      { attendance: { state: 'left' } },
    ]);
    const left = await door.desk.get(`${door.gym}/present?notCollected=true`);
    expect(left.body.items).toMatchObject([{ athleteId: clodagh, notCollected: true, state: 'present' }]);
    const history = await door.desk.get(`${door.gym}/sessions/${door.session.id}/attendance/${aoife}`);
    expect(history.body.marks).toMatchObject([{ kind: 'in' }, { kind: 'out', collectedBy: 'Maeve Walsh' }]);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-in', 'attendance.checked-out']);
  });

  test('one who may not is refused, until they are on record', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const father = await aGuardian(door.f, [aoife], false);
    await checkIn(door, [aoife]);
    const out = (collectedBy: unknown) =>
      door.desk.post(`${door.gym}/check-outs`, { departures: [{ athleteId: aoife }], collectedBy });
    const refused = await out({ guardianId: father });
    expect(refused.body).toMatchObject({ type: '/problems/may-not-collect', athleteIds: [aoife] });
    expect((await out({ collectorId: newId() })).status).toBe(409);
    const aunt = await door.desk.post(`${door.gym}/athletes/${aoife}/collectors`, {
      name: 'Nuala Walsh',
      relation: 'aunt',
      from: '2026-09-14',
    });
    expect(aunt.status).toBe(201);
    const who = await door.desk.get(`${door.gym}/athletes/${aoife}/collecting`);
    expect(who.body).toMatchObject({
      guardians: [{ guardianId: father, mayCollect: false }],
      others: [{ name: 'Nuala Walsh' }],
      custodyNote: null,
    });
    api.clock.set('2026-09-14T16:10:00Z');
    const gone = await out({ collectorId: aunt.body.collectorId });
    expect((gone.body as never as Markeds).items).toMatchObject([{ attendance: { state: 'left', leftEarly: true } }]);
    const ended = await door.desk.post(
      `${door.gym}/athletes/${aoife}/collectors/${aunt.body.collectorId}/end`,
      undefined,
    );
    expect(ended.body).toMatchObject({ until: '2026-09-14' });
  });

  test('a custody note is shown to the desk alone', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const note = 'Not to be handed to Fionn Walsh: court order seen 3 August.';
    await door.desk.put(`${door.gym}/athletes/${aoife}/custody-note`, { note }, { ifMatch: 1 });
    expect((await checkIn(door, [aoife])).body.items).toMatchObject([{ custodyNote: note }]);
    for (const member of [door.f.owner, door.f.lead, door.f.coachOf(door.f.gym)]) {
      const asked = await api.as(member).get(`${door.gym}/athletes/${aoife}/collecting`);
      expect(asked.status).toBe(403);
    }
  });

  test('a custody note is written anew each time: what stood there is kept, and nobody overwrites it unread', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const put = (note: string | null, ifMatch: number) =>
      door.desk.put(`${door.gym}/athletes/${aoife}/custody-note`, { note }, { ifMatch });
    const first = await put('Only to the mother.', 1);
    expect(first.body).toMatchObject({ note: 'Only to the mother.', revision: 2 });
    expect((await put('Only to the father.', 1)).body.type).toBe('/problems/changed-meanwhile');
    await put(null, 2);
    const { headers, body } = await door.desk.get(`${door.gym}/athletes/${aoife}/collecting`);
    expect(headers.get('ETag')).toBe('"r3"');
    const writtenBy = door.f.deskOf(door.f.gym).accountId;
    const writtenAt = '2026-09-14T15:50:00.000Z';
    expect(body).toMatchObject({
      custodyNote: null,
      custodyNotes: [
        { note: null, revision: 3, writtenAt, writtenBy },
        { note: 'Only to the mother.', revision: 2, writtenAt, writtenBy },
      ],
    });
    expect((await checkIn(door, [aoife])).body.items).toMatchObject([{ custodyNote: null }]);
  });

  test('one who collects another child of that name does not collect this one; brothers and sisters are a family', async () => {
    const door = await aDoor(api);
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const familyId = newId();
    await door.f.arrange(async (tx) => {
      await tx.insert(t.families).values({ franchiseId: door.f.id, id: familyId });
      await tx
        .update(t.athletes)
        .set({ familyId })
        .where(inArray(t.athletes.personId, [aoife, brian]));
    });
    const add = async (athleteId: string) =>
      (
        await door.desk.post(`${door.gym}/athletes/${athleteId}/collectors`, {
          name: 'Nuala Walsh',
          relation: 'aunt',
          from: '2026-09-14',
        })
      ).body.collectorId;
    const [auntOfAoife] = [await add(aoife), await add(brian)];
    const herNamesake = await add(clodagh);
    await checkIn(door, [aoife, brian, clodagh]);
    api.clock.advance({ minutes: 5 });
    const out = (ids: string[], collectorId: unknown) =>
      door.desk.post(`${door.gym}/check-outs`, {
        departures: ids.map((athleteId) => ({ athleteId })),
        collectedBy: { collectorId },
      });
    expect((await out([aoife], herNamesake)).body).toMatchObject({ athleteIds: [aoife] });
    expect((await out([brian], auntOfAoife)).body).toMatchObject({ athleteIds: [brian] });
    expect((await out([aoife, clodagh], auntOfAoife)).body).toMatchObject({ athleteIds: [clodagh] });
    expect((await out([aoife, brian], auntOfAoife)).status).toBe(201);
  });

  test('who collected them is for the desk: a coach of theirs is not told', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const maeve = await aGuardian(door.f, [aoife]);
    await checkIn(door, [aoife]);
    api.clock.advance({ minutes: 5 });
    await door.desk.post(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }],
      collectedBy: { guardianId: maeve },
    });
    const coach = door.f.coachOf(door.f.gym);
    const { anAssignment } = await import('../support/a-session.ts');
    await anAssignment(door.f, door.session.blocks[0]!, coach.personId, { duty: 'assist' });
    const asked = async (as: Door['desk']) =>
      (await as.get(`${door.gym}/sessions/${door.session.id}/attendance/${aoife}`)).body.marks;
    expect(await asked(api.as(coach))).toMatchObject([{ kind: 'in' }, { kind: 'out', collectedBy: null }]);
    expect(await asked(api.as(door.f.owner))).toMatchObject([{ kind: 'in' }, { collectedBy: 'Maeve Walsh' }]);
  });

  test('alone is what the desk decides: its event says that it is not on record', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await checkIn(door, [aoife]);
    api.clock.advance({ minutes: 5 });
    await door.desk.post(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }],
      collectedBy: { alone: true },
    });
    expect(await dataOf(door, aoife, 'attendance.checked-out')).toMatchObject([{ onRecord: false, collectorId: null }]);
  });

  test('from a session that was cancelled while they were in', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await checkIn(door, [aoife]);
    api.clock.set('2026-09-14T16:10:00Z');
    await door.manager.post(`${door.gym}/sessions/${door.session.id}/cancel`, { reason: 'No heating.' });
    const out = await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }],
      collectedBy: { alone: true },
    });
    expect(out.body.items).toMatchObject([{ attendance: { state: 'left' } }]);
  });
});

describe('an earlier day', () => {
  test('of which somebody was not marked out is no longer in the building, and still to be settled', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const before = await aSession(door.f, { class: door.session.class, plan: door.session.plan, day: '2026-09-07' });
    api.clock.set('2026-09-07T15:50:00Z');
    await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife, sessionId: before.id }] });
    const present = async (query = '') =>
      (await door.desk.get<{ items: { sessionId: string }[] }>(`${door.gym}/present${query}`)).body.items.map(
        ({ sessionId }) => sessionId,
      );
    expect(await present()).toEqual([before.id]);
    // In the night after it, they may still be there.
    api.clock.set('2026-09-08T00:30:00Z');
    expect(await present()).toEqual([before.id]);
    api.clock.set('2026-09-14T15:50:00Z');
    expect(await present()).toEqual([]);
    expect(await present('?notCollected=true')).toEqual([before.id]);
    await checkIn(door, [aoife]);
    expect(await present()).toEqual([door.session.id]);
    api.clock.advance({ minutes: 5 });
    const out = await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }],
      collectedBy: { alone: true },
    });
    expect(out.body.items).toMatchObject([{ attendance: { sessionId: door.session.id, state: 'left' } }]);
  });

  test('is not one to come to', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const later = await aSession(door.f, { class: door.session.class, plan: door.session.plan, day: '2026-09-21' });
    const refused = await door.desk.post(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: aoife, sessionId: later.id }],
    });
    expect(refused.body.errors).toMatchObject([{ pointer: '/arrivals/0/sessionId' }]);
    const absent = await door.desk.post(`${door.gym}/not-coming`, {
      athletes: [{ athleteId: aoife, sessionId: later.id }],
    });
    expect(absent.status).toBe(201);
  });
});

describe('what cannot be', () => {
  test('a time at which they were not there yet, or were in already', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    api.clock.set('2026-09-14T16:20:00Z');
    await checkIn(door, [aoife], { at: '2026-09-14T16:00:00Z' });
    const out = (at: string) =>
      door.desk.post(`${door.gym}/check-outs`, {
        departures: [{ athleteId: aoife }],
        collectedBy: { alone: true },
        at,
      });
    expect((await out('2026-09-14T15:59:00Z')).body.type).toBe('/problems/conflict');
    expect((await out('2026-09-14T16:15:00Z')).status).toBe(201);
    const again = await door.desk.post(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: aoife, sessionId: door.session.id }],
      at: '2026-09-14T16:10:00Z',
    });
    expect(again.body.type).toBe('/problems/conflict');
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-in', 'attendance.checked-out']);
    const twice = await door.desk.post(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: brian }, { athleteId: brian, sessionId: door.session.id }],
      at: '2026-09-14T16:01:00Z',
    });
    expect(twice.body.errors).toMatchObject([{ pointer: '/arrivals' }]);
  });

  test('a guest sent four times at once is one', async () => {
    const door = await aDoor(api);
    const guest = { given: 'Ebele', family: 'Okafor', born: '2019-05-01', phone: '+353 1 555 0147' };
    const body = { ...guest, sessionId: door.session.id, guestId: newId() };
    const answers = await Promise.all([1, 2, 3, 4].map(() => door.desk.post<Markeds>(`${door.gym}/guests`, body)));
    expect(answers.map(({ status }) => status)).toEqual([201, 201, 201, 201]);
    expect((await rollOf(door)).filter(({ kind }) => kind === 'guest')).toHaveLength(1);
  });

  test('a guest who is not born yet, or was born in 1700', async () => {
    const door = await aDoor(api);
    const guest = { given: 'Ebele', family: 'Okafor', phone: '+353 1 555 0147', sessionId: door.session.id };
    const refused = await door.desk.post(`${door.gym}/guests`, { ...guest, born: '2027-01-01' });
    expect(refused.body.errors).toMatchObject([{ pointer: '/born' }]);
    const old = await door.desk.post(`${door.gym}/guests`, { ...guest, born: '1700-01-01' });
    expect([old.status, old.body.errors]).toMatchObject([422, [{ pointer: '/born' }]]);
  });
});

test('whoever loses their place while they are in stays with the group that they came with', async () => {
  const door = await aDoor(api);
  const [aoife] = door.children as [string];
  await checkIn(door, [aoife]);
  await door.f.arrange((tx) =>
    tx.update(t.groupMembers).set({ releasedAt: new Date() }).where(eq(t.groupMembers.athleteId, aoife)),
  );
  const theirs = (await rollOf(door)).find(({ athleteId }) => athleteId === aoife);
  expect(theirs).toMatchObject({ state: 'present', groupId: door.session.groups[0]?.id });
});

test('the list of those present goes on where it ended, in one athlete’s two sessions too', async () => {
  const door = await aDoor(api);
  const [aoife] = door.children as [string];
  const early = await aSession(door.f, {
    class: door.session.class,
    plan: door.session.plan,
    startsAt: '16:45',
  });
  for (const sessionId of [early.id, door.session.id]) {
    await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife, sessionId }] });
  }
  const first = await door.desk.get(`${door.gym}/present?limit=1`);
  const second = await door.desk.get(`${door.gym}/present?limit=1&cursor=${first.body.next}`);
  const seen = [...first.body.items, ...second.body.items].map(({ sessionId }) => sessionId);
  expect(seen.sort()).toEqual([early.id, door.session.id].sort());
  expect(second.body.next).toBeNull();
});

describe('two sessions of one day', () => {
  const twoSessions = async () => {
    const door = await aDoor(api);
    const early = await aSession(door.f, { class: door.session.class, plan: door.session.plan, startsAt: '15:30' });
    const comesTo = (sessionId: string, athleteId = door.children[0], more: object = {}) =>
      door.desk.post<Markeds>(`${door.gym}/check-ins`, { arrivals: [{ athleteId, sessionId }], ...more });
    const present = async () =>
      (await door.desk.get<{ items: Marked['attendance'][] }>(`${door.gym}/present`)).body.items;
    return { door, early, comesTo, present };
  };

  test('who comes to the next one has left that which is over, at that moment', async () => {
    const { door, early, comesTo, present } = await twoSessions();
    api.clock.set('2026-09-14T14:25:00Z');
    await comesTo(early.id);
    api.clock.set('2026-09-14T15:50:00Z');
    expect((await comesTo(door.session.id)).body.items).toHaveLength(1);
    expect((await present()).map(({ sessionId }) => sessionId)).toEqual([door.session.id]);
    const first = `${door.gym}/sessions/${early.id}/attendance/${door.children[0]}`;
    expect((await door.desk.get(first)).body.attendance).toMatchObject({
      state: 'left',
      stays: [{ inAt: '2026-09-14T14:25:00.000Z', outAt: '2026-09-14T15:50:00.000Z' }],
    });
    expect(await eventsAbout(api, door.f, door.children[0] ?? '')).toEqual([
      'attendance.checked-in',
      // Nobody coached that one.
      'attendance.over-limit',
      'attendance.checked-in',
      'attendance.went-on',
    ]);
  });

  test('nobody comes to one that is over; whoever is in stays so', async () => {
    const { door, early, comesTo, present } = await twoSessions();
    api.clock.set('2026-09-14T14:25:00Z');
    await comesTo(early.id);
    api.clock.set('2026-09-14T15:30:00Z');
    const late = await comesTo(early.id, door.children[1]);
    expect([late.status, late.body]).toMatchObject([422, { errors: [{ pointer: '/arrivals/0/sessionId' }] }]);
    expect((await comesTo(early.id)).body.items).toMatchObject([{ markId: null, attendance: { state: 'present' } }]);
    // It was before it ended, and is told only now.
    expect((await comesTo(early.id, door.children[1], { at: '2026-09-14T14:40:00Z' })).status).toBe(201);
    expect(await present()).toHaveLength(2);
  });

  test('who is put on hold at the next one is still in the building', async () => {
    const { door, early, comesTo, present } = await twoSessions();
    api.clock.set('2026-09-14T14:25:00Z');
    await comesTo(early.id);
    const hold = { franchiseId: door.f.id, id: newId(), athleteId: door.children[0] ?? '', why: 'Suspected' };
    await door.f.arrange((tx) => tx.insert(t.activityHolds).values({ ...hold, since: new Date(), clearedAt: null }));
    api.clock.set('2026-09-14T15:50:00Z');
    await comesTo(door.session.id);
    expect((await present()).map(({ state }) => state).sort()).toEqual(['on-hold', 'present']);
  });

  test('who leaves without naming one leaves each', async () => {
    const { door, early, comesTo, present } = await twoSessions();
    api.clock.set('2026-09-14T14:25:00Z');
    await comesTo(early.id);
    await comesTo(door.session.id);
    api.clock.set('2026-09-14T16:30:00Z');
    const out = await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
      departures: [{ athleteId: door.children[0] }],
      collectedBy: { alone: true },
    });
    expect(out.body.items.map(({ attendance }) => [attendance.sessionId, attendance.state]).sort()).toEqual(
      [
        [early.id, 'left'],
        [door.session.id, 'left'],
      ].sort(),
    );
    expect(await present()).toEqual([]);
  });

  test('nobody comes more than six hours before', async () => {
    const { door, comesTo } = await twoSessions();
    api.clock.set('2026-09-14T09:59:59Z');
    const early = await comesTo(door.session.id);
    expect([early.status, early.body]).toMatchObject([422, { errors: [{ pointer: '/arrivals/0/sessionId' }] }]);
    api.clock.set('2026-09-14T10:00:00Z');
    expect((await comesTo(door.session.id)).status).toBe(201);
  });
});

/** Takes back the first of what was marked. */
const takeBack = (door: Door, { items }: Markeds) =>
  door.desk.post<Marked['attendance']>(`${door.gym}/attendance-marks/${items[0]?.markId}/undo`);
const marksOf = async (door: Door, athleteId: string) =>
  (
    await door.desk.get<{ marks: { kind: string; undoneAt: string | null }[] }>(
      `${door.gym}/sessions/${door.session.id}/attendance/${athleteId}`,
    )
  ).body.marks;

describe('undo', () => {
  test('takes a check-in back, and keeps both', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const { body } = await checkIn(door, [aoife]);
    const undo = `${door.gym}/attendance-marks/${body.items[0]?.markId}/undo`;
    const undone = await door.desk.post<Marked['attendance']>(undo);
    expect(undone.body).toMatchObject({ state: 'expected', stays: [], findings: [] });
    expect((await door.desk.post(undo)).body).toEqual(undone.body);
    const history = await door.desk.get(`${door.gym}/sessions/${door.session.id}/attendance/${aoife}`);
    expect(history.body.marks).toMatchObject([{ kind: 'in', undoneAt: '2026-09-14T15:50:00.000Z' }]);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-in', 'attendance.undone']);
  });

  test('of a check-out, they are still there', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    await checkIn(door, [aoife]);
    api.clock.advance({ minutes: 20 });
    const out = await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }],
      collectedBy: { alone: true },
    });
    const undone = await door.desk.post(`${door.gym}/attendance-marks/${out.body.items[0]?.markId}/undo`);
    expect(undone.body).toMatchObject({
      state: 'present',
      stays: [{ inAt: '2026-09-14T15:50:00.000Z', outAt: null }],
    });
  });

  test.each([
    ['not-coming', 'absent', { state: 'absent', late: false }],
    ['coming-late', 'late', { state: 'expected', late: true }],
  ])('of %s, they are expected as before', async (path, kind, marked) => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const athletes = [{ athleteId: aoife, sessionId: door.session.id }];
    const { body } = await door.desk.post<Markeds>(`${door.gym}/${path}`, { athletes });
    expect(body.items).toMatchObject([{ attendance: marked }]);
    expect((await takeBack(door, body)).body).toMatchObject({ state: 'expected', late: false, stays: [] });
    expect((await marksOf(door, aoife)).map((mark) => [mark.kind, mark.undoneAt])).toEqual([
      [kind, '2026-09-14T15:50:00.000Z'],
    ]);
    expect(await dataOf(door, aoife, 'attendance.undone')).toMatchObject([{ kind }]);
  });

  test('of a release, they are on hold again; of the hold, expected', async () => {
    const door = await aDoor(api, { oneTo: 2, door: 'hold' });
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    await checkIn(door, [aoife, brian]);
    const { body: held } = await checkIn(door, [clodagh]);
    expect(held.items).toMatchObject([{ attendance: { state: 'on-hold', findings: ['short'] } }]);
    api.clock.advance({ minutes: 2 });
    const release = `${door.gym}/sessions/${door.session.id}/attendance/${clodagh}/release`;
    const { body: released } = await door.desk.post<Markeds>(release, {});
    expect(released.items).toMatchObject([{ attendance: { state: 'present' } }]);
    expect((await takeBack(door, released)).body).toMatchObject({ state: 'on-hold', stays: [] });
    expect((await takeBack(door, held)).body).toMatchObject({ state: 'expected', stays: [], findings: [] });
    expect((await marksOf(door, clodagh)).map((mark) => [mark.kind, mark.undoneAt])).toEqual([
      ['hold', '2026-09-14T15:52:00.000Z'],
      ['release', '2026-09-14T15:52:00.000Z'],
    ]);
  });
});

describe('undo of a check-in by which they had left the session before', () => {
  const goneOn = async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const early = await aSession(door.f, { class: door.session.class, plan: door.session.plan, startsAt: '15:30' });
    const comesTo = async (sessionId: string) =>
      (await door.desk.post<Markeds>(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife, sessionId }] })).body;
    const present = async () =>
      (await door.desk.get<{ items: Marked['attendance'][] }>(`${door.gym}/present?notCollected=true`)).body.items;
    api.clock.set('2026-09-14T14:25:00Z');
    await comesTo(early.id);
    api.clock.set('2026-09-14T15:50:00Z');
    const wrong = await comesTo(door.session.id);
    const leaves = async () =>
      (
        await door.desk.post<Markeds>(`${door.gym}/check-outs`, {
          departures: [{ athleteId: aoife, sessionId: door.session.id }],
          collectedBy: { alone: true },
        })
      ).body;
    return { door, aoife, early, wrong, present, comesTo, leaves };
  };

  test('they still wait to be collected from that one', async () => {
    const { door, aoife, early, wrong, present, comesTo } = await goneOn();
    expect(await present()).toEqual([]);
    api.clock.advance({ minutes: 1 });
    expect((await takeBack(door, wrong)).body).toMatchObject({ state: 'expected' });
    expect(await present()).toMatchObject([{ sessionId: early.id, stays: [{ outAt: null }] }]);
    const undone = await dataOf(door, aoife, 'attendance.undone');
    expect(undone).toMatchObject([
      { sessionId: door.session.id, kind: 'in' },
      { sessionId: early.id, kind: 'out' },
    ]);
    await takeBack(door, wrong);
    expect(await dataOf(door, aoife, 'attendance.undone')).toEqual(undone);
    // They go on after all.
    api.clock.advance({ minutes: 1 });
    await comesTo(door.session.id);
    expect(await present()).toEqual([]);
  });

  test.each(['in', 'out'] as const)(
    'whoever has been collected has gone, until that too is taken back: %s first',
    async (first) => {
      const { door, early, wrong, present, leaves } = await goneOn();
      api.clock.advance({ minutes: 5 });
      const out = await leaves();
      api.clock.advance({ minutes: 1 });
      await takeBack(door, first === 'in' ? wrong : out);
      expect(await present()).toEqual([]);
      await takeBack(door, first === 'in' ? out : wrong);
      expect(await present()).toMatchObject([{ sessionId: early.id }]);
    },
  );

  test('a check-out of their own that very minute stands', async () => {
    const { door, aoife, early, comesTo, wrong, present } = await goneOn();
    await takeBack(door, wrong);
    await door.desk.post(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife, sessionId: early.id }],
      collectedBy: { alone: true },
    });
    await takeBack(door, await comesTo(door.session.id));
    expect(await present()).toEqual([]);
  });
});

describe('who may', () => {
  test('a coach reads the roll of a session that they have a block of, and of no other', async () => {
    const door = await aDoor(api);
    const coach = door.f.coachOf(door.f.gym);
    const roll = `${door.gym}/sessions/${door.session.id}/attendance`;
    expect((await api.as(coach).get(roll)).status).toBe(404);
    const { anAssignment } = await import('../support/a-session.ts');
    await anAssignment(door.f, door.session.blocks[0]!, coach.personId, { duty: 'assist' });
    expect((await api.as(coach).get(roll)).body.items).toHaveLength(3);
    expect((await api.as(coach).post(`${door.gym}/check-ins`, { arrivals: [] })).status).toBe(403);
  });

  test('a dry run keeps nothing', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const asked = await door.desk.post<Markeds>(
      `${door.gym}/check-ins`,
      { arrivals: [{ athleteId: aoife }] },
      { dryRun: true },
    );
    expect(asked.body.items).toMatchObject([{ attendance: { state: 'present' } }]);
    expect((await rollOf(door)).map(({ state }) => state)).toEqual(['expected', 'expected', 'expected']);
  });
});
