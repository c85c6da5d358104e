import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import { aFranchise, aMember, type Franchise, type Member } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
let f: Franchise;
let session: TestSession;
let child: string;
let ruleId: string;
let coach: Member & { personId: string };
let manager: Member;
let at: string;

/** Monday 14 September 2026, in the class's first block: 17:05 in Dublin. */
const THEN = '2026-09-14T16:05:00Z';
beforeAll(async () => {
  api = await openApi({ now: THEN });
});
afterAll(() => api.close());
beforeEach(async () => {
  api.clock.set(THEN);
  f = await aFranchise(api, { confirmWindowDays: 0 });
  ruleId = await aRule(f, { name: 'One to eight', body: oneTo(8) });
  child = await anAthlete(f, { given: 'Saoirse', family: 'Walsh', born: '2018-06-10' });
  session = await aSession(f, { groups: [[child]] });
  coach = f.coachOf(f.gym);
  manager = f.managerOf(f.gym);
  await anAssignment(f, session.blocks[0]!, coach.personId);
  at = `/gyms/${f.gym.id}/incidents`;
});

const problem = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.type.replace('/problems/', '')];
};
const pointers = (answer: { body: unknown }) => (answer as Answer).body.errors.map(({ pointer }) => pointer);
const bump = (more: object = {}) => ({
  kind: 'small-bump',
  what: 'Bumped heads at the beam.',
  people: [hurt()],
  ...more,
});
const hurt = (personId = child) => ({ personId, part: 'hurt' });
const write = async (by: Member, note: object = bump()) =>
  (await api.as(by).post<Incident>(at, note, { key: true })).body;
const send = (by: Member, { id, revision }: { id: string; revision: number }) =>
  api.as(by).post(`${at}/${id}/send`, { signedAs: 'Ciara Doyle' }, { ifMatch: revision });
const eventsAbout = async (subjectId: string) => {
  const { rows } = await api.database.ownerPool.query<{
    name: string;
    gym_id: string | null;
    account_id: string;
    data: object;
  }>('SELECT name, gym_id, account_id, data FROM events WHERE franchise_id = $1 AND subject_id = $2 ORDER BY id', [
    f.id,
    subjectId,
  ]);
  return rows;
};
const namesOf = async (subjectId: string) => (await eventsAbout(subjectId)).map(({ name }) => name);

