import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { sweep } from '../../src/features/staffing/sweep.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember, athletes } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** A franchise at 1:8 with one session of nine eight-year-olds in one block. */
async function nineAtOneToEight(options: { athletes?: number; confirmed?: true; confirmWindowDays?: number } = {}) {
  const f = await aFranchise(api, { confirmWindowDays: options.confirmWindowDays ?? 0 });
  const ruleId = await aRule(f);
  const session = await aSession(f, {
    groups: [options.athletes ?? 9],
    ...(options.confirmed ? { confirmed: true } : {}),
  });
  return { f, ruleId, session, block: session.blocks[0]!, gym: `/gyms/${f.gym.id}` };
}

const rethrow = (fault: unknown) => {
  throw fault;
};

const eventsAbout = async (f: Franchise, subjectId: string) => {
  const { rows } = await api.database.ownerPool.query(
    'SELECT name, data FROM events WHERE franchise_id = $1 AND subject_id = $2 ORDER BY id',
    [f.id, subjectId],
  );
  return rows.map(({ name }) => name);
};

describe('assigning', () => {
  test('a planned block may stay short, and the answer says what it still needs', async () => {
    const { f, ruleId, block, gym } = await nineAtOneToEight();
    const ana = await aStaffMember(f, { given: 'Ana' });
    const manager = api.as(f.managerOf(f.gym));
    const answer = await manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: ana, duty: 'lead' });
    expect(answer.status).toBe(201);
    expect(answer.body).toMatchObject({
      assignment: { personId: ana, duty: 'lead', unit: { per: 'block', id: block.id }, releasedAt: null },
      cover: {
        covered: false,
        segments: [
          {
            covered: false,
            bindingRuleId: ruleId,
            counts: [{ load: '9/8', needed: 2, counted: '1', met: false }],
            findings: [{ code: 'short', ruleId, short: '1/8' }],
          },
        ],
      },
    });
    const listed = await manager.get(`${gym}/assignments?blockId=${block.id}`);
    expect(listed.body.items).toMatchObject([{ personId: ana }]);
    expect(await eventsAbout(f, (answer.body.assignment as { id: string }).id)).toEqual(['staffing.assigned']);
  });

  test('nobody is in two places at once', async () => {
    const { f, session, block, gym } = await nineAtOneToEight();
    const other = await aSession(f, { groups: [2], startsAt: '17:10' });
    const ana = await aStaffMember(f, { given: 'Ana' });
    const manager = api.as(f.managerOf(f.gym));
    await manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: ana, duty: 'lead' });
    const again = await manager.post(`${gym}/blocks/${other.blocks[0]!.id}/assignments`, {
      personId: ana,
      duty: 'lead',
    });
    expect(again.status).toBe(422);
    expect(again.body).toMatchObject({ type: '/problems/not-admissible', refusals: [{ why: 'two-places' }] });
    expect(again.body.detail).toContain('Ana Byrne');

    const moved = await manager.post(`${gym}/blocks/${other.blocks[0]!.id}/assignments`, {
      personId: ana,
      duty: 'lead',
      givingUpOthers: true,
    });
    expect(moved.status).toBe(201);
    const all = await manager.get(`${gym}/assignments?personId=${ana}`);
    // 17:00 to 17:10 is kept at the first block; the rest is given up for the other.
    expect(all.body.items.filter(({ releasedAt }) => releasedAt === null)).toMatchObject([
      { unit: { id: block.id }, endsAt: other.blocks[0]!.startsAt.toISOString() },
      { unit: { id: other.blocks[0]!.id } },
    ]);
    expect(session.day).toBe('2026-09-14');
  });

  test('the way between two gyms counts as a place', async () => {
    const f = await aFranchise(api, { gyms: 2 });
    const [here, there] = f.gyms;
    const first = await aSession(f, { groups: [1] });
    const ana = await aStaffMember(f, { gyms: [here, there!] });
    await anAssignment(f, first.blocks[0]!, ana);
    const plan = first.plan;
    const later = async (startsAt: string) =>
      aSession(f, { class: await aClass(f, { gym: there!, programme: plan.programme, startsAt }), plan, groups: [1] });
    const soon = await later('17:30');
    const enough = await later('17:50');
    const owner = api.as(f.owner);
    const refused = await owner.post(`/gyms/${there!.id}/blocks/${soon.blocks[0]!.id}/assignments`, {
      personId: ana,
      duty: 'lead',
    });
    expect(refused.body).toMatchObject({ type: '/problems/not-admissible', refusals: [{ why: 'two-places' }] });
    const fine = await owner.post(`/gyms/${there!.id}/blocks/${enough.blocks[0]!.id}/assignments`, {
      personId: ana,
      duty: 'lead',
    });
    expect(fine.status).toBe(201);
  });

  test('not employed that day, too young, not qualified: each is said', async () => {
    const { f, block, gym } = await nineAtOneToEight();
    const owner = api.as(f.owner);
    const kind = await aQualificationKind(f, { name: `First aid ${f.id}`, grades: ['held'] });
    await f.arrange((tx) =>
      tx.execute(
        `UPDATE duty_rules SET who = '{"test":"all","of":[{"test":"age","atLeastYears":18},{"test":"holds","kind":"${kind.id}","grade":1}]}'
         WHERE duty = 'lead' AND franchise_id = '${f.id}'`,
      ),
    );
    const lapsed = await aStaffMember(f, { given: 'Lapsed', holds: [{ kind, until: '2026-09-14' }] });
    const young = await aStaffMember(f, { given: 'Young', born: '2010-01-01', holds: [{ kind }] });
    const good = await aStaffMember(f, { given: 'Good', holds: [{ kind, until: '2026-09-15' }] });
    const put = (personId: string) => owner.post(`${gym}/blocks/${block.id}/assignments`, { personId, duty: 'lead' });
    expect((await put(lapsed)).body).toMatchObject({ refusals: [{ why: 'not-qualified', personId: lapsed }] });
    expect((await put(young)).body).toMatchObject({ refusals: [{ why: 'under-age', personId: young }] });
    await f.arrange((tx) =>
      tx.execute(`UPDATE employments SET until_day = '2026-09-14' WHERE person_id = '${lapsed}'`),
    );
    expect((await put(lapsed)).body.refusals.map(({ why }) => why)).toEqual(['not-employed', 'not-qualified']);
    expect((await put(good)).status).toBe(201);
    const stranger = await aStaffMember(f, { gyms: [] });
    expect((await put(stranger)).body).toMatchObject({
      type: '/problems/invalid-request',
      errors: [{ pointer: '/personId' }],
    });
  });
});

