import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { createPasswords } from '../../src/platform/auth/passwords.ts';
import type { ProblemName } from '../../src/platform/problem.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aProgramme, aPublishedPlan } from '../support/a-plan.ts';
import { aRule } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Answer, type Api, type Caller, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

// Small refusals of single operations, which stand in nobody's way elsewhere.

const START = '2026-09-07T08:00:00Z';
let api: Api;
let meanwhile: () => Promise<unknown>;
let f: Franchise;
let owner: Caller;
let gym: string;
beforeAll(async () => {
  api = await openApi({ whileHashing: () => meanwhile() });
});
beforeEach(async () => {
  api.clock.set(START);
  meanwhile = async () => undefined;
  f = await aFranchise(api);
  owner = api.as(f.owner);
  gym = `/gyms/${f.gym.id}`;
});
afterAll(() => api.close());

const refused = (answer: Answer, problem: ProblemName) =>
  expect([answer.status, answer.body.type]).toEqual([409, `/problems/${problem}`]);

describe('a name that is taken', () => {
  test('of an area', async () => {
    refused(await owner.post(`${gym}/areas`, { name: 'Vault', apparatus: [] }), 'already-exists');
  });

  test('of a kind of qualification', async () => {
    await aQualificationKind(f, { name: 'First aid' });
    const other = await aQualificationKind(f, { name: 'Spotting' });
    refused(
      await owner.patch(`/qualification-kinds/${other.id}`, { name: 'first AID' }, { ifMatch: 1 }),
      'already-exists',
    );
  });

  test('of a programme', async () => {
    const { body: first } = await owner.post('/programmes', { name: 'Rolls', levels: [{ name: 'Acorn' }] });
    const { body: other } = await owner.post('/programmes', { name: 'Swings', levels: [{ name: 'Acorn' }] });
    const change = { name: first.name, levels: other.levels };
    refused(await owner.put(`/programmes/${other.id}`, change, { ifMatch: other.revision }), 'already-exists');
  });

  test('of a skill', async () => {
    const skill = { name: 'Forward roll', apparatusId: f.apparatus.floor };
    expect((await owner.post('/skills', skill)).status).toBe(201);
    refused(await owner.post('/skills', skill), 'already-exists');
    expect((await owner.post('/skills', { ...skill, apparatusId: f.apparatus.beam })).status).toBe(201);
  });

  test('of a drill', async () => {
    const drill = {
      apparatusId: f.apparatus.floor,
      sayFirst: 'Chin in.',
      spotting: { mode: 'none' },
      skills: [],
      secondsATurn: 20,
      places: 2,
    };
    await owner.post('/drills', { ...drill, name: 'Rock and stand' });
    const { body } = await owner.post('/drills', { ...drill, name: 'Rock and clap' });
    refused(await owner.patch(`/drills/${body.id}`, { name: 'Rock and stand' }, { ifMatch: 1 }), 'already-exists');
  });
});

test('somebody who is an athlete already is not added twice', async () => {
  const id = await anAthlete(f);
  refused(await owner.post(`${gym}/athletes`, { person: { id }, born: null }), 'already-exists');
});

test('an employment does not grow into the next one', async () => {
  const personId = await aStaffMember(f, { gyms: [] });
  await f.arrange((tx) =>
    tx.execute(`INSERT INTO employments (franchise_id, id, person_id, gym_id, from_day, until_day) VALUES
      ('${f.id}', gen_random_uuid(), '${personId}', '${f.gym.id}', '2026-01-01', '2026-03-01'),
      ('${f.id}', gen_random_uuid(), '${personId}', '${f.gym.id}', '2026-04-01', NULL)`),
  );
  const { body } = await owner.get<{ employments: { id: string; until: string | null }[] }>(`${gym}/staff/${personId}`);
  const first = body.employments.find(({ until }) => until === '2026-03-01');
  const end = (until: string) => owner.post(`${gym}/staff/${personId}/employments/${first?.id}/end`, { until });
  refused(await end('2026-05-01'), 'already-exists');
  expect((await end('2026-04-01')).status).toBe(200);
});

test('a plan that is published has no draft to read or check', async () => {
  const plan = await aPublishedPlan(f);
  refused(await owner.get(`/lesson-plans/${plan.id}/draft`), 'plan-frozen');
  refused(await owner.get(`/lesson-plans/${plan.id}/draft/check`), 'plan-frozen');
});

test('a rule that is retired neither changes nor retires again, the franchise’s or a gym’s', async () => {
  const rule = { rule: {}, name: 'No rule at all', from: '2026-10-01' };
  for (const [rules, id] of [
    ['/ratio-rules', await aRule(f)],
    [`${gym}/ratio-rules`, await aRule(f, { gym: f.gym })],
  ]) {
    expect((await owner.post(`${rules}/${id}/retire`, { from: '2026-09-20' }, { ifMatch: 1 })).status).toBe(200);
    refused(await owner.post(`${rules}/${id}/retire`, { from: '2026-09-21' }, { ifMatch: 2 }), 'conflict');
    refused(await owner.post(`${rules}/${id}/versions`, rule, { ifMatch: 2 }), 'conflict');
  }
});

