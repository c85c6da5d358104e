import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Athlete, ChangedAthlete } from '../../src/features/people/athlete-schema.ts';
import type { QualificationKind } from '../../src/features/people/schema.ts';
import type { ChangedStaffMember, StaffMember, StaffSummary } from '../../src/features/people/staff-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, aMember, type Franchise, type TestGym } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
let f: Franchise;
let here: TestGym;
let there: TestGym;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
  [here, there] = [f.gyms[0], f.gyms[1]!];
});
afterAll(() => api.close());

const problem = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.type.replace('/problems/', '')];
};
const pointers = (answer: { body: unknown }) => (answer as Answer).body.errors.map(({ pointer }) => pointer);
const nothing = { released: [], unconfirmed: [], atOtherGyms: 0, notListed: 0 };
const manager = (gym = here) => api.as(f.managerOf(gym));
const desk = (gym = here) => api.as(f.deskOf(gym));
const staffAt = (gym = here) => `/gyms/${gym.id}/staff`;
const athletesAt = (gym = here) => `/gyms/${gym.id}/athletes`;

const aPerson = (given = 'Orla', family = 'Keane') => ({ given, family });
const newStaff = (more: object = {}) => ({
  person: aPerson(),
  born: '1991-02-03',
  employment: { from: '2026-01-01' },
  ...more,
});

async function eventsAbout(subjectId: string, of = f): Promise<string[]> {
  const { rows } = await api.database.ownerPool.query<{ name: string }>(
    'SELECT name FROM events WHERE franchise_id = $1 AND subject_id = $2 ORDER BY id',
    [of.id, subjectId],
  );
  return rows.map(({ name }) => name);
}

/** What the events of a name carry, in their order. */
async function dataOf(name: string, of = f): Promise<unknown[]> {
  const { rows } = await api.database.ownerPool.query<{ data: unknown }>(
    'SELECT data FROM events WHERE franchise_id = $1 AND name = $2 ORDER BY id',
    [of.id, name],
  );
  return rows.map(({ data }) => data);
}

/** A franchise at 1:8, and a confirmed session on 14 September of eight children with one coach, assigned. */
async function eightWithOneCoach(options: { staff?: Parameters<typeof aStaffMember>[1] } = {}) {
  const own = await aFranchise(api, { confirmWindowDays: 0, gyms: 2 });
  await aRule(own, { body: oneTo(8) });
  const coach = await aStaffMember(own, { given: 'Ana', ...options.staff });
  const session = await aSession(own, { groups: [8], confirmed: true });
  const block = session.blocks[0]!;
  const assignmentId = await anAssignment(own, block, coach);
  const isConfirmed = async () => {
    const { rows } = await api.database.ownerPool.query('SELECT confirmed_at FROM blocks WHERE id = $1', [block.id]);
    return rows[0].confirmed_at !== null;
  };
  return { own, coach, session, block, assignmentId, isConfirmed, staff: `/gyms/${own.gym.id}/staff/${coach}` };
}

describe('kinds of qualification', () => {
  test('are added and changed by the owner, and read by everybody', async () => {
    const kind = { name: 'Hands-on spotting', countsFor: ['spotting'], grades: ['basic', 'full'] };
    const added = await api.as(f.owner).post<QualificationKind>('/qualification-kinds', kind);
    expect([added.status, added.headers.get('ETag')]).toEqual([201, '"r1"']);
    expect(added.body).toEqual({ id: added.body.id, ...kind, until: null, revision: 1 });
    expect(problem(await api.as(f.owner).post('/qualification-kinds', { ...kind, name: 'HANDS-ON spotting' }))).toEqual(
      [409, 'already-exists'],
    );
    expect(problem(await manager().post('/qualification-kinds', kind))).toEqual([403, 'not-allowed']);

    const path = `/qualification-kinds/${added.body.id}`;
    const fewer = await api.as(f.owner).patch(path, { grades: ['only'] }, { ifMatch: 1 });
    expect([problem(fewer), pointers(fewer)]).toEqual([[422, 'invalid-request'], ['/grades']]);
    const more = await api.as(f.owner).patch(path, { grades: ['first', 'full', 'advanced'] }, { ifMatch: 1 });
    expect(more.body).toMatchObject({ grades: ['first', 'full', 'advanced'], revision: 2, settled: nothing });
    expect(problem(await api.as(f.owner).patch(path, { name: 'Late' }, { ifMatch: 1 }))).toEqual([
      412,
      'changed-meanwhile',
    ]);
    const listed = await api.as(f.coachOf(here)).get<{ items: QualificationKind[] }>('/qualification-kinds');
    expect(listed.body.items).toContainEqual({ ...added.body, grades: ['first', 'full', 'advanced'], revision: 2 });
    expect(await eventsAbout(added.body.id)).toEqual([
      'people.qualification-kind-added',
      'people.qualification-kind-changed',
    ]);
  });

  test('another franchise’s kind is not found', async () => {
    const { id } = await aQualificationKind(await aFranchise(api));
    const answer = await api.as(f.owner).patch(`/qualification-kinds/${id}`, { name: 'Ours' }, { ifMatch: 1 });
    expect(problem(answer)).toEqual([404, 'not-found']);
  });
});

