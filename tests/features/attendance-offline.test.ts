import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aCable } from '../support/a-cable.ts';
import { aDoor, aGuardian, type Door, eventsAbout } from '../support/a-door.ts';
import { aFranchise, type Member } from '../support/a-franchise.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
/** A second instance of the service on the same database. */
let other: Api;
beforeAll(async () => {
  api = await openApi();
  other = await openApi({ beside: api });
});
afterAll(async () => {
  await other.close();
  await api.close();
});

interface Outcome {
  clientId: string;
  outcome: string;
  again: boolean;
  conflict: string | null;
  problem: string | null;
  detail: string | null;
}
const handIn = async (door: Door, items: unknown[], as = door.desk) =>
  (await as.post<{ items: Outcome[] }>('/offline-batches', { gymId: door.f.gym.id, items })).body.items;
const stateOf = async (door: Door, athleteId: string) =>
  (
    await door.desk.get<{ attendance: Record<string, unknown>; marks: Record<string, unknown>[] }>(
      `${door.gym}/sessions/${door.session.id}/attendance/${athleteId}`,
    )
  ).body;
const conflictsOf = async (door: Door) => (await door.desk.get(`${door.gym}/attendance-conflicts`)).body.items;

describe('a batch that a device recorded', () => {
  test('twice is once, and out of order comes to the same', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const maeve = await aGuardian(door.f, [aoife]);
    const of = { athleteId: aoife, sessionId: door.session.id };
    const came = { clientId: newId(), at: '2026-09-14T15:55:00Z', kind: 'in', ...of };
    const went = {
      clientId: newId(),
      at: '2026-09-14T16:20:00Z',
      kind: 'out',
      ...of,
      collectedBy: { guardianId: maeve },
    };
    api.clock.set('2026-09-14T18:00:00Z');
    // The end comes first, and does not fit until the beginning has come.
    expect(await handIn(door, [went])).toMatchObject([{ outcome: 'recorded', conflict: 'not-in' }]);
    expect(await conflictsOf(door)).toMatchObject([{ id: went.clientId, what: 'mark', code: 'not-in' }]);
    expect(await handIn(door, [went, came])).toMatchObject([
      { clientId: went.clientId, outcome: 'recorded', again: true },
      { clientId: came.clientId, outcome: 'recorded', again: false, conflict: null },
    ]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({
      state: 'left',
      stays: [{ inAt: '2026-09-14T15:55:00.000Z', outAt: '2026-09-14T16:20:00.000Z' }],
    });
    expect(await conflictsOf(door)).toEqual([]);
    expect(await handIn(door, [came, went])).toMatchObject([{ again: true }, { again: true }]);
    expect(await eventsAbout(api, door.f, aoife)).toEqual(['attendance.checked-out', 'attendance.checked-in']);
  });

  test('what was taken back before it came does not count, and is kept', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const item = (athleteId: string) => ({
      clientId: newId(),
      at: '2026-09-14T15:45:00Z',
      kind: 'in',
      athleteId,
      sessionId: door.session.id,
    });
    const [wrong, right] = [item(aoife), item(brian)];
    const undo = { clientId: newId(), at: '2026-09-14T15:46:00Z', kind: 'undo', undoes: wrong.clientId };
    expect(await handIn(door, [undo])).toMatchObject([{ outcome: 'recorded' }]);
    await handIn(door, [wrong, right]);
    expect(await stateOf(door, aoife)).toMatchObject({
      attendance: { state: 'expected', stays: [] },
      marks: [{ kind: 'in', undoneAt: '2026-09-14T15:50:00.000Z' }],
    });
    const later = { ...undo, clientId: newId(), undoes: right.clientId };
    await handIn(door, [later]);
    expect((await stateOf(door, brian)).attendance).toMatchObject({ state: 'expected' });
  });

  test('one that cannot be is refused by itself, and listed until it is settled', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const stranger = newId();
    const item = (athleteId: string, at = '2026-09-14T15:45:00Z') => ({
      clientId: newId(),
      at,
      kind: 'in',
      athleteId,
      sessionId: door.session.id,
    });
    const items = [item(stranger), item(aoife), item(aoife, '2026-09-01T19:00:00Z')];
    const outcomes = await handIn(door, items);
    expect(outcomes).toMatchObject([
      { outcome: 'refused', problem: 'invalid-request', detail: expect.stringContaining('no such athlete') },
      { outcome: 'recorded', problem: null },
      { outcome: 'refused', problem: 'invalid-request', detail: expect.stringContaining('/at') },
    ]);
    expect(await handIn(door, items)).toEqual(outcomes.map((one) => ({ ...one, again: true })));
    expect(await conflictsOf(door)).toHaveLength(2);
    const first = items[0]?.clientId ?? '';
    expect(await eventsAbout(api, door.f, first)).toEqual(['attendance.item-refused']);
    expect((await door.desk.post(`${door.gym}/offline-items/${first}/settle`)).status).toBe(204);
    expect(await conflictsOf(door)).toMatchObject([{ id: items[2]?.clientId, what: 'item' }]);
    expect(await handIn(door, [{ ...items[1], at: '2026-09-14T15:46:00Z' }])).toMatchObject([
      { outcome: 'refused', problem: 'already-exists' },
    ]);
  });

  test('two devices that checked one child in: once, and the other listed', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const item = (at: string) => ({
      clientId: newId(),
      at,
      kind: 'in',
      athleteId: aoife,
      sessionId: door.session.id,
    });
    await handIn(door, [item('2026-09-14T15:45:00Z')]);
    const second = item('2026-09-14T15:46:00Z');
    expect(await handIn(door, [second])).toMatchObject([{ outcome: 'recorded', conflict: 'already-in' }]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ stays: [{ inAt: '2026-09-14T15:45:00.000Z' }] });
    expect(await conflictsOf(door)).toMatchObject([{ id: second.clientId, code: 'already-in', athleteId: aoife }]);
    await door.desk.post(`${door.gym}/attendance-marks/${second.clientId}/undo`);
    expect(await conflictsOf(door)).toEqual([]);
  });

  test('who was collected by somebody not on record has gone, and it is listed; who is stopped is on hold', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const father = await aGuardian(door.f, [aoife], false);
    await door.f.arrange((tx) =>
      tx.insert(t.activityHolds).values({
        franchiseId: door.f.id,
        id: newId(),
        athleteId: brian,
        since: new Date('2026-09-10T16:00:00Z'),
        why: 'suspected concussion',
      }),
    );
    const of = (athleteId: string, kind: string, at: string) => ({
      clientId: newId(),
      at,
      kind,
      athleteId,
      sessionId: door.session.id,
    });
    const outcomes = await handIn(door, [
      of(aoife, 'in', '2026-09-14T15:30:00Z'),
      { ...of(aoife, 'out', '2026-09-14T15:40:00Z'), collectedBy: { guardianId: father } },
      of(brian, 'in', '2026-09-14T15:31:00Z'),
    ]);
    expect(outcomes).toMatchObject([
      { outcome: 'recorded', problem: null },
      { outcome: 'recorded', problem: 'may-not-collect' },
      { outcome: 'recorded', problem: 'activity-hold' },
    ]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ state: 'left' });
    expect((await stateOf(door, brian)).attendance).toMatchObject({ state: 'on-hold', stays: [] });
    expect((await conflictsOf(door)).map(({ code }) => code).sort()).toEqual(['activity-hold', 'may-not-collect']);
  });

  test('a guest, a roll, an outing whose end came first, and a coach’s own coming', async () => {
    const door = await aDoor(api);
    const me = door.f.coachOf(door.f.gym);
    const block = door.session.blocks[0]!;
    await anAssignment(door.f, block, me.personId, { duty: 'assist' });
    const [aoife] = door.children as [string];
    const guestId = newId();
    const outing = newId();
    api.clock.set('2026-09-14T16:30:00Z');
    const guest = { guestId, given: 'Ebele', family: 'Okafor', born: '2017-05-04', phone: '+353 1 555 0147' };
    const back = { clientId: newId(), at: '2026-09-14T16:12:00Z', kind: 'outing-back', outing };
    const outcomes = await handIn(door, [
      { clientId: newId(), at: '2026-09-14T15:59:00Z', kind: 'guest', ...guest, sessionId: door.session.id },
      back,
    ]);
    expect(outcomes).toMatchObject([{ outcome: 'recorded' }, { outcome: 'recorded' }]);
    const mine = await handIn(
      door,
      [
        { clientId: newId(), at: '2026-09-14T15:52:00Z', kind: 'staff', what: 'in' },
        { clientId: newId(), at: '2026-09-14T16:01:00Z', kind: 'roll', blockId: block.id, here: [aoife, guestId] },
        {
          clientId: outing,
          at: '2026-09-14T16:10:00Z',
          kind: 'outing',
          sessionId: door.session.id,
          athleteId: aoife,
          withPersonId: null,
          why: 'toilet',
        },
        { clientId: newId(), at: '2026-09-14T16:02:00Z', kind: 'headcount', blockId: block.id, counted: 2 },
        { clientId: newId(), at: '2026-09-14T16:03:00Z', kind: 'in', athleteId: aoife, sessionId: door.session.id },
      ],
      api.as(me),
    );
    expect(mine.map(({ outcome, problem }) => [outcome, problem])).toEqual([
      ['recorded', null],
      ['recorded', null],
      ['recorded', null],
      ['recorded', null],
      ['refused', 'not-allowed'],
    ]);
    expect((await stateOf(door, guestId)).attendance).toMatchObject({ kind: 'guest', state: 'present' });
    expect((await stateOf(door, aoife)).attendance).toMatchObject({
      stays: [{ inAt: '2026-09-14T16:01:00.000Z' }],
    });
    const outings = await door.desk.get(`${door.gym}/sessions/${door.session.id}/outings`);
    expect(outings.body.items).toMatchObject([{ outingId: outing, backAt: '2026-09-14T16:12:00.000Z' }]);
    const staff = await door.desk.get(`${door.gym}/staff-presence`);
    expect(staff.body.items).toContainEqual(expect.objectContaining({ personId: me.personId, state: 'at-work' }));
  });

  test('is for those who may write attendance at the gym', async () => {
    const door = await aDoor(api);
    const elsewhere = await aFranchise(api);
    const batch = {
      gymId: door.f.gym.id,
      items: [{ clientId: newId(), at: '2026-09-14T15:52:00Z', kind: 'staff', what: 'in' }],
    };
    const as = async (member: Member) => (await api.as(member).post('/offline-batches', batch)).status;
    expect(await as(door.f.lead)).toBe(403);
    expect(await as(door.f.owner)).toBe(403);
    expect(await as(elsewhere.deskOf(elsewhere.gym))).toBe(404);
  });
});

