import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule } from '../support/a-rule.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember, type QualificationKind } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Remedy {
  kind: string;
  clears: boolean;
  sentence: string;
  request: { method: string; path: string; body: Record<string, unknown> } | null;
  byHand: string | null;
}
interface Covered {
  covered: boolean;
  remedies: Remedy[];
  nearest: Record<string, unknown>[];
}

const send = (caller: Caller, { request }: Remedy, dryRun?: true) =>
  caller.post(request!.path.replace(/^\/v1/, ''), request!.body, dryRun ? { dryRun } : {});

/** A drill on the vault that leads to another, spotted as told or not at all. */
async function anEasierDrill(f: Franchise, harderId: string, standBy?: QualificationKind, name = 'Squat on') {
  const id = newId();
  await f.arrange(async (tx) => {
    await tx.insert(t.drills).values({
      franchiseId: f.id,
      id,
      name,
      apparatusId: f.apparatus.vault,
      sayFirst: 'Hands flat.',
      spottingMode: standBy ? 'stand-by' : 'none',
      spottingKindId: standBy?.id ?? null,
      spottingGrade: standBy ? 1 : null,
      secondsATurn: 20,
      places: 1,
    });
    await tx.insert(t.progressions).values({ franchiseId: f.id, easierId: id, harderId });
  });
  return id;
}

/** A vault spotted by hand, with nobody there who may. */
async function anUnspottedVault(options: { confirmed?: true } = {}) {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const kind = await aQualificationKind(f, { name: `Vault spotting ${newId()}` });
  const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ apparatus: 'vault', handsOn: { kind } }] }] });
  const session = await aSession(f, { plan, groups: [3], ...options });
  const [block] = session.blocks;
  const [station] = plan.blocks[0]!.stations;
  const ana = await aStaffMember(f, { given: 'Ana' });
  await anAssignment(f, block!, ana);
  const gym = `/gyms/${f.gym.id}`;
  return { f, kind, plan, session, block: block!, station: station!, gym, manager: api.as(f.managerOf(f.gym)) };
}

