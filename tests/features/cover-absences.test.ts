import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Settled {
  absence: { id: string };
  taken: { assignmentId: string; personId: string; assignment: { id: string } | null; why: string | null }[];
  left: {
    assignmentId: string;
    duty: string;
    substitutes: {
      personId: string;
      name: string;
      isEnough: boolean;
      isThere: boolean;
      request: { path: string; body: object };
    }[];
  }[];
  settled: { released: { assignmentId: string }[]; unconfirmed: { blockId: string; remedies: { kind: string }[] }[] };
}

/** Ana leads a spotted block of eight, confirmed. Ben may spot and is in that day, Cleo may, Dan may not. */
async function anaLeads() {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const kind = await aQualificationKind(f);
  await aRule(f);
  const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ handsOn: { kind } }] }] });
  const of = await aClass(f, { programme: plan.programme });
  const session = await aSession(f, { plan, class: of, groups: [8], confirmed: true });
  const later = await aSession(f, { plan, groups: [1], startsAt: '19:00' });
  const able = { holds: [{ kind }] };
  const ana = await aStaffMember(f, { given: 'Ana', ...able });
  const dan = await aStaffMember(f, { given: 'Dan' });
  const cleo = await aStaffMember(f, { given: 'Cleo', ...able });
  const ben = await aStaffMember(f, { given: 'Ben', ...able });
  const assignmentId = await anAssignment(f, session.blocks[0]!, ana);
  await anAssignment(f, later.blocks[0]!, ben);
  const absence = { personId: ana, startsAt: '2026-09-14T15:00:00Z', endsAt: '2026-09-14T22:00:00Z' };
  const path = `/gyms/${f.gym.id}/absences`;
  return { f, session, later, ana, ben, cleo, dan, assignmentId, absence, path, desk: api.as(f.deskOf(f.gym)) };
}