describe('what a device recorded', () => {
  const childIn = (door: Door, athleteId: string, at: string, kind = 'in') => ({
    clientId: newId(),
    at,
    kind,
    athleteId,
    sessionId: door.session.id,
  });

  test('ahead of the clock is for another time, and is then taken', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const item = childIn(door, aoife, '2026-09-14T15:58:00Z');
    expect(await handIn(door, [item])).toMatchObject([{ outcome: 'try-again', problem: 'invalid-request' }]);
    expect(await conflictsOf(door)).toEqual([]);
    api.clock.advance({ minutes: 10 });
    expect(await handIn(door, [item])).toMatchObject([{ outcome: 'recorded', again: false }]);
  });

  test('was refused, and is judged anew when it comes again', async () => {
    const door = await aDoor(api);
    const guestId = newId();
    const came = childIn(door, guestId, '2026-09-14T15:48:00Z', 'late');
    expect(await handIn(door, [came])).toMatchObject([{ outcome: 'refused' }]);
    await handIn(door, [
      {
        clientId: newId(),
        at: '2026-09-14T15:49:00Z',
        kind: 'guest',
        guestId,
        given: 'Ebele',
        family: 'Okafor',
        born: null,
        phone: '+353 1 555 0147',
        sessionId: door.session.id,
      },
    ]);
    expect(await handIn(door, [came])).toMatchObject([{ outcome: 'recorded', problem: null }]);
    expect(await conflictsOf(door)).toEqual([]);
  });

  test('under an id that a mark has is refused, and the rest goes on', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const { body } = await door.desk.post<{ items: { markId: string }[] }>(`${door.gym}/check-ins`, {
      arrivals: [{ athleteId: aoife }],
    });
    const taken = { ...childIn(door, brian, '2026-09-14T15:40:00Z'), clientId: body.items[0]?.markId ?? '' };
    const outcomes = await handIn(door, [taken, childIn(door, brian, '2026-09-14T15:45:00Z')]);
    expect(outcomes).toMatchObject([
      { outcome: 'refused', problem: 'already-exists' },
      { outcome: 'recorded', problem: null },
    ]);
  });

  test('breaks something here: it is for another time, and the rest goes on', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const broken = childIn(door, aoife, '2026-09-14T15:40:00Z');
    const { ownerPool } = api.database;
    await ownerPool.query(`ALTER TABLE attendance_marks ADD CONSTRAINT breaks CHECK (id <> '${broken.clientId}')`);
    const fragile = await openApi({ beside: api, mayBreak: true });
    fragile.clock.set('2026-09-14T15:50:00Z');
    const desk = fragile.as(door.f.deskOf(door.f.gym));
    const outcomes = await handIn(door, [broken, childIn(door, brian, '2026-09-14T15:45:00Z')], desk);
    await fragile.close();
    await ownerPool.query('ALTER TABLE attendance_marks DROP CONSTRAINT breaks');
    expect(outcomes).toMatchObject([
      { outcome: 'try-again', problem: 'internal' },
      { outcome: 'recorded', problem: null },
    ]);
    expect(await handIn(door, [broken])).toMatchObject([{ outcome: 'recorded', again: false }]);
  });

  test('is taken back first by somebody who may not: it stands, and the attempt is listed', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const came = childIn(door, aoife, '2026-09-14T15:40:00Z');
    const undo = { clientId: newId(), at: '2026-09-14T15:41:00Z', kind: 'undo', undoes: came.clientId };
    const coach = api.as(door.f.coachOf(door.f.gym));
    expect(await handIn(door, [undo], coach)).toMatchObject([{ outcome: 'recorded', problem: 'not-found' }]);
    expect(await conflictsOf(door)).toMatchObject([{ id: undo.clientId, code: 'not-found' }]);
    await handIn(door, [came]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ state: 'present' });
    expect(await conflictsOf(door)).toMatchObject([{ id: undo.clientId, code: 'not-allowed' }]);
    expect(await handIn(door, [{ ...undo, clientId: newId() }], coach)).toMatchObject([{ problem: 'not-allowed' }]);
    // A manager may, whoever recorded it.
    const other = childIn(door, door.children[1]!, '2026-09-14T15:40:00Z');
    const theirs = { ...undo, clientId: newId(), undoes: other.clientId };
    await handIn(door, [theirs], door.manager);
    await handIn(door, [other]);
    expect((await stateOf(door, other.athleteId)).attendance).toMatchObject({ state: 'expected' });
    expect(await conflictsOf(door)).not.toContainEqual(expect.objectContaining({ id: theirs.clientId }));
  });

  test('and what takes it back, by two accounts at two instances at once: neither misses the other', async () => {
    const door = await aDoor(api);
    other.clock.set('2026-09-14T15:50:00Z');
    const came = door.children.map((athleteId) => childIn(door, athleteId, '2026-09-14T15:40:00Z'));
    const undone = came.map(({ clientId }) => ({
      clientId: newId(),
      at: '2026-09-14T15:41:00Z',
      kind: 'undo',
      undoes: clientId,
    }));
    const manager = other.as(door.f.managerOf(door.f.gym));
    await Promise.all([handIn(door, came), handIn(door, undone, manager)]);
    for (const athleteId of door.children) {
      expect((await stateOf(door, athleteId)).attendance).toMatchObject({ state: 'expected', stays: [] });
    }
    expect(await conflictsOf(door)).toEqual([]);
  });

  test('at another gym is not taken back from here', async () => {
    const door = await aDoor(api, { gyms: 2 });
    const [aoife] = door.children as [string];
    const came = childIn(door, aoife, '2026-09-14T15:40:00Z');
    const undo = { clientId: newId(), at: '2026-09-14T15:41:00Z', kind: 'undo', undoes: came.clientId };
    const elsewhere = door.f.gyms[1]!;
    const there = (items: unknown[]) =>
      api.as(door.f.managerOf(elsewhere)).post('/offline-batches', { gymId: elsewhere.id, items });
    await there([undo]);
    await handIn(door, [came]);
    await there([{ ...undo, clientId: newId() }]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ state: 'present' });
  });

  test('a roll, or the end of an outing, is not taken back, whichever comes first', async () => {
    const door = await aDoor(api);
    api.clock.set('2026-09-14T16:30:00Z');
    const roll = () => ({
      clientId: newId(),
      at: '2026-09-14T16:01:00Z',
      kind: 'roll',
      blockId: door.session.blocks[0]!.id,
      here: [],
    });
    const undoOf = ({ clientId }: { clientId: string }) => ({
      clientId: newId(),
      at: '2026-09-14T16:02:00Z',
      kind: 'undo',
      undoes: clientId,
    });
    const [before, after] = [roll(), roll()];
    const early = undoOf(before);
    await handIn(door, [early]);
    await handIn(door, [before]);
    expect(await conflictsOf(door)).toMatchObject([{ id: early.clientId, code: 'conflict' }]);
    expect(await handIn(door, [after, undoOf(after)])).toMatchObject([{}, { outcome: 'refused', problem: 'conflict' }]);
    const outing = {
      ...childIn(door, door.children[0]!, '2026-09-14T16:05:00Z', 'outing'),
      withPersonId: null,
      why: 'water',
    };
    const back = { clientId: newId(), at: '2026-09-14T16:08:00Z', kind: 'outing-back', outing: outing.clientId };
    expect(await handIn(door, [outing, back, undoOf(back)])).toMatchObject([
      { problem: null },
      { problem: null },
      { outcome: 'refused', problem: 'conflict' },
    ]);
  });

  test('waits within one batch for what it is about, and is answered as it ended', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const came = childIn(door, aoife, '2026-09-14T15:45:00Z');
    const undo = { clientId: newId(), at: '2026-09-14T15:40:00Z', kind: 'undo', undoes: came.clientId };
    expect(await handIn(door, [undo, came])).toMatchObject([{ problem: null, outcome: 'recorded' }, {}]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ state: 'expected', stays: [] });
  });

  test('long before the session, or coming long after it, is refused: what the desk marked stands', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    await door.desk.post(`${door.gym}/check-ins`, { arrivals: [{ athleteId: aoife }] });
    const block = door.session.blocks[0]!;
    const of = { sessionId: door.session.id, athleteId: aoife };
    const days = { clientId: newId(), at: '2026-09-08T16:00:00Z' };
    const items = [
      { ...days, kind: 'in', ...of },
      { ...days, clientId: newId(), kind: 'out', ...of, collectedBy: { alone: true } },
      { ...days, clientId: newId(), kind: 'outing', ...of, withPersonId: null, why: 'toilet', backAt: null },
      { ...days, clientId: newId(), kind: 'roll', blockId: block.id, here: [aoife], missing: [], counted: null },
      { ...days, clientId: newId(), kind: 'headcount', blockId: block.id, counted: 1 },
    ];
    const refused = items.map(() => ({ outcome: 'refused', problem: 'invalid-request' }));
    expect(await handIn(door, items)).toMatchObject(refused);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({
      state: 'present',
      stays: [{ inAt: '2026-09-14T15:50:00.000Z', outAt: null }],
    });
    expect(await conflictsOf(door)).toHaveLength(items.length);
    // The session is over at twenty past five, in Dublin.
    api.clock.set('2026-09-15T12:00:00Z');
    const comes = { kind: 'in', ...of, athleteId: brian };
    expect(
      await handIn(door, [
        { ...comes, clientId: newId(), at: '2026-09-14T22:20:01Z' },
        { ...comes, clientId: newId(), at: '2026-09-14T16:10:00Z' },
        { clientId: newId(), at: '2026-09-15T11:00:00Z', kind: 'out', ...of, collectedBy: { alone: true } },
      ]),
    ).toMatchObject([{ outcome: 'refused' }, { outcome: 'recorded', conflict: null }, { outcome: 'recorded' }]);
  });

  test('does not fit: gone already, and absent while here', async () => {
    const door = await aDoor(api);
    const [aoife, brian] = door.children as [string, string];
    const out = (at: string) => ({ ...childIn(door, aoife, at, 'out'), collectedBy: { alone: true } });
    const outcomes = await handIn(door, [
      childIn(door, aoife, '2026-09-14T15:40:00Z'),
      out('2026-09-14T15:42:00Z'),
      out('2026-09-14T15:44:00Z'),
      childIn(door, brian, '2026-09-14T15:40:00Z'),
      childIn(door, brian, '2026-09-14T15:42:00Z', 'absent'),
    ]);
    expect(outcomes.map(({ conflict }) => conflict)).toEqual([null, null, 'already-out', null, 'is-here']);
  });

  test('coming to, and going from, a session that was cancelled', async () => {
    const door = await aDoor(api);
    const [aoife] = door.children as [string];
    const came = childIn(door, aoife, '2026-09-14T15:45:00Z');
    const went = { ...childIn(door, aoife, '2026-09-14T16:20:00Z', 'out'), collectedBy: { alone: true } };
    await door.manager.post(`${door.gym}/sessions/${door.session.id}/cancel`, { reason: 'No heating.' });
    api.clock.set('2026-09-14T16:30:00Z');
    expect(await handIn(door, [came, went])).toMatchObject([{ outcome: 'recorded' }, { outcome: 'recorded' }]);
    expect((await stateOf(door, aoife)).attendance).toMatchObject({ state: 'left' });
  });

  test('a roll, handed in after class, differs from the door of its own moment; where it does, it is listed', async () => {
    const door = await aDoor(api);
    const [aoife, brian, clodagh] = door.children as [string, string, string];
    const checkIn = (athleteIds: string[]) =>
      door.desk.post(`${door.gym}/check-ins`, { arrivals: athleteIds.map((athleteId) => ({ athleteId })) });
    await checkIn([aoife, brian]);
    api.clock.set('2026-09-14T17:05:00Z');
    await door.desk.post(`${door.gym}/check-outs`, {
      departures: [{ athleteId: aoife }, { athleteId: brian }],
      collectedBy: { alone: true },
    });
    api.clock.set('2026-09-14T18:00:00Z');
    const roll = (here: string[]) => ({
      clientId: newId(),
      at: '2026-09-14T16:02:00Z',
      kind: 'roll',
      blockId: door.session.blocks[0]!.id,
      here,
    });
    expect(await handIn(door, [roll([aoife, brian])])).toMatchObject([{ outcome: 'recorded', problem: null }]);
    const other = roll([aoife]);
    expect(await handIn(door, [other])).toMatchObject([
      { problem: 'roll-differs', detail: expect.stringContaining('not-called: 1') },
    ]);
    expect(await conflictsOf(door)).toMatchObject([{ id: other.clientId, kind: 'roll', code: 'roll-differs' }]);
    expect((await stateOf(door, clodagh)).attendance).toMatchObject({ state: 'expected' });
  });
});

