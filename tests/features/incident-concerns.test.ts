import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import { aFranchise, aMember, type Franchise, type Member } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';
import { anAthlete } from '../support/people.ts';
import { headOf } from '../support/second-chain.ts';

// Safeguarding concerns: who can go on with one, and what nobody else can tell.

let api: Api;
let f: Franchise;
let child: string;
let coach: Member & { personId: string };
let manager: Member;
let desk: Member;
let at: string;

const THEN = '2026-09-14T16:05:00Z';
beforeAll(async () => {
  api = await openApi({ now: THEN });
});
afterAll(() => api.close());
beforeEach(async () => {
  f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(8) });
  child = await anAthlete(f);
  const session = await aSession(f, { groups: [[child]] });
  coach = f.coachOf(f.gym);
  manager = f.managerOf(f.gym);
  desk = f.deskOf(f.gym);
  await anAssignment(f, session.blocks[0]!, coach.personId);
  at = `/gyms/${f.gym.id}/incidents`;
});

const suspected = () => ({
  people: [{ personId: child, part: 'hurt' }],
  suspectedConcussions: [{ athleteId: child, observed: [] }],
});
/** Writes one and sends it; gives its receipt and what it was as a draft. */
const sent = async (note: object) => {
  const { body } = await api.as(coach).post<Incident>(at, { kind: 'injury', what: 'Something.', ...note });
  const { revision } = (await api.as(coach).get<Incident>(`${at}/${body.id}`)).body;
  const send = await api.as(coach).post(`${at}/${body.id}/send`, { signedAs: 'Ciara Doyle' }, { ifMatch: revision });
  expect(send.status).toBe(200);
  return { draft: body, receipt: send.body };
};
const concern = (more: object = {}) => sent({ kind: 'safeguarding', readers: [desk.accountId], ...more });
const chain = (by: Member, of = 'notes') => api.as(by).get(`/gyms/${f.gym.id}/incident-chain?of=${of}`);
const name = (by: Member, id: string, readers: string[], more: object = {}) =>
  api.as(by).post<Incident>(`${at}/${id}/amendments`, {
    what: 'readers',
    said: 'The manager is to go on with it.',
    signedAs: 'Ana Reyes',
    readers,
    ...more,
  });
const refused = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.errors?.map(({ pointer }) => pointer) ?? body.type.replace('/problems/', '')];
};
const eventsOfGym = async () => {
  const { rows } = await api.database.ownerPool.query<{ name: string; data: Record<string, unknown> }>(
    'SELECT name, data FROM events WHERE franchise_id = $1 AND gym_id = $2 ORDER BY id',
    [f.id, f.gym.id],
  );
  return rows;
};

test('those named may name more, signed and linked, so that one named to the desk alone can still be cleared', async () => {
  const { draft } = await concern(suspected());
  const clearance = `${at}/${draft.id}/suspected-concussions/${draft.concussions[0]?.id}/clearance`;
  const paper = {
    professional: 'Dr Maeve Quinn',
    profession: 'physician',
    licence: '123456',
    licensedBy: 'the medical council',
    examinedOn: '2026-09-14',
    stages: [],
  };
  expect(refused(await api.as(manager).post(clearance, paper))).toEqual([404, 'not-found']);
  const named = await name(desk, draft.id, [manager.accountId]);
  expect(named.status).toBe(201);
  expect(named.body.readers).toEqual([desk.accountId, manager.accountId].sort());
  expect(named.body.amendments).toMatchObject([
    { what: 'readers', readers: [manager.accountId], signedAs: 'Ana Reyes' },
  ]);
  expect((await api.as(manager).post(clearance, paper)).status).toBe(201);
  const { body } = await chain(f.owner, 'concerns');
  expect(body).toMatchObject({ intact: true, links: 4 });
  expect(await headOf(api.database.ownerPool, f.gym.id, 'concerns')).toEqual({ number: 4, hash: body.head });
  await api.database.ownerPool.query(`UPDATE incident_amendments SET readers = '{}' WHERE incident_id = $1`, [
    draft.id,
  ]);
  expect((await chain(f.owner, 'concerns')).body.broken).toMatchObject({ number: 3, incidentId: draft.id });
});