describe('“Ana can’t come today”', () => {
  test('is recorded once; more than is known already is news', async () => {
    const { absence, path, desk } = await anaLeads();
    const answers = await Promise.all([1, 2, 3, 4].map(() => desk.post<Settled>(path, absence)));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409, 409]);
    const { id } = answers.find(({ status }) => status === 201)!.body.absence;
    const within = await desk.post(path, { ...absence, startsAt: '2026-09-14T16:00:00Z' });
    expect(within.body).toMatchObject({ type: '/problems/already-exists', detail: expect.stringContaining(id) });
    expect((await desk.post(path, { ...absence, endsAt: '2026-09-14T22:30:00Z' })).status).toBe(201);
    expect((await desk.post(`${path}/${id}/withdraw`)).status).toBe(200);
  });

  test('shows at once what breaks, and who could take it: enough first, then who is in the building', async () => {
    const { f, session, ben, cleo, dan, assignmentId, absence, path, desk } = await anaLeads();
    const { status, body } = await desk.post<Settled>(path, absence);
    expect(status).toBe(201);
    expect(body.settled).toMatchObject({
      released: [{ assignmentId }],
      unconfirmed: [{ blockId: session.blocks[0]!.id, findings: [{ code: 'spotting' }, { code: 'short' }] }],
    });
    expect(body.taken).toEqual([]);
    expect(body.left).toMatchObject([{ assignmentId, duty: 'lead' }]);
    const [place] = body.left;
    expect(place?.substitutes.slice(0, 2)).toMatchObject([
      { personId: ben, isEnough: true, isThere: true },
      { personId: cleo, isEnough: true, isThere: false },
    ]);
    const others = place?.substitutes.slice(2).map(({ personId, isEnough }) => [personId, isEnough]);
    expect(others?.sort()).toEqual(
      [
        [dan, false],
        [f.coachOf(f.gym).personId, false],
      ].sort(),
    );

    const { request } = place!.substitutes[0]!;
    const taken = await desk.post(request.path.replace('/v1', ''), request.body);
    expect(taken.body).toMatchObject({ assignment: { personId: ben, duty: 'lead' }, cover: { covered: true } });
  });

  test('takes the one chosen in the same request, and the block keeps its confirmation', async () => {
    const { f, session, ben, ana, assignmentId, absence, path, desk } = await anaLeads();
    const asked = await desk.post<Settled>(path, absence, { dryRun: true });
    const [first] = asked.body.left[0]!.substitutes;
    const chosen = { assignmentId, personId: first!.personId };
    const { status, body } = await desk.post<Settled>(path, { ...absence, substitutes: [chosen] });
    expect(status).toBe(201);
    expect(body).toMatchObject({
      taken: [{ ...chosen, assignment: { personId: ben, duty: 'lead', releasedAt: null }, why: null }],
      left: [],
      settled: { released: [], unconfirmed: [] },
    });
    const shown = await desk.get<{ state: string }>(`/gyms/${f.gym.id}/sessions/${session.id}`);
    expect(shown.body.state).toBe('confirmed');
    const all = await desk.get(`/gyms/${f.gym.id}/assignments?personId=${ana}`);
    expect(all.body.items).toMatchObject([{ id: assignmentId, releasedAt: expect.any(String), releasedWhy: 'absent' }]);
    const { rows } = await api.database.ownerPool.query(
      'SELECT name, data->>$2 AS who FROM events WHERE franchise_id = $1 ORDER BY id',
      [f.id, 'personId'],
    );
    expect(rows).toEqual([
      { name: 'staffing.released', who: ana },
      { name: 'staffing.assigned', who: ben },
      { name: 'staffing.absence-recorded', who: ana },
    ]);
  });

  test('one chosen who may not, is not enough, or is unknown: the absence stands, and it says why', async () => {
    const { f, later, ana, ben, dan, assignmentId, absence, path, desk } = await anaLeads();
    const stranger = await aStaffMember(f, { gyms: [] });
    await f.arrange((tx) =>
      tx.execute(`UPDATE blocks SET starts_at = '2026-09-14T16:10Z' WHERE id = '${later.blocks[0]!.id}'`),
    );
    await f.arrange((tx) =>
      tx.execute(`UPDATE assignments SET starts_at = '2026-09-14T16:10Z' WHERE person_id = '${ben}'`),
    );
    const choose = (personId: string, of = assignmentId) => ({ assignmentId: of, personId });
    const { status, body } = await desk.post<Settled>(path, {
      ...absence,
      substitutes: [choose(ben), choose(dan), choose(stranger), choose(ana), choose(dan, newId())],
    });
    expect(status).toBe(201);
    expect(body.taken.map(({ assignment, why }) => [assignment, why])).toEqual([
      [null, expect.stringContaining('Ben Byrne is already in another place')],
      [null, expect.stringContaining('needs a qualified spotter')],
      [null, 'There is no such member of staff at this gym.'],
      [null, expect.stringContaining('Ana Byrne is recorded as away')],
      [null, 'That is no place that this absence releases.'],
    ]);
    expect(body.settled.released).toMatchObject([{ assignmentId }]);
    const listed = await desk.get(path);
    expect(listed.body.items).toMatchObject([{ id: body.absence.id, withdrawnAt: null }]);
  });

  test('a swap is among the remedies of the block that broke', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(f);
    await aRule(f);
    const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ handsOn: { kind } }] }] });
    const spotted = await aSession(f, { plan, groups: [2], confirmed: true });
    const plain = await aSession(f, { groups: [2], confirmed: true });
    const [ana, ben, cleo] = [
      await aStaffMember(f, { given: 'Ana', holds: [{ kind }] }),
      await aStaffMember(f, { given: 'Ben' }),
      await aStaffMember(f, { given: 'Cleo', holds: [{ kind }] }),
    ];
    await anAssignment(f, spotted.blocks[0]!, ana);
    await anAssignment(f, spotted.blocks[0]!, ben, { duty: 'assist' });
    await anAssignment(f, plain.blocks[0]!, cleo);
    const manager = api.as(f.managerOf(f.gym));
    const { body } = await manager.post<Settled>(`/gyms/${f.gym.id}/absences`, {
      personId: ana,
      startsAt: '2026-09-14T15:00:00Z',
      endsAt: '2026-09-14T22:00:00Z',
    });
    expect(body.settled.unconfirmed[0]?.remedies.map(({ kind: of }) => of)).toContain('swap');
  });
});