describe('confirming', () => {
  test('is refused until it is covered, with remedies ready to send', async () => {
    const { f, block, gym } = await nineAtOneToEight();
    const ana = await aStaffMember(f, { given: 'Ana' });
    const ben = await aStaffMember(f, { given: 'Ben' });
    const manager = api.as(f.managerOf(f.gym));
    await manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: ana, duty: 'lead' });
    const refused = await manager.post(`${gym}/blocks/${block.id}/confirm`);
    expect(refused.status).toBe(422);
    expect(refused.body).toMatchObject({ type: '/problems/not-covered', findings: [{ code: 'short' }] });
    expect(refused.body.detail).toContain('9 athletes');
    const offered = refused.body.remedies as { request: { path: string; body: { personId: string } } | null }[];
    const remedy = offered.find(({ request }) => request?.body.personId === ben);
    expect(remedy).toBeDefined();

    const { request } = remedy!;
    const taken = await manager.post(request!.path.replace('/v1', ''), request!.body);
    expect(taken.body).toMatchObject({ cover: { covered: true } });
    const confirmed = await manager.post(`${gym}/blocks/${block.id}/confirm`);
    expect(confirmed.body).toEqual({ confirmed: [block.id] });
    expect(await eventsAbout(f, block.id)).toEqual(['staffing.confirmed']);
    const cover = await manager.get(`${gym}/blocks/${block.id}/cover`);
    expect(cover.body).toMatchObject({ confirmed: true, covered: true, athletes: 9, needed: 2, counted: '2' });
    expect(cover.body.headroom).toMatchObject({ more: 7 });
  });

  test('a block that is two short is told who would come nearest', async () => {
    const { f, block, gym } = await nineAtOneToEight();
    const ana = await aStaffMember(f, { given: 'Ana' });
    const manager = api.as(f.managerOf(f.gym));
    const { body } = await manager.post(`${gym}/blocks/${block.id}/confirm`);
    const steps = body.remedies as { sentence: string; clears: boolean; request: { body: { personId: string } } }[];
    const step = steps.find(({ request }) => request?.body.personId === ana);
    expect(step).toMatchObject({ clears: false });
    expect(step?.sentence).toContain('It would still fall short by 1/8.');
  });

  test('a dry run answers the same and keeps nothing', async () => {
    const { f, block, gym } = await nineAtOneToEight({ athletes: 8 });
    await anAssignment(f, block, await aStaffMember(f));
    const manager = api.as(f.managerOf(f.gym));
    const asked = await manager.post(`${gym}/blocks/${block.id}/confirm`, undefined, { dryRun: true });
    expect(asked.body).toEqual({ confirmed: [block.id] });
    expect((await manager.get(`${gym}/blocks/${block.id}/cover`)).body.confirmed).toBe(false);
    expect(await eventsAbout(f, block.id)).toEqual([]);
  });

  test('a spotted station needs somebody qualified, and the finding names the station', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(f);
    const plan = await aPublishedPlan(f, {
      blocks: [{ stations: [{ apparatus: 'vault', handsOn: { kind, grade: 2 } }] }],
    });
    const session = await aSession(f, { plan, groups: [4] });
    const block = session.blocks[0]!;
    const low = await aStaffMember(f, { given: 'Low', holds: [{ kind, grade: 1 }] });
    const able = await aStaffMember(f, { given: 'Able', holds: [{ kind, grade: 2 }] });
    await anAssignment(f, block, low);
    const manager = api.as(f.managerOf(f.gym));
    const refused = await manager.post(`/gyms/${f.gym.id}/blocks/${block.id}/confirm`);
    expect(refused.body.findings).toMatchObject([
      {
        code: 'spotting',
        ruleId: null,
        subjects: expect.arrayContaining([{ what: 'station', id: expect.any(String) }]),
      },
    ]);
    await manager.post(`/gyms/${f.gym.id}/blocks/${block.id}/assignments`, { personId: able, duty: 'assist' });
    expect((await manager.post(`/gyms/${f.gym.id}/blocks/${block.id}/confirm`)).status).toBe(200);
  });
});