describe('duty rules', () => {
  test('a new one releases whoever no longer fits, and says so', async () => {
    const { own, coach, block, assignmentId, isConfirmed } = await eightWithOneCoach();
    const kind = await aQualificationKind(own);
    const who = {
      test: 'all',
      of: [
        { test: 'age', atLeastYears: 18 },
        { test: 'holds', kind: kind.id, grade: 2 },
      ],
    };
    const set = (sending = {}) => api.as(own.owner).put('/duty-rules/lead', { who }, { ifMatch: 1, ...sending });
    const asked = await set({ dryRun: true });
    expect(await isConfirmed()).toBe(true);
    const done = await set();
    expect(done.status).toBe(200);
    expect(done.body).toEqual(asked.body);
    expect(done.body).toMatchObject({
      duty: 'lead',
      who,
      revision: 2,
      settled: {
        released: [{ assignmentId, personId: coach, refusals: [{ why: 'not-qualified' }] }],
        unconfirmed: [{ blockId: block.id, findings: [{ code: 'short' }] }],
      },
    });
    expect(await isConfirmed()).toBe(false);
    expect(await eventsAbout(assignmentId, own)).toEqual(['staffing.released']);
    expect(await dataOf('people.duty-rule-set', own)).toEqual([{ duty: 'lead', who, revision: 2 }]);
    const listed = await api.as(own.lead).get<{ items: { duty: string }[] }>('/duty-rules');
    expect(listed.body.items.map(({ duty }) => duty)).toEqual(['assist', 'lead', 'oversee', 'shadow']);
  });

  test('a kind that is not the franchise’s, or a grade that it lacks, is refused where it stands', async () => {
    const kind = await aQualificationKind(f, { grades: ['only'] });
    const foreign = await aQualificationKind(await aFranchise(api));
    const who = {
      test: 'any',
      of: [
        { test: 'holds', kind: kind.id, grade: 2 },
        { test: 'supervised', by: { test: 'holds', kind: foreign.id, grade: 1 } },
      ],
    };
    const answer = await api.as(f.owner).put('/duty-rules/assist', { who }, { ifMatch: 1 });
    expect(pointers(answer)).toEqual(['/who/of/0/grade', '/who/of/1/by/kind']);
  });

  test('are the owner’s', async () => {
    const body = { who: { test: 'all', of: [] } };
    expect(problem(await manager().put('/duty-rules/lead', body, { ifMatch: 1 }))).toEqual([403, 'not-allowed']);
    expect(problem(await api.as(f.owner).put('/duty-rules/juggle', body, { ifMatch: 1 }))).toEqual([404, 'not-found']);
  });
});