test('more readers are able, new, of a concern, at most twenty, and named by one who may read it', async () => {
  const { draft } = await concern();
  const others = [];
  for (let more = 0; more < 20; more += 1) others.push((await aMember(f, { role: 'desk', gym: f.gym })).accountId);
  const reads = [manager.accountId];
  expect(refused(await name(coach, draft.id, reads))).toEqual([404, 'not-found']);
  expect(refused(await name(f.owner, draft.id, reads))).toEqual([404, 'not-found']);
  expect(refused(await name(desk, draft.id, []))).toEqual([422, ['/readers']]);
  expect(refused(await name(desk, draft.id, reads, { what: 'correction' }))).toEqual([422, ['/readers']]);
  expect(refused(await name(desk, draft.id, [desk.accountId]))).toEqual([422, ['/readers/0']]);
  expect(refused(await name(desk, draft.id, [...reads, ...reads]))).toEqual([422, ['/readers/1']]);
  expect(refused(await name(desk, draft.id, [f.lead.accountId]))).toEqual([422, ['/readers/0']]);
  expect(refused(await name(desk, draft.id, others))).toEqual([409, 'conflict']);
  expect((await name(desk, draft.id, others.slice(1))).status).toBe(201);
  const { draft: injury } = await sent({ kind: 'injury' });
  expect(refused(await name(manager, injury.id, [desk.accountId]))).toEqual([422, ['/readers']]);
});

test('its files and follow-ups are for those named: to another manager there are none', async () => {
  const named = await aMember(f, { role: 'manager', gym: f.gym });
  const { draft } = await concern({ readers: [named.accountId] });
  const path = `${at}/${draft.id}`;
  const file = { name: 'letter', content: Buffer.from('%PDF-1.7').toString('base64') };
  const follow = { what: 'Ring the family.', dueOn: '2026-09-20' };
  const attached = await api.as(named).post(`${path}/attachments`, file);
  const agreed = await api.as(named).post(`${path}/follow-ups`, follow);
  expect([attached.status, agreed.status]).toEqual([201, 201]);
  const due = async (by: Member) => (await api.as(by).get(`/gyms/${f.gym.id}/incident-follow-ups`)).body.items;
  expect(await due(named)).toEqual([agreed.body]);
  expect((await api.as(named).get(`${path}/attachments/${attached.body.id}`)).status).toBe(200);
  for (const other of [manager, f.owner]) {
    expect(await due(other)).toEqual([]);
    const as = api.as(other);
    const tried = [
      await as.get(`${path}/attachments/${attached.body.id}`),
      await as.post(`${path}/attachments`, file),
      await as.post(`${path}/follow-ups`, follow),
      await as.post(`${path}/follow-ups/${agreed.body.id}/done`, { outcome: 'Rung.' }),
    ];
    expect(tried.map(refused)).toEqual(Array(4).fill([404, 'not-found']));
  }
});

test('no number of the gym’s tells that there is one', async () => {
  const first = await sent({});
  await concern(suspected());
  const { receipt } = await concern();
  const second = await sent({});
  expect([first, second].map((one) => one.receipt.link)).toEqual([1, 2]);
  expect(receipt.link).toBe(null);
  const { rows } = await api.database.ownerPool.query(
    "SELECT FROM events WHERE franchise_id = $1 AND name LIKE 'incidents.%' AND data ? 'link'",
    [f.id],
  );
  expect(rows).toEqual([]);
  const head = await headOf(api.database.ownerPool, f.gym.id);
  expect((await chain(manager)).body).toEqual({ intact: true, links: 2, head: head.hash, broken: null });
});

test('a change of one breaks its own chain, which is the owner’s to verify', async () => {
  await sent({});
  const { draft } = await concern();
  await api.database.ownerPool.query("UPDATE incidents SET what = 'Nothing.' WHERE id = $1", [draft.id]);
  expect((await chain(manager)).body).toMatchObject({ intact: true, links: 1 });
  expect((await chain(f.owner, 'concerns')).body.broken).toMatchObject({ number: 1, incidentId: draft.id });
  expect(refused(await chain(manager, 'concerns'))).toEqual([403, 'not-allowed']);
});

test('that somebody is stopped is said alike for a concern and for any other note', async () => {
  await sent(suspected());
  await concern(suspected());
  const held = (await eventsOfGym()).filter((event) => event.name === 'attendance.activity-held');
  expect(held.map(({ data }) => data.incidentId ?? null)).toEqual([null, null]);
});