describe('a confirmed block', () => {
  async function confirmedWith(names: string[]) {
    const at = await nineAtOneToEight({ confirmed: true });
    const people: string[] = [];
    const places: string[] = [];
    for (const given of names) {
      const id = await aStaffMember(at.f, { given });
      people.push(id);
      places.push(await anAssignment(at.f, at.block, id));
    }
    return { ...at, people, places, manager: api.as(at.f.managerOf(at.f.gym)) };
  }

  test('refuses a release that would uncover it, and names who could come instead', async () => {
    const { f, places, gym, manager, block } = await confirmedWith(['Ana', 'Ben']);
    const cora = await aStaffMember(f, { given: 'Cora' });
    const refused = await manager.post(`${gym}/assignments/${places[0]}/release`, { reason: 'needed elsewhere' });
    expect(refused.status).toBe(422);
    expect(refused.body).toMatchObject({ type: '/problems/cover-broken', findings: [{ code: 'short' }] });
    const offered = refused.body.remedies.map(({ sentence }) => sentence).join();
    expect(offered).toContain('Cora');
    expect(offered).not.toContain('Ana');

    await manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: cora, duty: 'assist' });
    const released = await manager.post(`${gym}/assignments/${places[0]}/release`, { reason: 'needed elsewhere' });
    expect(released.body).toMatchObject({ releasedWhy: 'needed elsewhere' });
    expect(await eventsAbout(f, places[0]!)).toEqual(['staffing.released']);
  });

  test('loses its confirmation when a coach cannot come, and a desk may replace them', async () => {
    const { f, people, places, gym, block } = await confirmedWith(['Ana', 'Ben']);
    const cora = await aStaffMember(f, { given: 'Cora' });
    const desk = api.as(f.deskOf(f.gym));
    const absence = { personId: people[0], startsAt: '2026-09-14T00:00:00+01:00', endsAt: '2026-09-15T00:00:00+01:00' };
    const asked = await desk.post(`${gym}/absences`, absence, { dryRun: true });
    const told = await desk.post(`${gym}/absences`, absence);
    expect(told.status).toBe(201);
    expect(told.body).toMatchObject({
      settled: {
        released: [{ assignmentId: places[0], personId: people[0], refusals: [{ why: 'absent' }] }],
        unconfirmed: [{ blockId: block.id, findings: [{ code: 'short' }] }],
      },
    });
    expect(asked.body.settled).toEqual(told.body.settled);
    expect(await eventsAbout(f, block.id)).toEqual(['staffing.confirmation-lost']);

    const { id: absenceId } = told.body.absence as { id: string };
    const back = await desk.post(`${gym}/blocks/${block.id}/assignments`, { personId: cora, duty: 'lead' });
    expect(back.status).toBe(403);
    const replaced = await desk.post(`${gym}/absences/${absenceId}/replacements`, {
      assignmentId: places[0],
      personId: cora,
    });
    expect(replaced.status).toBe(201);
    expect(replaced.body).toMatchObject({ assignment: { personId: cora, duty: 'lead' }, cover: { covered: true } });
    const twice = await desk.post(`${gym}/absences/${absenceId}/replacements`, {
      assignmentId: places[0],
      personId: await aStaffMember(f),
    });
    expect(twice.body.type).toBe('/problems/conflict');
    const manager = api.as(f.managerOf(f.gym));
    expect((await manager.post(`${gym}/blocks/${block.id}/confirm`)).status).toBe(200);
  });

  test('an absence that was withdrawn lets a desk put nobody anywhere', async () => {
    const { f, people, places, gym } = await confirmedWith(['Ana', 'Ben']);
    const desk = api.as(f.deskOf(f.gym));
    const day = { startsAt: '2026-09-14T00:00:00+01:00', endsAt: '2026-09-15T00:00:00+01:00' };
    const told = await desk.post(`${gym}/absences`, { personId: people[0], ...day });
    const { id } = told.body.absence as { id: string };
    await desk.post(`${gym}/absences/${id}/withdraw`);
    const personId = await aStaffMember(f);
    const put = await desk.post(`${gym}/absences/${id}/replacements`, { assignmentId: places[0], personId });
    expect(put.body.type).toBe('/problems/conflict');
  });

  test('a former employer has no say in somebody’s absence', async () => {
    const f = await aFranchise(api, { gyms: 2 });
    const [here, there] = f.gyms;
    const ana = await aStaffMember(f, { gyms: [here, there!] });
    await f.arrange((tx) =>
      tx.execute(
        `UPDATE employments SET until_day = '2022-01-01' WHERE person_id = '${ana}' AND gym_id = '${here.id}'`,
      ),
    );
    const span = { startsAt: '2026-09-14T08:00:00Z', endsAt: '2026-09-14T20:00:00Z' };
    const desk = api.as(f.deskOf(here));
    const asked = await desk.post(`/gyms/${here.id}/absences`, { personId: ana, ...span });
    expect(asked.body).toMatchObject({ errors: [{ pointer: '/personId' }] });
    const told = await api.as(f.deskOf(there!)).post(`/gyms/${there!.id}/absences`, { personId: ana, ...span });
    expect(told.status).toBe(201);
    expect((await desk.get(`/gyms/${here.id}/absences`)).body.items).toEqual([]);
  });

  test('what stands in the way at another gym is not told to those who do not belong there', async () => {
    const f = await aFranchise(api, { gyms: 2, confirmWindowDays: 0 });
    const [, there] = f.gyms;
    const leading = await aSession(f, { groups: [1] });
    const tess = await aStaffMember(f, { given: 'Tess' });
    await anAssignment(f, leading.blocks[0]!, tess);
    const { plan } = leading;
    const its = await aClass(f, { gym: there!, programme: plan.programme });
    await aSession(f, { class: its, plan, groups: [1] });
    await f.arrange((tx) =>
      tx.execute(
        `INSERT INTO athletes (franchise_id, person_id, gym_id, born) VALUES ('${f.id}', '${tess}', '${there!.id}', '1992-03-15')`,
      ),
    );
    const enrolling = { athleteId: tess, from: '2026-09-07' };
    const refused = await api
      .as(f.managerOf(there!))
      .post(`/gyms/${there!.id}/classes/${its.id}/enrolments`, enrolling);
    expect(refused.body).toMatchObject({ type: '/problems/not-admissible', refusals: [{ why: 'two-places' }] });
    expect(refused.body.detail).toBe('It does not go with a place that they have at another gym.');
    const told = await api.as(f.owner).post(`/gyms/${there!.id}/classes/${its.id}/enrolments`, enrolling);
    expect(told.body.detail).toContain('Tess');
  });

  test('coaches do not read why a colleague was taken off', async () => {
    const { f, places, gym, block, manager } = await confirmedWith(['Ana', 'Ben', 'Cora']);
    await manager.post(`${gym}/assignments/${places[0]}/release`, { reason: 'in hospital until Friday' });
    const listed = async (caller: typeof manager) =>
      (await caller.get(`${gym}/assignments?blockId=${block.id}`)).body.items.find(({ id }) => id === places[0]);
    expect(await listed(manager)).toMatchObject({ releasedWhy: 'in hospital until Friday' });
    expect(await listed(api.as(f.coachOf(f.gym)))).toMatchObject({ releasedWhy: null });
  });

  test('a swap names only staff of the gym', async () => {
    const { f, people, gym, block, manager } = await confirmedWith(['Ana', 'Ben']);
    const [child] = await athletes(f, 1);
    const span = { startsAt: block.startsAt.toISOString(), endsAt: block.endsAt.toISOString() };
    const answer = await manager.post(`${gym}/swaps`, { personIds: [people[0], child], ...span });
    expect(answer.body).toMatchObject({ errors: [{ pointer: '/personIds/1' }] });
  });

  test('an absent coach cannot be assigned until the absence is withdrawn', async () => {
    const { f, people, gym, block, manager } = await confirmedWith(['Ana', 'Ben', 'Cora']);
    const told = await manager.post(`${gym}/absences`, {
      personId: people[2],
      startsAt: '2026-09-14T08:00:00Z',
      endsAt: '2026-09-14T20:00:00Z',
    });
    expect(told.body.settled).toMatchObject({ released: [{ personId: people[2] }], unconfirmed: [] });
    const put = () => manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: people[2], duty: 'assist' });
    expect((await put()).body).toMatchObject({ refusals: [{ why: 'absent' }] });
    const { id } = told.body.absence as { id: string };
    expect((await manager.post(`${gym}/absences/${id}/withdraw`)).status).toBe(200);
    expect((await put()).status).toBe(201);
    expect((await manager.get(`${gym}/absences`)).body.items).toHaveLength(1);
    expect(f.gyms).toHaveLength(1);
  });

  test('an absence is nobody’s business at a gym that does not employ them', async () => {
    const f = await aFranchise(api, { gyms: 2 });
    const [here, there] = f.gyms;
    const theirs = await aStaffMember(f, { gyms: [there!] });
    const span = { startsAt: '2026-09-14T08:00:00Z', endsAt: '2026-09-14T20:00:00Z' };
    const told = await api.as(f.owner).post(`/gyms/${there!.id}/absences`, { personId: theirs, ...span });
    const manager = api.as(f.managerOf(here));
    expect((await manager.get(`/gyms/${here.id}/absences`)).body.items).toEqual([]);
    const { id } = told.body.absence as { id: string };
    expect((await manager.post(`/gyms/${here.id}/absences/${id}/withdraw`)).status).toBe(404);
    const asked = await manager.post(`/gyms/${here.id}/absences`, { personId: theirs, ...span });
    expect(asked.body.errors).toMatchObject([{ pointer: '/personId' }]);
  });

  test('two coaches swap, and a swap that would uncover is refused', async () => {
    const { f, people, gym, block, manager } = await confirmedWith(['Ana', 'Ben']);
    const dara = await aStaffMember(f, { given: 'Dara' });
    const span = { startsAt: block.startsAt.toISOString(), endsAt: block.endsAt.toISOString() };
    const swapped = await manager.post(`${gym}/swaps`, { personIds: [people[0], dara], ...span });
    expect(swapped.body.assignments).toMatchObject([{ personId: dara, unit: { id: block.id } }]);
    // The franchise lets a sixteen-year-old assist, but under this gym's rule they count for nobody.
    const young = await aStaffMember(f, { given: 'Young', born: '2010-01-01' });
    const adults = { who: { test: 'age' as const, atLeastYears: 18 }, share: '1', maxOf: null };
    await aRule(f, { name: 'Adults count', gym: f.gym, body: { ...oneTo(8), counts: [adults] } });
    const refused = await manager.post(`${gym}/swaps`, { personIds: [dara, young], ...span });
    expect(refused.body).toMatchObject({ type: '/problems/cover-broken', findings: [{ code: 'short', short: '1/8' }] });
  });

  test('un-confirming takes a reason, and the sweep then keeps away', async () => {
    const { f, block, gym } = await nineAtOneToEight({ athletes: 8, confirmWindowDays: 7, confirmed: true });
    await anAssignment(f, block, await aStaffMember(f));
    const manager = api.as(f.managerOf(f.gym));
    expect((await manager.post(`${gym}/blocks/${block.id}/unconfirm`, {})).status).toBe(422);
    expect((await manager.post(`${gym}/blocks/${block.id}/unconfirm`, { reason: 'hall closed' })).status).toBe(204);
    expect((await manager.post(`${gym}/blocks/${block.id}/unconfirm`, { reason: 'again' })).status).toBe(409);
    await sweep(api.database.servicePool, api.clock.now(), rethrow);
    expect((await manager.get(`${gym}/blocks/${block.id}/cover`)).body.confirmed).toBe(false);
  });
});