describe('staff', () => {
  test('somebody is added with employment and qualifications, and read back', async () => {
    const kind = await aQualificationKind(f, { name: 'First aid' });
    const person = { ...aPerson('Siobhán', 'Ní Laoghaire'), email: 'Siobhan@Example.org', phone: '+353 1 555 0100' };
    const held = { kindId: kind.id, grade: 2, from: '2025-05-01', until: '2028-05-01', evidence: 'card 1234 seen' };
    const added = await manager().post<StaffMember>(staffAt(), newStaff({ person, qualifications: [held] }));
    expect(added.status).toBe(201);
    const { personId, employments, qualifications } = added.body;
    expect(added.body).toEqual({
      personId,
      given: 'Siobhán',
      family: 'Ní Laoghaire',
      born: '1991-02-03',
      employments: [{ id: employments[0]!.id, from: '2026-01-01', until: null }],
      qualifications: [{ id: qualifications![0]!.id, kind: 'First aid', ...held, revokedFrom: null, revokedWhy: null }],
      signOffs: [],
      contacts: { email: 'siobhan@example.org', phone: '+353 1 555 0100' },
      revision: 1,
    });
    expect((await manager().get(`${staffAt()}/${personId}`)).body).toEqual(added.body);
    expect((await desk().get(`${staffAt()}/${personId}`)).body).toEqual({
      ...added.body,
      born: null,
      qualifications: [{ ...qualifications![0], evidence: null }],
    });
    expect(await eventsAbout(personId)).toEqual(['people.staff-added', 'people.employed', 'people.qualified']);
  });

  test('twins with one Idempotency-Key add somebody once', async () => {
    const person = aPerson('Twin', 'Uniquename');
    const key = crypto.randomUUID();
    const twins = await Promise.all([1, 2].map(() => manager().post(staffAt(), newStaff({ person }), { key })));
    expect(twins.map(({ status }) => status)).toEqual([201, 201]);
    expect(twins[0]!.body).toEqual(twins[1]!.body);
    const { body } = await manager().get(`${staffAt()}?name=uniquename`);
    expect(body.items).toHaveLength(1);
  });

  test('are listed by name, found by a part of it, page by page', async () => {
    const own = await aFranchise(api);
    const names = ['Zoe Abbott', 'aoife Byrne', 'Brian Byrne', 'Cian O’Shea', 'Dara 100% Quinn'];
    for (const name of names) {
      const [given, ...family] = name.split(' ');
      await aStaffMember(own, { given: given!, family: family.join(' ') });
    }
    const path = `/gyms/${own.gym.id}/staff`;
    const seen: string[] = [];
    for (let next: string | null = `${path}?limit=2`; next !== null; ) {
      const { body }: Answer<{ items: StaffSummary[]; next: string | null }> = await api.as(own.owner).get(next);
      seen.push(...body.items.map(({ given, family }) => `${given} ${family}`));
      next = body.next === null ? null : `${path}?limit=2&cursor=${body.next}`;
    }
    expect(seen).toEqual(['Dara 100% Quinn', 'Zoe Abbott', 'aoife Byrne', 'Brian Byrne', 'Ciara Doyle', 'Cian O’Shea']);
    const found = async (name: string) =>
      (
        await api.as(own.owner).get<{ items: StaffSummary[] }>(`${path}?name=${encodeURIComponent(name)}`)
      ).body.items.map(({ given }) => given);
    expect(await found('BYRNE')).toEqual(['aoife', 'Brian']);
    expect(await found('n o’s')).toEqual(['Cian']);
    expect(await found('%')).toEqual(['Dara']);
  });

  test('of another gym, or another franchise, are not found', async () => {
    const theirs = await aStaffMember(f, { gyms: [there] });
    const foreign = await aStaffMember(await aFranchise(api));
    for (const personId of [theirs, foreign]) {
      expect(problem(await manager().get(`${staffAt()}/${personId}`))).toEqual([404, 'not-found']);
      const change = await manager().patch(`${staffAt()}/${personId}`, { given: 'Mine' }, { ifMatch: 1 });
      expect(problem(change)).toEqual([404, 'not-found']);
      const employed = await manager().post(`${staffAt()}/${personId}/employments`, { from: '2026-09-01' });
      expect(problem(employed)).toEqual([404, 'not-found']);
    }
    expect(problem(await manager().get(`${staffAt(there)}/${theirs}`))).toEqual([404, 'not-found']);
    expect(problem(await manager().get(staffAt(there)))).toEqual([404, 'not-found']);
    expect(problem(await api.as(f.coachOf(here)).get(staffAt()))).toEqual([403, 'not-allowed']);
    expect(problem(await desk().post(staffAt(), newStaff()))).toEqual([403, 'not-allowed']);
  });

  /** Employed here until a day before today, and at the other gym since. */
  async function aLeaver(): Promise<string> {
    const kind = await aQualificationKind(f);
    const personId = await aStaffMember(f, { gyms: [there], holds: [{ kind }] });
    await f.arrange(async (tx) => {
      const employment = { franchiseId: f.id, id: newId(), personId, gymId: here.id };
      await tx.insert(t.employments).values({ ...employment, from: '2020-01-01', until: '2026-09-07' });
      await tx.insert(t.personContacts).values({ franchiseId: f.id, personId, phone: '01 555 0142' });
    });
    return personId;
  }

  test('whoever has left is shown to their former gym by name and employments here alone', async () => {
    const personId = await aLeaver();
    const path = `${staffAt()}/${personId}`;
    const seen = await manager().get<StaffMember>(path);
    expect(seen.body).toEqual({
      personId,
      given: 'Niamh',
      family: 'Byrne',
      employments: [{ id: seen.body.employments[0]!.id, from: '2020-01-01', until: '2026-09-07' }],
      born: null,
      qualifications: null,
      signOffs: null,
      contacts: null,
      revision: 1,
    });
    expect((await manager().get(`${staffAt()}?name=niamh`)).body.items).toContainEqual(
      expect.objectContaining({ personId }),
    );
    for (const whole of [
      await manager(there).get<StaffMember>(`${staffAt(there)}/${personId}`),
      await api.as(f.owner).get<StaffMember>(path),
    ]) {
      expect(whole.body).toMatchObject({ born: '1992-03-15', contacts: { phone: '01 555 0142' } });
      expect(whole.body.qualifications).toHaveLength(1);
    }
  });

  test('the former gym writes nothing more about them; whoever manages every gym does', async () => {
    const personId = await aLeaver();
    const path = `${staffAt()}/${personId}`;
    const owner = api.as(f.owner);
    const { body } = await owner.get<StaffMember>(path);
    const [qualification, employment] = [body.qualifications![0]!, body.employments[0]!];
    const held = { kindId: qualification.kindId, grade: 1, from: '2026-01-01', evidence: 'seen' };
    const kindred = await anAthlete(f);
    for (const call of [
      manager().patch(path, { phone: '01 555 0199' }, { ifMatch: 1 }),
      manager().patch(path, { born: '2000-01-01' }, { ifMatch: 1 }),
      manager().post(`${path}/employments`, { from: '2026-10-01' }),
      manager().post(`${path}/employments/${employment.id}/end`, { until: '2027-01-01' }),
      manager().post(`${path}/qualifications`, held),
      manager().post(`${path}/qualifications/${qualification.id}/revoke`, { from: '2026-09-01', reason: 'spite' }),
      manager().post(`${path}/sign-offs`, { skillId: newId(), level: 'alone', from: '2026-09-01' }),
      manager().post(`${path}/sign-offs/${newId()}/end`, { until: '2026-10-01' }),
    ]) {
      expect(problem(await call)).toEqual([409, 'conflict']);
    }
    const guardian = { person: { id: personId }, relation: 'aunt' };
    expect(pointers(await manager().post(`${athletesAt()}/${kindred}/guardians`, guardian))).toEqual(['/person/id']);
    const helper = { helperId: personId, from: '2026-09-01' };
    expect(pointers(await manager().post(`${athletesAt()}/${kindred}/helpers`, helper))).toEqual(['/helperId']);
    const user = { email: 'leaver@example.org', role: 'coach', gymId: here.id, personId };
    expect(pointers(await manager().post('/users', user))).toEqual(['/personId']);
    expect(await eventsAbout(personId)).toEqual([]);

    expect((await owner.patch(path, { phone: '01 555 0199' }, { ifMatch: 1 })).status).toBe(200);
    expect((await owner.post(`${path}/employments`, { from: '2026-10-01' })).status).toBe(201);
    expect((await manager().patch(path, { phone: '01 555 0123' }, { ifMatch: 2 })).status).toBe(200);
  });

  test('an athlete who is on another gym’s staff is corrected by that gym', async () => {
    const personId = await anAthlete(f, { born: '2009-01-01' });
    await f.arrange(async (tx) => {
      const ours = { franchiseId: f.id, personId };
      await tx.insert(t.staffMembers).values({ ...ours, born: '2009-01-01' });
      await tx.insert(t.employments).values({ ...ours, id: newId(), gymId: there.id, from: '2026-01-01' });
    });
    const path = `${athletesAt()}/${personId}`;
    expect(problem(await manager().patch(path, { born: '2000-01-01' }, { ifMatch: 1 }))).toEqual([409, 'conflict']);
    expect((await api.as(f.owner).patch(path, { born: '2009-01-02' }, { ifMatch: 1 })).status).toBe(200);
  });

  test('a manager of both gyms employs somebody from one at the other', async () => {
    const personId = await aStaffMember(f);
    const both = await aMember(f, { role: 'manager', gym: here });
    await api.as(f.owner).post(`/users/${both.accountId}/roles`, { role: 'manager', gymId: there.id });
    const answer = await api.as(both).post(`${staffAt(there)}/${personId}/employments`, { from: '2026-09-01' });
    expect(answer.status).toBe(201);
    expect(answer.body).toMatchObject({ from: '2026-09-01', until: null, settled: nothing });
    expect((await manager(there).get(`${staffAt(there)}/${personId}`)).status).toBe(200);
    const again = await api.as(both).post(`${staffAt(there)}/${personId}/employments`, { from: '2027-01-01' });
    expect(problem(again)).toEqual([409, 'already-exists']);
  });

  test('faults in a body are said where they are', async () => {
    const backwards = await manager().post(
      staffAt(),
      newStaff({ employment: { from: '2026-09-01', until: '2026-09-01' } }),
    );
    expect(pointers(backwards)).toEqual(['/employment/until']);
    const kindId = crypto.randomUUID();
    const held = { kindId, grade: 1, from: '2025-01-01', evidence: 'seen' };
    expect(pointers(await manager().post(staffAt(), newStaff({ qualifications: [held] })))).toEqual([
      '/qualifications/0/kindId',
    ]);
    const wild = await manager().post(staffAt(), newStaff({ born: '2026-02-30', extra: true }));
    expect(pointers(wild).sort()).toEqual(['/born', '/extra']);
    const stranger = await manager().post(staffAt(), newStaff({ person: { id: crypto.randomUUID() } }));
    expect(pointers(stranger)).toEqual(['/person/id']);
    const theirs = await anAthlete(f, { gym: there });
    expect(pointers(await manager().post(staffAt(), newStaff({ person: { id: theirs } })))).toEqual(['/person/id']);
  });

  test('an athlete of the gym may become staff, with the same birth date', async () => {
    const athlete = await anAthlete(f, { born: '2011-04-05', given: 'Trainee' });
    const body = newStaff({ person: { id: athlete }, born: '2011-04-06' });
    expect(pointers(await manager().post(staffAt(), body))).toEqual(['/born']);
    const added = await manager().post<StaffMember>(staffAt(), { ...body, born: '2011-04-05' });
    expect(added.body).toMatchObject({ personId: athlete, given: 'Trainee' });
    expect(problem(await manager().post(staffAt(), { ...body, born: '2011-04-05' }))).toEqual([409, 'already-exists']);

    const changed = await manager().patch(`${staffAt()}/${athlete}`, { born: '2011-04-07' }, { ifMatch: 1 });
    expect(changed.status).toBe(200);
    const { body: known } = await manager().get<Athlete>(`${athletesAt()}/${athlete}`);
    expect(known.record?.born).toBe('2011-04-07');
  });

  test('names and contacts are corrected, by revision', async () => {
    const personId = await aStaffMember(f);
    const path = `${staffAt()}/${personId}`;
    const changed = await manager().patch<ChangedStaffMember>(
      path,
      { family: 'New', phone: '01 555 0199' },
      { ifMatch: 1 },
    );
    expect(changed.body).toMatchObject({
      family: 'New',
      contacts: { email: null, phone: '01 555 0199' },
      revision: 2,
      settled: nothing,
    });
    const more = await manager().patch<ChangedStaffMember>(path, { email: 'n@example.org' }, { ifMatch: 2 });
    expect(more.body.contacts).toEqual({ email: 'n@example.org', phone: '01 555 0199' });
    expect(problem(await manager().patch(path, { family: 'Late' }, { ifMatch: 2 }))).toEqual([
      412,
      'changed-meanwhile',
    ]);
  });

  test('a corrected birth date releases whoever turns out too young', async () => {
    const { own, coach, isConfirmed, staff, assignmentId } = await eightWithOneCoach();
    const who = { test: 'age', atLeastYears: 18 };
    await api.as(own.owner).put('/duty-rules/lead', { who }, { ifMatch: 1 });
    expect(await isConfirmed()).toBe(true);
    const changed = await api
      .as(own.managerOf(own.gym))
      .patch<ChangedStaffMember>(staff, { born: '2010-01-01' }, { ifMatch: 1 });
    expect(changed.body.settled).toMatchObject({
      released: [{ assignmentId, personId: coach, refusals: [{ why: 'under-age' }] }],
      unconfirmed: [{ findings: [{ code: 'short' }] }],
    });
    expect(await isConfirmed()).toBe(false);
  });

  test('an employment that ends releases them from that day on', async () => {
    const { own, staff, assignmentId, isConfirmed } = await eightWithOneCoach();
    const call = api.as(own.managerOf(own.gym));
    const { body } = await call.get<StaffMember>(staff);
    const path = `${staff}/employments/${body.employments[0]!.id}/end`;
    expect(pointers(await call.post(path, { until: '2019-12-31' }))).toEqual(['/until']);
    const later = await call.post(path, { until: '2026-09-15' });
    expect(later.body).toMatchObject({ until: '2026-09-15', settled: nothing });
    const sooner = await call.post(path, { until: '2026-09-14' });
    expect(sooner.body).toMatchObject({
      until: '2026-09-14',
      settled: { released: [{ assignmentId, refusals: [{ why: 'not-employed' }] }] },
    });
    expect(await isConfirmed()).toBe(false);
    const elsewhere = await api.as(own.owner).post(path.replace(own.gym.id, own.gyms[1]!.id), { until: '2026-09-14' });
    expect(problem(elsewhere)).toEqual([404, 'not-found']);
  });
});