describe('the half-minute note', () => {
  test('of a near miss is its kind and a line', async () => {
    const { status, body } = await api.as(coach).post<Incident>(at, { kind: 'near-miss', what: 'A mat slid.' });
    expect([status, body.state, body.people, body.whereItHurts]).toEqual([201, 'draft', [], '']);
    expect([body.day, body.occurredAt]).toEqual(['2026-09-14', '2026-09-14T16:05:00.000Z']);
    expect(body.caution).toMatch(/no medical advice/);
    expect(body.caution).toMatch(/Local law and the judgement of licensed professionals come first/);
  });

  test('is read as it was written: of behaviour, where it hurts, what was done and who was told', async () => {
    const note = {
      kind: 'behaviour',
      what: 'Pushed another on the beam.',
      people: [hurt(), { personId: coach.personId, part: 'involved' }],
      whereItHurts: 'left wrist\nand elbow',
      done: 'Sat both down.',
      told: 'Ana at the desk, at ten past five.',
    };
    const { id, ...written } = await write(coach, note);
    const people = note.people.map((one) => expect.objectContaining(one));
    const said = { ...note, people: expect.arrayContaining(people) };
    expect(written).toMatchObject(said);
    expect((await api.as(manager).get<Incident>(`${at}/${id}`)).body).toMatchObject(said);
    const ofBehaviour = await api.as(manager).get(`${at}?kind=behaviour`);
    expect(ofBehaviour.body.items.map((one) => one.id)).toEqual([id]);
  });

  test('finds its block by the child, and carries the facts of that minute', async () => {
    const kind = await aQualificationKind(f, { name: 'Beam coach' });
    const second = await aStaffMember(f, { given: 'Ana', family: 'Reyes', holds: [{ kind, grade: 2 }] });
    await anAssignment(f, session.blocks[0]!, second, { duty: 'assist' });
    const note = await write(f.deskOf(f.gym));
    expect([note.blockId, note.sessionId]).toEqual([session.blocks[0]?.id, session.id]);
    expect(note.people).toEqual([{ personId: child, name: 'Saoirse Walsh', part: 'hurt', ageCode: 8 }]);
    const { snapshot } = note;
    expect(snapshot.staff.map(({ name, duty }) => [name, duty]).sort()).toEqual([
      ['Ana Reyes', 'assist'],
      ['Ciara Doyle', 'lead'],
    ]);
    expect(snapshot.staff.find(({ personId }) => personId === second)?.qualifications).toEqual([
      { kindId: kind.id, kind: 'Beam coach', grade: 2, from: '2020-01-01', until: null },
    ]);
    expect(snapshot.athletes).toEqual([{ personId: child, name: 'Saoirse Walsh', state: 'expected' }]);
    expect(snapshot.cover.map(({ covered, unit }) => [covered, unit.id])).toEqual([[true, session.blocks[0]?.id]]);
    expect(snapshot.rules).toEqual([{ ruleId, version: 1, name: 'One to eight' }]);
  });

  test('keeps those facts when the floor changes afterwards, without the names of the erased', async () => {
    const note = await write(coach);
    await api.database.ownerPool.query('UPDATE assignments SET released_at = now() WHERE person_id = $1', [
      coach.personId,
    ]);
    await api.database.ownerPool.query('DELETE FROM person_names WHERE person_id = $1', [coach.personId]);
    const { body } = await api.as(manager).get<Incident>(`${at}/${note.id}`);
    expect(body.snapshot.staff.map(({ personId, name }) => [personId, name])).toEqual([[coach.personId, null]]);
  });

  test('sent twice with one key is written once', async () => {
    const key = crypto.randomUUID();
    const [one, two] = [await api.as(coach).post(at, bump(), { key }), await api.as(coach).post(at, bump(), { key })];
    expect(two.body.id).toBe(one.body.id);
    expect((await api.as(manager).get(at)).body.items).toHaveLength(1);
  });

  test('names only people whom the gym knows, each once, and what has happened', async () => {
    const stranger = await anAthlete(await aFranchise(api));
    const refused = async (note: object) => pointers(await api.as(manager).post(at, bump(note)));
    expect(await refused({ people: [hurt(stranger)] })).toEqual(['/people/0/personId']);
    expect(await refused({ people: [hurt(), hurt()] })).toEqual(['/people/1/personId']);
    expect(await refused({ occurredAt: '2026-09-14T16:06:00Z' })).toEqual(['/occurredAt']);
    expect(await refused({ blockId: crypto.randomUUID() })).toEqual(['/blockId']);
    expect(await refused({ occurredAt: '2026-09-13T16:06:00Z', blockId: session.blocks[0]?.id })).toEqual(['/blockId']);
    expect(await refused({ what: '' })).toEqual(['/what']);
  });

  test('by a coach is about their own blocks', async () => {
    const other = await aSession(f, { groups: [1], startsAt: '17:00' });
    expect(problem(await api.as(coach).post(at, bump({ blockId: other.blocks[0]?.id, people: [] })))).toEqual([
      403,
      'not-allowed',
    ]);
    expect((await api.as(coach).post(at, bump({ blockId: null }))).status).toBe(201);
    api.clock.set('2026-09-15T16:05:00Z');
    expect(problem(await api.as(coach).post(at, bump({ people: [] })))).toEqual([403, 'not-allowed']);
  });

  test('can be changed until it is sent, by its writer or the manager, in the revision that was read', async () => {
    const note = await write(coach);
    const changed = await api
      .as(coach)
      .patch<Incident>(`${at}/${note.id}`, { done: 'Ice.', people: [] }, { ifMatch: 1 });
    expect([changed.status, changed.body.done, changed.body.people, changed.body.revision]).toEqual([
      200,
      'Ice.',
      [],
      2,
    ]);
    expect(problem(await api.as(manager).patch(`${at}/${note.id}`, { done: 'x' }, { ifMatch: 1 }))).toEqual([
      412,
      'changed-meanwhile',
    ]);
    expect((await api.as(manager).patch(`${at}/${note.id}`, { people: [hurt()] }, { ifMatch: 2 })).status).toBe(200);
    expect(problem(await api.as(f.deskOf(f.gym)).patch(`${at}/${note.id}`, { done: 'x' }, { ifMatch: 3 }))).toEqual([
      404,
      'not-found',
    ]);
    expect(await namesOf(note.id)).toEqual(['incidents.drafted', 'incidents.changed', 'incidents.changed']);
  });
});