test('a session that would run past midnight since the clocks change is not laid out', async () => {
  // 28 March 2027: in Dublin 01:00 comes to be 02:00 (IANA tz database), so that 23 hours from 00:30 end at 00:30.
  const long = await aClass(f, { weekday: 7, startsAt: '00:30', durationMinutes: 23 * 60 });
  const lay = (from: string, until: string) => owner.post(`${gym}/classes/${long.id}/sessions`, { from, until });
  refused(await lay('2027-03-28', '2027-03-29'), 'conflict');
  expect((await lay('2027-03-21', '2027-03-22')).status).toBe(201);
});

test('an override is withdrawn once', async () => {
  await aRule(f);
  const session = await aSession(f, { groups: [9] });
  const [block] = session.blocks;
  await anAssignment(f, block!, await aStaffMember(f));
  const { body } = await owner.get<{
    segments: { findings: { code: string; ruleId: string; short: string; startsAt: string; endsAt: string }[] }[];
  }>(`${gym}/blocks/${block!.id}/cover`);
  const finding = body.segments[0]?.findings[0];
  const made = await owner.post<{ override: { id: string } } & { id: string }>(`${gym}/overrides`, {
    unit: { per: 'block', id: block!.id },
    startsAt: finding?.startsAt,
    endsAt: finding?.endsAt,
    code: finding?.code,
    ruleId: finding?.ruleId,
    subjects: [],
    short: finding?.short,
    reason: 'The second coach comes at ten past.',
  });
  expect(made.status).toBe(201);
  const withdraw = () => owner.post(`${gym}/overrides/${made.body.id}/withdraw`, {});
  expect((await withdraw()).status).toBe(200);
  refused(await withdraw(), 'conflict');
});

test('the cover of a cancelled session’s block is not judged', async () => {
  const session = await aSession(f, { groups: [2] });
  expect(
    (await owner.post(`${gym}/sessions/${session.id}/cancel`, { reason: 'A leak in the roof' }, { ifMatch: 1 })).status,
  ).toBe(200);
  refused(await owner.get(`${gym}/blocks/${session.blocks[0]?.id}/cover`), 'conflict');
});

describe('what is over', () => {
  test('is not swapped', async () => {
    const people = [await aStaffMember(f), await aStaffMember(f)];
    const swap = { personIds: people, startsAt: '2026-09-01T16:00:00Z', endsAt: '2026-09-01T17:00:00Z' };
    refused(await owner.post(`${gym}/swaps`, swap), 'already-over');
  });

  test('is not taken over from somebody absent', async () => {
    const session = await aSession(f, { groups: [2] });
    const [block] = session.blocks;
    const [ill, free] = [await aStaffMember(f), await aStaffMember(f)];
    const assignmentId = await anAssignment(f, block!, ill);
    const { startsAt, endsAt } = block!;
    const absence = await owner.post<{ absence: { id: string } }>(`${gym}/absences`, {
      personId: ill,
      startsAt,
      endsAt,
    });
    api.clock.set('2026-09-20T08:00:00Z');
    const takeOver = { assignmentId, personId: free };
    refused(await owner.post(`${gym}/absences/${absence.body.absence.id}/replacements`, takeOver), 'already-over');
  });
});

test('somebody oversees a session', async () => {
  const session = await aSession(f, {
    groups: [2, 2],
    plan: await aPublishedPlan(f, { programme: await aProgramme(f) }),
  });
  const personId = await aStaffMember(f);
  const { status, body } = await owner.post(`${gym}/sessions/${session.id}/assignments`, { personId });
  expect(status).toBe(201);
  expect(body.assignment).toMatchObject({ personId, duty: 'oversee', unit: { per: 'session', id: session.id } });
});

describe('a password that somebody else sets meanwhile stays', () => {
  const setHash = (email: string, hash: string) =>
    api.database.ownerPool.query('UPDATE accounts SET password_hash = $1 WHERE email = $2', [hash, email]);
  const hashNow = async (email: string) => {
    const { rows } = await api.database.ownerPool.query('SELECT password_hash FROM accounts WHERE email = $1', [email]);
    return rows[0].password_hash;
  };

  test('while it is changed', async () => {
    const { email } = f.owner;
    await setHash(email, await createPasswords(4).hash('the old password'));
    meanwhile = () => setHash(email, 'set by somebody else');
    refused(await owner.put('/me/password', { current: 'the old password', new: 'quite another one' }), 'conflict');
    expect(await hashNow(email)).toBe('set by somebody else');
  });

  test('while an invitation is redeemed', async () => {
    const email = `new.coach.${f.id}@example.org`;
    const { body } = await owner.post<{ link: { token: string } }>('/users', { email, role: 'coach', gymId: f.gym.id });
    meanwhile = () => setHash(email, 'set by somebody else');
    const { token } = body.link;
    refused(await api.anyone.post('/one-time-links/redeem', { token, password: 'a fine new one' }), 'conflict');
    expect(await hashNow(email)).toBe('set by somebody else');
  });
});