test('the sweep confirms what is covered, in the window, with every child in a group', async () => {
  const { f, block, gym, session } = await nineAtOneToEight({ athletes: 8, confirmWindowDays: 7 });
  const short = await aSession(f, { groups: [9], startsAt: '19:00' });
  await anAssignment(f, block, await aStaffMember(f));
  await anAssignment(f, short.blocks[0]!, await aStaffMember(f));
  const far = await aSession(f, { groups: [1], day: '2026-09-21' });
  await anAssignment(f, far.blocks[0]!, await aStaffMember(f), { day: '2026-09-21' });
  await sweep(api.database.servicePool, api.clock.now(), rethrow);
  const day = async (date: string) => {
    const { body } = await api.as(f.deskOf(f.gym)).get(`${gym}/days/${date}/cover`);
    return body.items.map(({ blockId, confirmed, covered }) => ({ blockId, confirmed, covered }));
  };
  expect(await day('2026-09-14')).toEqual([
    { blockId: block.id, confirmed: true, covered: true },
    { blockId: short.blocks[0]!.id, confirmed: false, covered: false },
  ]);
  expect(await day('2026-09-21')).toMatchObject([{ confirmed: false, covered: true }]);
  expect(session.groups).toHaveLength(1);
});

describe('an override', () => {
  const naming = (at: { session: TestSession; ruleId: string | null }, more: object = {}) => ({
    unit: { per: 'block', id: at.session.blocks[0]!.id },
    startsAt: at.session.blocks[0]!.startsAt.toISOString(),
    endsAt: at.session.blocks[0]!.endsAt.toISOString(),
    code: 'short',
    ruleId: at.ruleId,
    short: '1/8',
    reason: 'A second adult watches from the gallery',
    ...more,
  });

  test('accepts a finding by name up to a shortfall, and no further', async () => {
    const at = await nineAtOneToEight();
    const { f, gym, block } = at;
    await anAssignment(f, block, await aStaffMember(f));
    const manager = api.as(f.managerOf(f.gym));
    for (const short of ['1/16', '999', '9/8']) {
      const answer = await manager.post(`${gym}/overrides`, naming(at, { short }));
      expect(answer.body).toMatchObject({ errors: [{ pointer: '/short' }] });
    }
    const wider = naming(at, { startsAt: '2026-09-14T06:00:00Z' });
    expect((await manager.post(`${gym}/overrides`, wider)).body).toMatchObject({ errors: [{ pointer: '/startsAt' }] });
    const others = naming(at, { subjects: [crypto.randomUUID()] });
    expect((await manager.post(`${gym}/overrides`, others)).body.type).toBe('/problems/not-overridable');
    expect((await manager.post(`${gym}/overrides`, naming(at, { code: 'cap' }))).body.type).toBe(
      '/problems/not-overridable',
    );
    const accepted = await manager.post(`${gym}/overrides`, naming(at));
    expect(accepted.status).toBe(201);
    expect((await manager.post(`${gym}/blocks/${block.id}/confirm`)).status).toBe(200);
    const withdrawn = await manager.post(`${gym}/overrides/${accepted.body.id}/withdraw`);
    expect(withdrawn.body.type).toBe('/problems/cover-broken');
    const listed = async (caller: typeof manager) => (await caller.get(`${gym}/overrides`)).body.items;
    expect(await listed(manager)).toMatchObject([{ id: accepted.body.id, reason: naming(at).reason }]);
    expect(await listed(api.as(f.lead))).toMatchObject([{ id: accepted.body.id, reason: null, subjects: [] }]);
    expect(await eventsAbout(f, accepted.body.id)).toEqual(['staffing.override-accepted']);
  });

  test('names any shortfall just as cover showed it, however long', async () => {
    const f = await aFranchise(api);
    const [band] = oneTo(8).bands!;
    const limits = [9973, 9967, 9949, 9941, 9931, 9929, 9923].map((most) => `${most}/1000`);
    const bands = limits.map((athletesPerCoach, age) => ({
      ...band!,
      id: `${age}`,
      from: { months: age * 12 },
      to: { months: age * 12 + 12 },
      limits: [{ upToGroup: null, athletesPerCoach, when: null }],
    }));
    const ruleId = await aRule(f, { body: { ...oneTo(8), bands, mixed: { method: 'proportional' } } });
    const session = await aSession(f, { groups: [7] });
    await f.arrange(async (tx) => {
      const placed = await tx
        .select({ id: t.groupMembers.athleteId })
        .from(t.groupMembers)
        .where(eq(t.groupMembers.sessionId, session.id));
      for (const [age, { id }] of placed.entries()) {
        await tx
          .update(t.athletes)
          .set({ born: `${2026 - age}-01-15`, countsAs: `20/${[19, 17, 16, 13, 11, 7, 5][age]}` })
          .where(eq(t.athletes.personId, id));
      }
    });
    const manager = api.as(f.managerOf(f.gym));
    const gym = `/gyms/${f.gym.id}`;
    const { body } = await manager.get<{ segments: { findings: { short: string }[] }[] }>(
      `${gym}/blocks/${session.blocks[0]!.id}/cover`,
    );
    const { short } = body.segments[0]!.findings[0]!;
    expect(short.split('/')[1]!.length).toBeGreaterThan(30);
    const accepted = await manager.post(`${gym}/overrides`, naming({ session, ruleId }, { short }));
    expect([accepted.status, accepted.body.short]).toEqual([201, short]);
    const longest = '9'.repeat(99);
    const other = await manager.post(`${gym}/overrides`, naming({ session, ruleId }, { short: `1/${longest}` }));
    expect(other.body).toMatchObject({ type: '/problems/invalid-request', errors: [{ pointer: '/short' }] });
  });

  test('is accepted once: of two alike, withdrawing one would change nothing', async () => {
    const at = await nineAtOneToEight();
    const manager = api.as(at.f.managerOf(at.f.gym));
    await anAssignment(at.f, at.block, await aStaffMember(at.f));
    const accept = (more: object = {}) => manager.post(`${at.gym}/overrides`, naming(at, more));
    const answers = await Promise.all([accept(), accept(), accept(), accept()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409, 409]);
    const { id } = answers.find(({ status }) => status === 201)!.body;
    const within = await accept({
      endsAt: new Date(at.block.startsAt.getTime() + 60_000).toISOString(),
      short: '2/16',
    });
    expect(within.body).toMatchObject({ type: '/problems/already-exists', detail: expect.stringContaining(id) });
    expect((await manager.post(`${at.gym}/overrides/${id}/withdraw`)).status).toBe(200);
    expect((await accept()).status).toBe(201);
  });

  test('is refused where the rule forbids it', async () => {
    const f = await aFranchise(api);
    const ruleId = await aRule(f, { body: { ...oneTo(8), overridable: false } });
    const session = await aSession(f, { groups: [9] });
    await anAssignment(f, session.blocks[0]!, await aStaffMember(f));
    const answer = await api.as(f.owner).post(`/gyms/${f.gym.id}/overrides`, naming({ session, ruleId }));
    expect(answer.body.type).toBe('/problems/not-overridable');
  });
});