test('a desk’s afternoon of 120 arrivals with the network cut in the middle: nothing lost, nothing doubled', async () => {
  api.clock.set('2026-09-14T15:50:00Z');
  other.clock.set('2026-09-14T15:50:00Z');
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const sessions = [await aSession(f, { groups: [30, 30] }), await aSession(f, { groups: [30, 30] })];
  const arrivals = sessions.flatMap((session) =>
    session.groups.flatMap(({ athletes }) => athletes.map((athleteId) => ({ athleteId, sessionId: session.id }))),
  );
  expect(arrivals).toHaveLength(120);
  const gym = `/gyms/${f.gym.id}`;
  const desk = f.deskOf(f.gym);
  const cables = [await aCable(api.url), await aCable(other.url)];
  /** Sends until an answer comes; gives how often it was sent. */
  const send = async (cable: (typeof cables)[0], path: string, body: unknown, key: string) => {
    const response = await fetch(`${cable.url}/v1${path}`, {
      method: 'POST',
      headers: {
        Authorization: `Bearer ${api.tokens.issue(desk)}`,
        'Content-Type': 'application/json',
        'Idempotency-Key': key,
      },
      body: JSON.stringify(body),
    });
    return { status: response.status, replayed: response.headers.get('Idempotency-Replay') !== null };
  };

  // Families of three; two desks, one at each instance of the service, each going through its own half.
  const families = Array.from({ length: 40 }, (_, index) => arrivals.slice(index * 3, index * 3 + 3));
  const lost: { family: typeof arrivals; key: string }[] = [];
  let [answered, replayed] = [0, 0];
  const work = async (which: number) => {
    const cable = cables[which]!;
    for (const [index, family] of families.entries()) {
      if (index % 2 !== which) continue;
      if (index >= 12 && index < 20) cable.loseAnswers();
      else if (index >= 20 && index < 26) cable.cut();
      else cable.mend();
      const key = newId();
      try {
        expect((await send(cable, `${gym}/check-ins`, { arrivals: family }, key)).status).toBe(201);
        answered += 1;
      } catch (error) {
        if (!(error instanceof TypeError)) throw error;
        lost.push({ family, key });
      }
    }
  };
  await Promise.all([work(0), work(1)]);
  expect([answered, lost.length]).toEqual([26, 14]);

  // Then every request without an answer again, at the other instance, twice over.
  for (const { family, key } of [...lost, ...lost]) {
    const again = await send(cables[1]!, `${gym}/check-ins`, { arrivals: family }, key);
    expect(again.status).toBe(201);
    if (again.replayed) replayed += 1;
  }
  // Eight had been done before the cut; all fourteen when they came a second time.
  expect(replayed).toBe(8 + 14);

  // The way home: half of them recorded on a device, handed in to both instances at once, with the answer lost.
  api.clock.set('2026-09-14T17:30:00Z');
  other.clock.set('2026-09-14T17:30:00Z');
  const items = arrivals.slice(0, 60).map((one, index) => ({
    clientId: newId(),
    at: new Date(Date.UTC(2026, 8, 14, 17, 5, index)).toISOString(),
    kind: 'out',
    ...one,
    collectedBy: { alone: true },
  }));
  const batch = { gymId: f.gym.id, items };
  cables[0]!.loseAnswers();
  await expect(send(cables[0]!, '/offline-batches', batch, newId())).rejects.toThrow(TypeError);
  await Promise.all([
    api.as(desk).post('/offline-batches', { ...batch, items: [...items].reverse() }),
    other.as(desk).post('/offline-batches', batch),
  ]);

  const { rows } = await api.database.ownerPool.query(
    `SELECT (SELECT count(*)::int FROM attendance WHERE franchise_id = $1) AS attendances,
       (SELECT count(*)::int FROM stays WHERE franchise_id = $1) AS stays,
       (SELECT count(*)::int FROM stays WHERE franchise_id = $1 AND out_at IS NOT NULL AND in_at IS NOT NULL) AS ended,
       (SELECT count(*)::int FROM attendance_marks WHERE franchise_id = $1) AS marks,
       (SELECT count(*)::int FROM attendance_marks WHERE franchise_id = $1 AND conflict IS NOT NULL) AS conflicts,
       (SELECT count(*)::int FROM events WHERE franchise_id = $1 AND name = 'attendance.checked-in') AS came,
       (SELECT count(*)::int FROM events WHERE franchise_id = $1 AND name = 'attendance.checked-out') AS went`,
    [f.id],
  );
  expect(rows).toEqual([{ attendances: 120, stays: 120, ended: 60, marks: 180, conflicts: 0, came: 120, went: 60 }]);
  const still = await api.as(desk).get(`${gym}/present?notCollected=true&limit=200`);
  expect(still.body.items).toHaveLength(60);
  for (const cable of cables) await cable.close();
});