describe('qualifications', () => {
  test('one that is revoked is held no more from that day, and the block loses its confirmation', async () => {
    const own = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(own);
    const coach = await aStaffMember(own, { holds: [{ kind }] });
    const who = { test: 'holds', kind: kind.id, grade: 1 };
    await api.as(own.owner).put('/duty-rules/lead', { who }, { ifMatch: 1 });
    await aRule(own, { body: oneTo(8) });
    const session = await aSession(own, { groups: [8], confirmed: true });
    await anAssignment(own, session.blocks[0]!, coach);
    const staff = `/gyms/${own.gym.id}/staff/${coach}`;
    const call = api.as(own.managerOf(own.gym));
    const id = (await call.get<StaffMember>(staff)).body.qualifications![0]!.id;
    const revoke = (from: string) =>
      call.post(`${staff}/qualifications/${id}/revoke`, { from, reason: 'lapsed screening' });

    const after = await revoke('2026-09-15');
    expect(after.body).toMatchObject({ id, revokedFrom: '2026-09-15', settled: nothing });
    expect(problem(await revoke('2026-09-20'))).toEqual([409, 'conflict']);
    const before = await revoke('2026-09-14');
    expect(before.body).toMatchObject({
      revokedFrom: '2026-09-14',
      revokedWhy: 'lapsed screening',
      settled: {
        released: [{ personId: coach, refusals: [{ why: 'not-qualified' }] }],
        unconfirmed: [{ blockId: session.blocks[0]!.id }],
      },
    });
    const events = await dataOf('people.qualification-revoked', own);
    const said = { personId: coach, qualificationId: id, kindId: kind.id };
    expect(events).toEqual([
      { ...said, from: '2026-09-15', revision: 2 },
      { ...said, from: '2026-09-14', revision: 3 },
    ]);
    const known = await api.as(own.deskOf(own.gym)).get<StaffMember>(staff);
    expect(known.body.qualifications).toMatchObject([{ revokedFrom: '2026-09-14', evidence: null, revokedWhy: null }]);
  });

  test('are written down with what was seen', async () => {
    const kind = await aQualificationKind(f, { grades: ['only'] });
    const personId = await aStaffMember(f);
    const path = `${staffAt()}/${personId}/qualifications`;
    const held = { kindId: kind.id, grade: 1, from: '2026-01-01', evidence: 'certificate 7 seen' };
    const asked = await manager().post(path, held, { dryRun: true });
    expect(asked.status).toBe(201);
    const added = await manager().post(path, held);
    expect(added.body).toMatchObject({ ...held, until: null, revokedFrom: null, settled: nothing });
    const { body } = await manager().get<StaffMember>(`${staffAt()}/${personId}`);
    expect(body.qualifications).toHaveLength(1);
    expect(pointers(await manager().post(path, { ...held, grade: 2 }))).toEqual(['/grade']);
    expect(pointers(await manager().post(path, { ...held, until: '2025-01-01' }))).toEqual(['/until']);
    expect(pointers(await manager().post(path, { ...held, evidence: '' }))).toContain('/evidence');
  });
});