describe('a step down the progression', () => {
  test('is offered ready to send, taken, shown, and undone only while that uncovers nothing', async () => {
    const { f, session, block, station, gym, manager } = await anUnspottedVault();
    const easier = await anEasierDrill(f, station.drillId);
    const before = await manager.get<Covered>(`${gym}/blocks/${block.id}/cover`);
    const offered = before.body.remedies.filter(({ kind }) => kind === 'step-down');
    expect(before.body.covered).toBe(false);
    expect(offered).toMatchObject([
      {
        clears: true,
        sentence: expect.stringContaining('Station 1 could step down to “Squat on”'),
        request: {
          path: `/v1${gym}/blocks/${block.id}/step-downs`,
          body: { stationId: station.id, drillId: easier },
        },
        byHand: null,
      },
    ]);
    const tried = await send(manager, offered[0]!, true);
    expect([tried.status, (tried.body.cover as Covered).covered]).toEqual([201, true]);
    const taken = await send(manager, offered[0]!);
    expect(taken.status).toBe(201);
    const { id } = taken.body.stepDown as { id: string };
    const shown = await manager.get<{ blocks: { stepDowns: unknown[] }[] }>(`${gym}/sessions/${session.id}`);
    expect(shown.body.blocks[0]?.stepDowns).toEqual([
      {
        id,
        stationId: station.id,
        drillId: easier,
        drill: 'Squat on',
        adaptationId: null,
        reason: 'Spotted less, so that the block is covered.',
      },
    ]);
    expect((await manager.post(`${gym}/blocks/${block.id}/confirm`)).status).toBe(200);

    const undo = `${gym}/blocks/${block.id}/step-downs/${id}/undo`;
    const refused = await manager.post(undo);
    expect(refused.body).toMatchObject({ type: '/problems/cover-broken', findings: [{ code: 'spotting' }] });
    await manager.post(`${gym}/blocks/${block.id}/unconfirm`, { reason: 'to see' });
    expect((await manager.post(undo)).body).toMatchObject({ id, undoneAt: expect.any(String) });
    expect((await manager.post(undo)).body.type).toBe('/problems/conflict');
    expect((await manager.get<Covered>(`${gym}/blocks/${block.id}/cover`)).body.covered).toBe(false);
    const { rows } = await api.database.ownerPool.query(
      'SELECT name FROM events WHERE franchise_id = $1 AND subject_id = $2 ORDER BY id',
      [f.id, id],
    );
    expect(rows.map(({ name }) => name)).toEqual(['staffing.stepped-down', 'staffing.step-down-undone']);
  });

  test('goes down as far as somebody can spot: the nearest that will do', async () => {
    const { f, block, station, gym, manager } = await anUnspottedVault();
    const other = await aQualificationKind(f, { name: `Standing by ${newId()}` });
    const nearer = await anEasierDrill(f, station.drillId, other, 'Straddle on');
    const further = await anEasierDrill(f, nearer, undefined, 'Jump and land');
    const stepsTo = async () =>
      (await manager.get<Covered>(`${gym}/blocks/${block.id}/cover`)).body.remedies
        .filter(({ kind }) => kind === 'step-down')
        .map(({ request }) => request?.body.drillId);
    expect(await stepsTo()).toEqual([further]);
    const zoe = await aStaffMember(f, { given: 'Zoe', holds: [{ kind: other }] });
    await anAssignment(f, block, zoe, { duty: 'assist' });
    expect(await stepsTo()).toEqual([nearer, further]);
  });

  test('is a coach’s own on their own blocks only, and only to a drill that is easier', async () => {
    const { f, block, station, gym, manager } = await anUnspottedVault();
    const easier = await anEasierDrill(f, station.drillId);
    const coach = api.as(f.coachOf(f.gym));
    const path = `${gym}/blocks/${block.id}/step-downs`;
    const body = { stationId: station.id, drillId: easier, reason: 'too hard' };
    expect((await coach.post(path, body)).body).toMatchObject({
      type: '/problems/not-allowed',
      permission: 'plans.adapt',
    });
    await anAssignment(f, block, f.coachOf(f.gym).personId, { duty: 'assist' });
    const done = await coach.post(path, body);
    expect(done.status).toBe(201);
    const again = await manager.post(path, { ...body, drillId: station.drillId });
    expect(again.body).toMatchObject({ type: '/problems/invalid-request', errors: [{ pointer: '/drillId' }] });
    const stray = await manager.post(path, { ...body, stationId: newId() });
    expect(stray.body).toMatchObject({ errors: [{ pointer: '/stationId' }] });
    const { id } = done.body.stepDown as { id: string };
    expect((await coach.post(`${path}/${id}/undo`)).status).toBe(200);
  });
});

describe('merging groups', () => {
  test('is offered where the coaches of both are enough together, and takes everybody along', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    await aRule(f);
    const session = await aSession(f, { groups: [9, 1] });
    const [first, second] = session.groups;
    const [ana, ben] = [await aStaffMember(f, { given: 'Ana' }), await aStaffMember(f, { given: 'Ben' })];
    await anAssignment(f, first!.blocks[0]!, ana);
    await anAssignment(f, second!.blocks[0]!, ben);
    await f.arrange((tx) =>
      tx.execute(`UPDATE employments SET until_day = '2026-09-01' WHERE person_id = '${f.coachOf(f.gym).personId}'`),
    );
    const manager = api.as(f.managerOf(f.gym));
    const gym = `/gyms/${f.gym.id}`;
    const before = await manager.get<Covered>(`${gym}/blocks/${first!.blocks[0]!.id}/cover`);
    const merge = before.body.remedies.find(({ kind }) => kind === 'merge');
    expect(merge).toMatchObject({
      clears: true,
      request: {
        path: `/v1${gym}/sessions/${session.id}/merge-groups`,
        body: { intoGroupId: second!.id, fromGroupId: first!.id },
      },
    });
    expect((await send(manager, merge!, true)).status).toBe(200);
    const { status, body } = await send(manager, merge!);
    expect(status).toBe(200);
    expect(body).toMatchObject({
      session: { groups: [{ athleteCount: 0 }, { athleteCount: 10 }] },
      moved: [{ personId: ana, unit: { per: 'block', id: second!.blocks[0]!.id } }],
    });
    const after = await manager.get<Covered>(`${gym}/blocks/${second!.blocks[0]!.id}/cover`);
    expect(after.body).toMatchObject({ covered: true, athletes: 10, needed: 2, counted: '2' });
    const empty = await send(manager, merge!);
    expect(empty.body.type).toBe('/problems/conflict');
  });

  test('is refused where it uncovers, with itself, and with a group of another session', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    await aRule(f);
    const session = await aSession(f, { groups: [8, 8], confirmed: true });
    const [first, second] = session.groups;
    await anAssignment(f, second!.blocks[0]!, await aStaffMember(f));
    const manager = api.as(f.managerOf(f.gym));
    const path = `/gyms/${f.gym.id}/sessions/${session.id}/merge-groups`;
    const merge = (from: string, into: string) => manager.post(path, { fromGroupId: from, intoGroupId: into });
    expect((await merge(first!.id, second!.id)).body).toMatchObject({
      type: '/problems/cover-broken',
      findings: [{ code: 'short' }],
    });
    expect((await merge(first!.id, first!.id)).body).toMatchObject({ errors: [{ pointer: '/fromGroupId' }] });
    expect((await merge(newId(), first!.id)).body).toMatchObject({ errors: [{ pointer: '/fromGroupId' }] });
    expect((await merge(first!.id, newId())).body).toMatchObject({ errors: [{ pointer: '/intoGroupId' }] });
  });
});