test('nobody is given a place in a session that was cancelled', async () => {
  const { f, session, block, gym } = await nineAtOneToEight();
  const manager = api.as(f.managerOf(f.gym));
  const personId = await aStaffMember(f);
  await f.arrange((tx) => tx.execute(`UPDATE sessions SET cancelled_at = now() WHERE id = '${session.id}'`));
  const toBlock = await manager.post(`${gym}/blocks/${block.id}/assignments`, { personId, duty: 'lead' });
  expect(toBlock.body.type).toBe('/problems/conflict');
  const toSession = await manager.post(`${gym}/sessions/${session.id}/assignments`, { personId });
  expect(toSession.body.type).toBe('/problems/conflict');
});

test('one gym-day that fails holds up no other in the sweep', async () => {
  const stuck = await nineAtOneToEight({ athletes: 8, confirmWindowDays: 7 });
  await anAssignment(stuck.f, stuck.block, await aStaffMember(stuck.f));
  const fine = await nineAtOneToEight({ athletes: 8, confirmWindowDays: 7 });
  await anAssignment(fine.f, fine.block, await aStaffMember(fine.f));
  await stuck.f.arrange((tx) => tx.execute(`DELETE FROM cover_heads WHERE franchise_id = '${stuck.f.id}'`));
  const faults: unknown[] = [];
  await sweep(api.database.servicePool, api.clock.now(), (fault) => faults.push(fault));
  expect(faults).toHaveLength(1);
  const { body } = await api.as(fine.f.deskOf(fine.f.gym)).get(`${fine.gym}/blocks/${fine.block.id}/cover`);
  expect(body.confirmed).toBe(true);
});