describe('sign-offs', () => {
  test('say who watched, and end', async () => {
    const personId = await aStaffMember(f);
    const skillId = newId();
    await f.arrange((tx) =>
      tx
        .insert(t.skills)
        .values({ franchiseId: f.id, id: skillId, name: 'Handspring', apparatusId: f.apparatus.vault }),
    );
    const path = `${staffAt()}/${personId}/sign-offs`;
    const byPersonId = f.coachOf(here).personId;
    const added = await manager().post(path, { skillId, level: 'helped', byPersonId, from: '2026-09-01' });
    expect(added.body).toMatchObject({
      skillId,
      skill: 'Handspring',
      level: 'helped',
      byPersonId,
      from: '2026-09-01',
      until: null,
      settled: nothing,
    });
    const ended = await manager().post(`${path}/${added.body.id}/end`, { until: '2026-10-01' });
    expect(ended.body).toMatchObject({ until: '2026-10-01', settled: nothing });
    const { body } = await desk().get<StaffMember>(`${staffAt()}/${personId}`);
    expect(body.signOffs).toMatchObject([{ id: added.body.id, until: '2026-10-01' }]);

    const ask = async (more: object) =>
      pointers(await manager().post(path, { skillId, level: 'alone', from: '2026-09-01', ...more }));
    expect(await ask({ skillId: crypto.randomUUID() })).toEqual(['/skillId']);
    expect(await ask({ byPersonId: f.coachOf(there).personId })).toEqual(['/byPersonId']);
    expect(await ask({ level: 'expert' })).toEqual(['/level']);
  });
});