describe('who may read', () => {
  test('the manager and owner all of the gym, the desk and coaches their own, the programme lead none', async () => {
    const [byCoach, byDesk] = [await write(coach), await write(f.deskOf(f.gym))];
    const seen = async (who: Member) => {
      const { status, body } = await api.as(who).get(at);
      return status === 200 ? body.items.map(({ id }) => id).sort() : status;
    };
    const both = [byCoach.id, byDesk.id].sort();
    expect(await Promise.all([f.owner, manager, coach, f.deskOf(f.gym), f.lead].map(seen))).toEqual([
      both,
      both,
      [byCoach.id],
      [byDesk.id],
      403,
    ]);
    expect(problem(await api.as(coach).get(`${at}/${byDesk.id}`))).toEqual([404, 'not-found']);
  });

  test('the programme lead counts, without persons and without concerns', async () => {
    await send(coach, await write(coach));
    await write(coach);
    const concern = await write(coach, { kind: 'safeguarding', what: 'Something said.', readers: [manager.accountId] });
    await send(coach, concern);
    const { body } = await api.as(f.lead).get(`/gyms/${f.gym.id}/incident-counts?from=2026-09-14&until=2026-09-15`);
    const later = await api.as(f.lead).get(`/gyms/${f.gym.id}/incident-counts?from=2026-09-15`);
    expect(later.body).toEqual({ from: '2026-09-15', until: null, counts: [] });
    expect(body).toEqual({ from: '2026-09-14', until: '2026-09-15', counts: [{ kind: 'small-bump', count: 1 }] });
  });

  test('a safeguarding concern only those named, whatever their role; its writer while it is a draft', async () => {
    const named = await aMember(f, { role: 'desk', gym: f.gym });
    const concern = await write(coach, { kind: 'safeguarding', what: 'Something said.', readers: [named.accountId] });
    const statuses = async () =>
      Promise.all(
        [named, coach, manager, f.owner].map(async (who) => (await api.as(who).get(`${at}/${concern.id}`)).status),
      );
    expect(await statuses()).toEqual([200, 200, 404, 404]);
    const sent = await send(coach, concern);
    expect([sent.status, sent.body]).toEqual([
      200,
      { id: concern.id, sentAt: '2026-09-14T16:05:00.000Z', signedAs: 'Ciara Doyle', link: null, revision: 2 },
    ]);
    expect(await statuses()).toEqual([200, 404, 404, 404]);
    expect((await api.as(manager).get(at)).body.items).toEqual([]);
    expect((await api.as(named).get(at)).body.items).toHaveLength(1);
    const inTheTrail = (await api.as(manager).get(`/gyms/${f.gym.id}/events?subjectId=${concern.id}`)).body.items;
    expect(inTheTrail).toEqual([]);
  });

  test('a concern has readers, who could read a note here; other notes have none', async () => {
    const concern = (readers: string[]) => ({ kind: 'safeguarding', what: 'Something said.', readers });
    const refused = async (note: object) => pointers(await api.as(coach).post(at, note));
    expect(await refused(concern([]))).toEqual(['/readers']);
    expect(await refused(concern([f.lead.accountId]))).toEqual(['/readers/0']);
    expect(await refused(concern([crypto.randomUUID()]))).toEqual(['/readers/0']);
    expect(await refused(bump({ readers: [manager.accountId] }))).toEqual(['/readers']);
    const { body } = await api.as(coach).get(`/gyms/${f.gym.id}/incident-readers`);
    expect(body.items.map(({ accountId }) => accountId).sort()).toEqual(
      [f.owner, manager, f.deskOf(f.gym), coach].map(({ accountId }) => accountId).sort(),
    );
  });

  test('every reading leaves a line: of a note, a list, a file, and of medical alerts', async () => {
    const note = await write(coach);
    const file = await api.as(coach).post(`${at}/${note.id}/attachments`, { name: 'a.pdf', content: 'JVBERi0xLjcK' });
    await api.as(manager).get(`${at}/${note.id}`);
    await api.as(manager).get(`${at}/${note.id}/attachments/${file.body.id}`);
    await api.as(manager).get(at);
    const read = (await eventsAbout(note.id)).filter(({ name }) => name === 'incidents.read');
    expect(read).toEqual([
      { name: 'incidents.read', gym_id: f.gym.id, account_id: manager.accountId, data: { attachmentId: null } },
      { name: 'incidents.read', gym_id: f.gym.id, account_id: manager.accountId, data: { attachmentId: file.body.id } },
    ]);
    expect((await eventsAbout(f.gym.id)).at(-1)).toMatchObject({
      name: 'incidents.listed',
      data: { incidentIds: [note.id] },
    });

    await api.as(manager).get(`/gyms/${f.gym.id}/athletes/${child}`);
    expect(await namesOf(child)).toEqual([]);
    await api.as(manager).put(`/gyms/${f.gym.id}/athletes/${child}/health`, { alerts: 'Asthma' }, { ifMatch: 1 });
    await api.as(manager).get(`/gyms/${f.gym.id}/athletes/${child}`);
    await api.as(manager).get(`/gyms/${f.gym.id}/athletes`);
    expect(await namesOf(child)).toEqual(['people.health-changed', 'people.health-read']);
    expect((await eventsAbout(f.gym.id)).at(-1)).toMatchObject({
      name: 'people.health-read',
      data: { athleteIds: [child] },
    });
  });
});