describe('every remedy', () => {
  test('can be sent as it is, and does what it says', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(f);
    await aRule(f);
    const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ apparatus: 'vault', handsOn: { kind } }] }] });
    const session = await aSession(f, { plan, groups: [4, 3] });
    const [first, second] = session.groups;
    await anEasierDrill(f, plan.blocks[0]!.stations[0]!.drillId);
    await anAssignment(f, first!.blocks[0]!, await aStaffMember(f, { given: 'Ana' }));
    await anAssignment(f, second!.blocks[0]!, await aStaffMember(f, { given: 'Ben', holds: [{ kind }] }));
    await aStaffMember(f, { given: 'Zoe', holds: [{ kind }] });
    const manager = api.as(f.managerOf(f.gym));
    const path = `/gyms/${f.gym.id}/blocks/${first!.blocks[0]!.id}/cover`;
    const { body } = await manager.get<Covered>(path);
    const kinds = body.remedies.map((one) => one.kind);
    expect([...new Set(kinds)].sort()).toEqual(['merge', 'move', 'step-down']);
    for (const remedy of body.remedies) {
      const tried = await send(manager, remedy, true);
      expect([remedy.sentence, tried.status < 300, tried.body.detail]).toEqual([remedy.sentence, true, undefined]);
    }
    expect(body.nearest).toEqual([]);
  });

  test('that is a decision about children says so, and what is missing is told with who comes nearest', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    await aRule(f);
    const session = await aSession(f, { groups: [24] });
    const [block] = session.blocks;
    const [ana, ciara] = [await aStaffMember(f, { given: 'Ana' }), f.coachOf(f.gym).personId];
    await anAssignment(f, block!, ana);
    const { body } = await api.as(f.owner).get<Covered>(`/gyms/${f.gym.id}/blocks/${block!.id}/cover`);
    expect(body.remedies.filter(({ kind }) => kind === 'admit-fewer')).toMatchObject([
      {
        clears: true,
        request: null,
        byHand: expect.stringContaining('end an enrolment'),
        sentence: expect.stringMatching(/8 athletes at most/),
      },
    ]);
    expect(body.nearest).toMatchObject([
      {
        code: 'short',
        blockIds: [block!.id],
        startsAt: block!.startsAt.toISOString(),
        endsAt: block!.endsAt.toISOString(),
        short: '2',
        qualification: null,
        people: [{ personId: ciara, name: 'Ciara Doyle', short: '1' }],
        sentence: expect.stringContaining('Nearest: Ciara Doyle (1 would be missing yet)'),
      },
    ]);
  });

  test('nobody holds what a station asks for: the qualification is named', async () => {
    const { kind, block, gym, manager } = await anUnspottedVault();
    const { body } = await manager.get<Covered>(`${gym}/blocks/${block.id}/cover`);
    expect(body.remedies).toEqual([]);
    expect(body.nearest).toMatchObject([
      {
        code: 'spotting',
        short: '1',
        qualification: { kindId: kind.id, grade: 1 },
        people: [],
        asks: expect.stringMatching(/^holds Vault spotting/),
      },
    ]);
  });
});