describe('athletes', () => {
  const newAthlete = (more: object = {}) => ({ person: aPerson('Finn', 'Walsh'), born: '2018-03-01', ...more });

  test('a birth date that is ahead is a slip, for staff and athletes alike', async () => {
    const born = '2027-03-01';
    expect(pointers(await desk().post(athletesAt(), newAthlete({ born })))).toEqual(['/born']);
    expect(pointers(await manager().post(staffAt(), newStaff({ born })))).toEqual(['/born']);
    const id = await anAthlete(f, { gym: here });
    expect(pointers(await desk().patch(`${athletesAt()}/${id}`, { born }, { ifMatch: 1 }))).toEqual(['/born']);
  });

  test('are added, found and read by the desk', async () => {
    const traits = [{ trait: 'accompanied', from: '2026-09-01' }];
    const added = await desk().post<ChangedAthlete>(athletesAt(), newAthlete({ traits, countsAs: '6/4' }));
    expect(added.status).toBe(201);
    const { athleteId, record } = added.body;
    expect(added.body).toEqual({
      athleteId,
      gymId: here.id,
      given: 'Finn',
      family: 'Walsh',
      alerts: null,
      record: {
        born: '2018-03-01',
        countsAs: '3/2',
        hasLeft: false,
        family: [],
        traits: [{ id: record?.traits[0]?.id, trait: 'accompanied', from: '2026-09-01', until: null }],
        supports: [],
        helpers: [],
        guardians: [],
        contacts: { email: null, phone: null },
      },
      revision: 1,
      settled: nothing,
    });
    const { settled: _, ...athlete } = added.body;
    expect((await desk().get(`${athletesAt()}/${athleteId}`)).body).toEqual(athlete);
    const { body } = await desk().get(`${athletesAt()}?name=finn%20wal`);
    expect(body.items).toEqual([{ athleteId, given: 'Finn', family: 'Walsh', alerts: null }]);
    expect(await eventsAbout(athleteId)).toEqual(['people.athlete-added']);
    for (const less of ['0/3', '1/20', '19/20', '22/21']) {
      expect(pointers(await desk().post(athletesAt(), newAthlete({ countsAs: less })))).toEqual(['/countsAs']);
      const change = await desk().patch(`${athletesAt()}/${athleteId}`, { countsAs: less }, { ifMatch: 1 });
      expect(pointers(change)).toEqual(['/countsAs']);
    }
  });

  test('of another gym, or another franchise, are not found', async () => {
    const theirs = await anAthlete(f, { gym: there });
    const foreign = await anAthlete(await aFranchise(api));
    for (const id of [theirs, foreign]) {
      const path = `${athletesAt()}/${id}`;
      for (const call of [
        desk().get(path),
        desk().patch(path, { given: 'Mine' }, { ifMatch: 1 }),
        desk().post(`${path}/traits`, { trait: 'accompanied', from: '2026-09-01' }),
        desk().post(`${path}/supports`, { from: '2026-09-01' }),
        desk().post(`${path}/guardians`, { person: aPerson(), relation: 'aunt' }),
        manager().put(`${path}/health`, { alerts: 'none' }, { ifMatch: 1 }),
      ]) {
        expect(problem(await call)).toEqual([404, 'not-found']);
      }
    }
    expect(problem(await api.as(f.owner).get(`${athletesAt()}/${theirs}`))).toEqual([404, 'not-found']);
    expect(problem(await api.as(f.lead).get(athletesAt()))).toEqual([403, 'not-allowed']);
  });

  test('a coach sees names and alerts of those in their own blocks, on the day', async () => {
    const own = await aFranchise(api);
    const session = await aSession(own, { groups: [2, 2], day: '2026-09-07' });
    const coach = own.coachOf(own.gym);
    await anAssignment(own, session.groups[0]!.blocks[0]!, coach.personId, { day: '2026-09-07' });
    const [mine, other] = [session.groups[0]!.athletes, session.groups[1]!.athletes];
    const path = `/gyms/${own.gym.id}/athletes`;
    const alerts = 'Asthma: blue inhaler in the bag.';
    await api.as(own.managerOf(own.gym)).put(`${path}/${mine[0]}/health`, { alerts }, { ifMatch: 1 });

    const seen = async () => (await api.as(coach).get(path)).body.items.map(({ athleteId }) => athleteId).sort();
    expect(await seen()).toEqual([...mine].sort());
    const one = await api.as(coach).get<Athlete>(`${path}/${mine[0]}`);
    expect(one.body).toEqual({
      athleteId: mine[0],
      gymId: own.gym.id,
      given: 'Child 1',
      family: 'Walsh',
      alerts,
      record: null,
      revision: 2,
    });
    expect(problem(await api.as(coach).get(`${path}/${other[0]}`))).toEqual([404, 'not-found']);
    for (const call of [
      api.as(coach).put(`${path}/${mine[0]}/health`, { alerts: null }, { ifMatch: 2 }),
      api.as(coach).patch(`${path}/${mine[0]}`, { given: 'Mine' }, { ifMatch: 1 }),
      api.as(own.deskOf(own.gym)).put(`${path}/${mine[0]}/health`, { alerts: null }, { ifMatch: 2 }),
    ]) {
      expect(problem(await call)).toEqual([403, 'not-allowed']);
    }
    const before = api.clock.now();
    try {
      // Twenty past midnight in Dublin, while it is still the seventh in UTC.
      api.clock.set('2026-09-07T23:20:00Z');
      expect(await seen()).toEqual([]);
    } finally {
      api.clock.set(before);
    }
    await api.database.ownerPool.query('UPDATE assignments SET released_at = now() WHERE franchise_id = $1', [own.id]);
    expect(problem(await api.as(coach).get(`${path}/${mine[0]}`))).toEqual([404, 'not-found']);
  });

  test('alerts are written by the manager, and the event says nothing of them', async () => {
    const id = await anAthlete(f);
    const path = `${athletesAt()}/${id}`;
    const alerts = 'Nut allergy.\nPen at the desk.';
    expect(problem(await manager().put(`${path}/health`, { alerts }))).toEqual([428, 'if-match-required']);
    const written = await manager().put(`${path}/health`, { alerts }, { ifMatch: 1 });
    expect([written.status, written.body, written.headers.get('ETag')]).toEqual([200, { alerts, revision: 2 }, '"r2"']);
    const late = await manager().put(`${path}/health`, { alerts: 'None.' }, { ifMatch: 1 });
    expect(problem(late)).toEqual([412, 'changed-meanwhile']);
    expect((await desk().get(path)).body).toMatchObject({ alerts, revision: 2 });
    const { rows } = await api.database.ownerPool.query('SELECT name, data FROM events WHERE subject_id = $1', [id]);
    expect(rows).toEqual([
      { name: 'people.health-changed', data: { athleteId: id } },
      { name: 'people.health-read', data: { athleteIds: [id] } },
    ]);
    await manager().put(`${path}/health`, { alerts: null }, { ifMatch: 2 });
    expect((await desk().get(path)).body.alerts).toBeNull();
  });

  test('brothers and sisters share a family, one after another', async () => {
    const ids: string[] = [];
    for (const familyOf of [null, 0, 1]) {
      const body = newAthlete(familyOf === null ? {} : { familyOf: ids[familyOf] });
      ids.push((await desk().post<ChangedAthlete>(athletesAt(), body)).body.athleteId);
    }
    const familyOf = async (id: string) => (await desk().get<Athlete>(`${athletesAt()}/${id}`)).body.record?.family;
    expect(await familyOf(ids[0]!)).toEqual([ids[1], ids[2]].sort());
    await desk().patch(`${athletesAt()}/${ids[0]}`, { familyOf: null }, { ifMatch: 1 });
    expect(await familyOf(ids[0]!)).toEqual([]);
    expect(await familyOf(ids[1]!)).toEqual([ids[2]]);
    const theirs = await anAthlete(f, { gym: there });
    for (const wrong of [theirs, ids[1], crypto.randomUUID()]) {
      const answer = await desk().patch(`${athletesAt()}/${ids[1]}`, { familyOf: wrong }, { ifMatch: 1 });
      expect(pointers(answer)).toEqual(['/familyOf']);
    }
  });

  test('a larger load is a fact: the block that it uncovers loses its confirmation', async () => {
    const { own, session, block, isConfirmed } = await eightWithOneCoach();
    const id = session.groups[0]!.athletes[0]!;
    const path = `/gyms/${own.gym.id}/athletes/${id}`;
    const named = await api.as(own.deskOf(own.gym)).patch(path, { given: 'Other' }, { ifMatch: 1 });
    expect(named.body).toMatchObject({ given: 'Other', revision: 2, settled: nothing });
    const heavier = await api.as(own.deskOf(own.gym)).patch(path, { countsAs: '2' }, { ifMatch: 2 });
    expect(heavier.body).toMatchObject({
      record: { countsAs: '2' },
      revision: 3,
      settled: { unconfirmed: [{ blockId: block.id, findings: [{ code: 'short', short: '1/8' }] }] },
    });
    expect(await isConfirmed()).toBe(false);
    expect(await eventsAbout(block.id, own)).toEqual(['staffing.confirmation-lost']);
  });

  test('the need of a helper is a fact, and so is who the helper is', async () => {
    const { own, session, block, isConfirmed } = await eightWithOneCoach();
    const path = `/gyms/${own.gym.id}/athletes/${session.groups[0]!.athletes[0]}`;
    const call = api.as(own.managerOf(own.gym));
    const needed = await call.post(`${path}/supports`, { from: '2026-09-01' });
    expect(needed.status).toBe(201);
    expect(needed.body.settled).toMatchObject({
      unconfirmed: [{ blockId: block.id, findings: [{ code: 'support' }] }],
    });
    expect(await isConfirmed()).toBe(false);

    const helperId = await aStaffMember(own);
    const helper = await call.post(`${path}/helpers`, { helperId, from: '2026-09-01' });
    expect(helper.body).toMatchObject({ helperId, until: null, settled: nothing });
    const stranger = await call.post(`${path}/helpers`, {
      helperId: own.coachOf(own.gyms[1]!).personId,
      from: '2026-09-01',
    });
    expect(pointers(stranger)).toEqual(['/helperId']);
    const ended = await call.post(`${path}/helpers/${helper.body.id}/end`, { until: '2026-09-14' });
    expect(ended.body).toMatchObject({ helperId, until: '2026-09-14', settled: nothing });
    const over = await call.post(`${path}/supports/${needed.body.id}/end`, { until: '2026-09-01' });
    expect(over.body).toMatchObject({ from: '2026-09-01', until: '2026-09-01' });
    expect(problem(await call.post(`${path}/supports/${newId()}/end`, { until: '2026-09-02' }))).toEqual([
      404,
      'not-found',
    ]);
    const { body } = await call.get<Athlete>(path);
    expect(body.record).toMatchObject({ supports: [{ until: '2026-09-01' }], helpers: [{ until: '2026-09-14' }] });
  });

  test.each(['traits', 'supports', 'helpers'] as const)(
    '%s: none twice on one day, and an end is never put off',
    async (what) => {
      const id = await anAthlete(f, { gym: here });
      const path = `${athletesAt()}/${id}/${what}`;
      const helperId = await aStaffMember(f, { gyms: [here] });
      const more = { traits: { trait: 'accompanied' }, supports: {}, helpers: { helperId } }[what];
      const first = await desk().post(path, { ...more, from: '2026-09-01' });
      expect(first.status).toBe(201);
      expect(problem(await desk().post(path, { ...more, from: '2026-10-01' }))).toEqual([409, 'already-exists']);
      const end = (until: string) => desk().post(`${path}/${first.body.id}/end`, { until });
      expect((await end('2026-11-01')).status).toBe(200);
      expect(problem(await end('2026-12-01'))).toEqual([409, 'conflict']);
      expect((await desk().post(path, { ...more, from: '2026-11-01' })).status).toBe(201);
    },
  );

  test('a trait begins and ends', async () => {
    const id = await anAthlete(f);
    const path = `${athletesAt()}/${id}/traits`;
    const added = await desk().post(path, { trait: 'needs support', from: '2026-09-01' });
    expect(added.body).toMatchObject({ trait: 'needs support', until: null, settled: nothing });
    expect(pointers(await desk().post(`${path}/${added.body.id}/end`, { until: '2026-08-31' }))).toEqual(['/until']);
    const ended = await desk().post(`${path}/${added.body.id}/end`, { until: '2026-10-01' });
    expect(ended.body).toMatchObject({ trait: 'needs support', until: '2026-10-01' });
    const { rows } = await api.database.ownerPool.query(
      "SELECT data FROM events WHERE subject_id = $1 AND name = 'people.trait-changed'",
      [id],
    );
    const data = { athleteId: id, traitId: added.body.id };
    expect(rows).toEqual([{ data }, { data }]);
  });

  test('guardians are linked, corrected and unlinked', async () => {
    const [one, two] = [await anAthlete(f), await anAthlete(f)];
    const person = { ...aPerson('Maeve', 'Walsh'), phone: '+353 1 555 0111' };
    const linked = await desk().post(`${athletesAt()}/${one}/guardians`, { person, relation: 'mother' });
    const guardianId = linked.body.guardianId as string;
    expect(linked.body).toEqual({
      guardianId,
      given: 'Maeve',
      family: 'Walsh',
      relation: 'mother',
      mayCollect: true,
      contacts: { email: null, phone: '+353 1 555 0111' },
      settled: nothing,
    });
    const body = { person: { id: guardianId }, relation: 'aunt', mayCollect: false };
    expect((await desk().post(`${athletesAt()}/${two}/guardians`, body)).status).toBe(201);
    expect(problem(await desk().post(`${athletesAt()}/${two}/guardians`, body))).toEqual([409, 'already-exists']);
    const change = { mayCollect: true, email: 'maeve@example.org' };
    const correct = (sending = {}) => desk().patch(`${athletesAt()}/${two}/guardians/${guardianId}`, change, sending);
    expect(problem(await correct())).toEqual([428, 'if-match-required']);
    const changed = await correct({ ifMatch: 1 });
    expect(problem(await correct({ ifMatch: 1 }))).toEqual([412, 'changed-meanwhile']);
    expect(changed.body).toMatchObject({
      relation: 'aunt',
      mayCollect: true,
      contacts: { email: 'maeve@example.org', phone: '+353 1 555 0111' },
      revision: 2,
    });
    expect((await desk().get(`${athletesAt()}/${two}`)).headers.get('ETag')).toBe('"r2"');
    const gone = await desk().delete(`${athletesAt()}/${one}/guardians/${guardianId}`);
    expect(gone.body).toEqual({ guardianId, settled: nothing });
    expect((await desk().get<Athlete>(`${athletesAt()}/${one}`)).body.record?.guardians).toEqual([]);
    expect((await desk().get<Athlete>(`${athletesAt()}/${two}`)).body.record?.guardians).toHaveLength(1);
    expect(problem(await desk().delete(`${athletesAt()}/${one}/guardians/${guardianId}`))).toEqual([404, 'not-found']);
    expect(await eventsAbout(one)).toEqual(['people.guardian-linked', 'people.guardian-unlinked']);
    expect(await dataOf('people.guardian-unlinked')).toContainEqual({ athleteId: one, guardianId, mayCollect: true });
    const { rows } = await api.database.ownerPool.query(
      'SELECT name, subject_revision, data FROM events WHERE subject_id = $1 ORDER BY id',
      [two],
    );
    const ids = { athleteId: two, guardianId };
    expect(rows).toEqual([
      { name: 'people.guardian-linked', subject_revision: null, data: { ...ids, mayCollect: false } },
      { name: 'people.guardian-changed', subject_revision: 2, data: { ...ids, mayCollect: true } },
    ]);
  });

  test('the desk does not change a guardian who is on the staff', async () => {
    const athlete = await anAthlete(f);
    const { personId } = f.coachOf(here);
    const path = `${athletesAt()}/${athlete}/guardians`;
    await desk().post(path, { person: { id: personId }, relation: 'mother' });
    const change = (body: object) => desk().patch(`${path}/${personId}`, body, { ifMatch: 1 });
    expect(problem(await change({ phone: '01 555 0100' }))).toEqual([409, 'conflict']);
    expect((await change({ relation: 'aunt' })).status).toBe(200);
  });

  test('nobody is linked to a person whom the gym does not know', async () => {
    const athlete = await anAthlete(f);
    const theirs = await anAthlete(f, { gym: there });
    const link = async (id: string) =>
      pointers(await desk().post(`${athletesAt()}/${athlete}/guardians`, { person: { id }, relation: 'aunt' }));
    expect(await link(theirs)).toEqual(['/person/id']);
    expect(await link(f.coachOf(there).personId)).toEqual(['/person/id']);
    expect(await link(athlete)).toEqual(['/person/id']);
  });

  test('whoever is enrolled neither leaves nor moves to another gym', async () => {
    const id = await anAthlete(f);
    const of = await aClass(f);
    await aSession(f, { class: of, groups: [[id]], day: '2026-10-05' });
    const path = `${athletesAt()}/${id}`;
    const owner = api.as(f.owner);
    expect(problem(await owner.patch(path, { gymId: there.id }, { ifMatch: 1 }))).toEqual([409, 'still-in-use']);
    expect(problem(await owner.patch(path, { left: true }, { ifMatch: 1 }))).toEqual([409, 'still-in-use']);
    await api.database.ownerPool.query("UPDATE enrolments SET until_day = '2026-09-07' WHERE athlete_id = $1", [id]);

    expect(pointers(await desk().patch(path, { gymId: there.id }, { ifMatch: 1 }))).toEqual(['/gymId']);
    const left = await desk().patch<ChangedAthlete>(path, { left: true }, { ifMatch: 1 });
    expect(left.body.record?.hasLeft).toBe(true);
    const listed = async (query: string) =>
      (await desk().get(`${athletesAt()}?name=child${query}`)).body.items.map((one) => one.athleteId);
    expect(await listed('')).not.toContain(id);
    expect(await listed('&left=true')).toContain(id);

    const moved = await owner.patch(path, { gymId: there.id, left: false }, { ifMatch: 2 });
    expect(moved.body).toMatchObject({ gymId: there.id, record: { hasLeft: false }, revision: 3 });
    expect(problem(await desk().get(path))).toEqual([404, 'not-found']);
    expect((await desk(there).get(`${athletesAt(there)}/${id}`)).status).toBe(200);
  });

  test('the birth date of somebody on the staff is not forgotten', async () => {
    const id = await anAthlete(f, { born: '2010-01-01' });
    await manager().post(staffAt(), newStaff({ person: { id }, born: '2010-01-01' }));
    expect(pointers(await manager().patch(`${athletesAt()}/${id}`, { born: null }, { ifMatch: 1 }))).toEqual(['/born']);
    // The desk writes about athletes, not about staff.
    const older = await desk().patch(`${athletesAt()}/${id}`, { born: '2000-01-01' }, { ifMatch: 1 });
    expect(problem(older)).toEqual([409, 'conflict']);
    expect((await desk().patch(`${athletesAt()}/${id}`, { countsAs: '2' }, { ifMatch: 1 })).status).toBe(200);
    const other = await anAthlete(f);
    const forgotten = await desk().patch<ChangedAthlete>(`${athletesAt()}/${other}`, { born: null }, { ifMatch: 1 });
    expect(forgotten.body.record?.born).toBeNull();
  });
});