test('twins with one Idempotency-Key make one assignment', async () => {
  const { f, block, gym } = await nineAtOneToEight();
  const ana = await aStaffMember(f);
  const manager = api.as(f.managerOf(f.gym));
  const key = crypto.randomUUID();
  const put = () => manager.post(`${gym}/blocks/${block.id}/assignments`, { personId: ana, duty: 'lead' }, { key });
  const [one, two] = await Promise.all([put(), put()]);
  expect([one.status, two.status]).toEqual([201, 201]);
  expect(one.body).toEqual(two.body);
  expect((await manager.get(`${gym}/assignments?personId=${ana}`)).body.items).toHaveLength(1);
});

test('premises rules see every confirmed block: nobody alone in the building', async () => {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, {
    name: 'Two adults in the building',
    body: {
      per: 'premises',
      counts: [],
      floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 2, who: { test: 'age', atLeastYears: 18 } }] }],
    },
  });
  const session = await aSession(f, { groups: [3] });
  const block = session.blocks[0]!;
  await anAssignment(f, block, await aStaffMember(f));
  const manager = api.as(f.managerOf(f.gym));
  const gym = `/gyms/${f.gym.id}`;
  const refused = await manager.post(`${gym}/blocks/${block.id}/confirm`);
  expect(refused.body.findings).toMatchObject([{ code: 'floor', unit: { per: 'premises', id: f.gym.id } }]);
  const floater = await manager.post(`${gym}/premises/assignments`, {
    personId: await aStaffMember(f),
    duty: 'assist',
    startsAt: block.startsAt.toISOString(),
    endsAt: block.endsAt.toISOString(),
  });
  expect(floater.status).toBe(201);
  expect((await manager.post(`${gym}/blocks/${block.id}/confirm`)).status).toBe(200);
  const id = (floater.body.assignment as { id: string }).id;
  expect((await manager.post(`${gym}/assignments/${id}/release`, { reason: 'tired' })).body.type).toBe(
    '/problems/cover-broken',
  );
});

test('an overseer whom a premises rule knows by one block counts until that is unconfirmed: not while another needs them', async () => {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, {
    body: {
      per: 'premises',
      counts: [],
      floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 2, who: { test: 'age', atLeastYears: 18 } }] }],
    },
  });
  const overseen = await aSession(f, { plan: await aPublishedPlan(f, { blocks: [{}, {}] }), groups: [1] });
  const later = await aSession(f, { groups: [1], startsAt: '17:20' });
  const [first, second] = [overseen.blocks[0]!, later.blocks[0]!];
  const manager = api.as(f.managerOf(f.gym));
  const gym = `/gyms/${f.gym.id}`;
  const post = (path: string, body?: object) => manager.post(`${gym}${path}`, body);
  await anAssignment(f, first, await aStaffMember(f));
  await anAssignment(f, second, await aStaffMember(f));
  const overseer = { personId: await aStaffMember(f) };
  expect((await post(`/sessions/${overseen.id}/assignments`, overseer)).status).toBe(201);
  // Nobody is overseen yet; then the later block has its second adult, who oversees beside it.
  expect((await post(`/blocks/${second.id}/confirm`)).body.type).toBe('/problems/not-covered');
  expect((await post(`/blocks/${first.id}/confirm`)).status).toBe(200);
  expect((await post(`/blocks/${second.id}/confirm`)).status).toBe(200);

  const refused = await post(`/blocks/${first.id}/unconfirm`, { reason: 'a test' });
  expect(refused.body).toMatchObject({ type: '/problems/cover-broken', findings: [{ code: 'floor' }] });
});
