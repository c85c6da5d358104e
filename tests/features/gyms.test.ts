import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Apparatus, Area, ChangedArea, Equipment, TakenOutOfUse } from '../../src/features/gyms/schema.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aClass, aSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
});
afterAll(() => api.close());

const problem = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.type.replace('/problems/', '')];
};
const nothing = { released: [], unconfirmed: [], atOtherGyms: 0, notListed: 0 };
const eventsAbout = async (subjectId: string) => {
  const { rows } = await api.database.ownerPool.query(
    'SELECT name, subject_revision AS revision, data FROM events WHERE subject_id = $1 ORDER BY id',
    [subjectId],
  );
  return rows;
};

test('a gym’s event says its id and not its name', async () => {
  const body = { name: 'Harbour Hall', zone: 'Europe/Dublin' };
  const added = await api.as(f.owner).post('/gyms', body);
  expect(await eventsAbout(added.body.id)).toEqual([{ name: 'gyms.added', revision: 1, data: {} }]);
});

describe('areas', () => {
  const at = (gym = f.gym) => `/gyms/${gym.id}/areas`;
  const manager = () => api.as(f.managerOf(f.gym));

  test('are added, and corrected by revision', async () => {
    const standing = [{ apparatusId: f.apparatus.beam, items: 2 }];
    const added = await manager().post<Area>(at(), { name: 'Balcony', apparatus: standing });
    expect([added.status, added.headers.get('ETag')]).toEqual([201, '"r1"']);
    const path = `${at()}/${added.body.id}`;

    const renamed = await manager().patch<ChangedArea>(path, { name: 'Gallery' }, { ifMatch: 1 });
    expect([renamed.body, renamed.headers.get('ETag')]).toEqual([
      { id: added.body.id, name: 'Gallery', apparatus: standing, revision: 2, settled: nothing },
      '"r2"',
    ]);
    const other = [{ apparatusId: f.apparatus.bars, items: 1 }];
    const asked = await manager().patch(path, { apparatus: other }, { ifMatch: 2, dryRun: true });
    const done = await manager().patch<ChangedArea>(path, { apparatus: other }, { ifMatch: 2 });
    expect(done.body).toEqual(asked.body);
    const { settled: _, ...area } = done.body;
    expect(area).toEqual({ id: added.body.id, name: 'Gallery', apparatus: other, revision: 3 });
    expect((await manager().get<{ items: Area[] }>(at())).body.items).toContainEqual(area);
    const late = await manager().patch(path, { name: 'Late' }, { ifMatch: 2 });
    expect(problem(late)).toEqual([412, 'changed-meanwhile']);

    const data = { areaId: added.body.id };
    expect(await eventsAbout(added.body.id)).toEqual([
      { name: 'gyms.area-added', revision: 1, data },
      { name: 'gyms.area-changed', revision: 2, data },
      { name: 'gyms.area-changed', revision: 3, data },
    ]);
  });

  test('faults are said where they are', async () => {
    const path = `${at()}/${f.gym.areas.vault}`;
    const change = (body: object) => manager().patch(path, body, { ifMatch: 1 });
    expect(problem(await change({ name: 'BEAM' }))).toEqual([409, 'already-exists']);
    const unknown = await change({ apparatus: [{ apparatusId: crypto.randomUUID(), items: 1 }] });
    expect(unknown.body.errors.map(({ pointer }) => pointer)).toEqual(['/apparatus']);
    const one = { apparatusId: f.apparatus.vault, items: 1 };
    expect((await change({ apparatus: [one, one] })).body.errors.map(({ pointer }) => pointer)).toEqual(['/apparatus']);
    const elsewhere = `${at()}/${f.gyms[1]!.areas.vault}`;
    expect(problem(await manager().patch(elsewhere, { name: 'Mine' }, { ifMatch: 1 }))).toEqual([404, 'not-found']);
    expect(problem(await api.as(f.deskOf(f.gym)).patch(path, { name: 'Mine' }, { ifMatch: 1 }))).toEqual([
      403,
      'not-allowed',
    ]);
  });
});

test('a kind of apparatus is added and renamed, by revision', async () => {
  const lead = api.as(f.lead);
  const added = await lead.post<Apparatus>('/apparatus', { name: 'Trampolin' });
  expect([added.body, added.headers.get('ETag')]).toEqual([
    {
      id: added.body.id,
      name: 'Trampolin',
      secondsATurn: 20,
      lengthCm: null,
      widthCm: null,
      heightCm: null,
      armHeavy: false,
      revision: 1,
    },
    '"r1"',
  ]);
  const path = `/apparatus/${added.body.id}`;
  expect(problem(await lead.patch(path, { name: 'Trampoline' }))).toEqual([428, 'if-match-required']);
  const renamed = await lead.patch<Apparatus>(path, { name: 'Trampoline' }, { ifMatch: 1 });
  expect(renamed.body).toEqual({ ...added.body, name: 'Trampoline', revision: 2 });
  expect(problem(await lead.patch(path, { name: 'Late' }, { ifMatch: 1 }))).toEqual([412, 'changed-meanwhile']);
  expect(problem(await lead.patch(path, { name: 'BEAM' }, { ifMatch: 2 }))).toEqual([409, 'already-exists']);
  const { body } = await lead.get<{ items: Apparatus[] }>('/apparatus');
  expect(body.items).toContainEqual(renamed.body);
  expect(await eventsAbout(added.body.id)).toEqual([
    { name: 'gyms.apparatus-added', revision: 1, data: {} },
    { name: 'gyms.apparatus-changed', revision: 2, data: {} },
  ]);
  const sized = await lead.patch<Apparatus>(path, { secondsATurn: 45, heightCm: 115 }, { ifMatch: 2 });
  expect(sized.body).toEqual({ ...renamed.body, secondsATurn: 45, heightCm: 115, revision: 3 });
  const { apparatus } = await aFranchise(api);
  expect(problem(await lead.patch(`/apparatus/${apparatus.beam}`, { name: 'Ours' }, { ifMatch: 1 }))).toEqual([
    404,
    'not-found',
  ]);
});

const NONE = { stations: [], stationsCount: 0, sessionsCount: 0 };

test('what is out of use leaves the gym’s stock, area by area, until it is mended', async () => {
  const manager = api.as(f.managerOf(f.gym));
  const at = `/gyms/${f.gym.id}/areas/${f.gym.areas.beam}/out-of-use`;
  const stock = async () => {
    const { body } = await manager.get<{ items: Equipment[] }>(`/gyms/${f.gym.id}/equipment?limit=200`);
    return body.items.find(({ apparatusId }) => apparatusId === f.apparatus.beam);
  };
  const whole = await stock();
  expect(whole).toEqual({ apparatusId: f.apparatus.beam, name: 'beam', items: 2, outOfUse: 0, inUse: 2, short: NONE });
  const said = { apparatusId: f.apparatus.beam, items: 1, why: 'A foot is loose.' };
  expect((await manager.put(at, said)).body).toEqual({ ...said, short: NONE });
  expect(await stock()).toEqual({ ...whole, outOfUse: 1, inUse: 1 });
  expect((await manager.put(at, { ...said, items: 2 })).status).toBe(200);
  expect(await stock()).toEqual({ ...whole, outOfUse: 2, inUse: 0 });
  expect((await manager.put(at, { ...said, items: 3 })).body.errors).toEqual([
    { pointer: '/items', detail: 'Only 2 of it stand in this area.' },
  ]);
  expect((await manager.put(at, { ...said, apparatusId: f.apparatus.vault })).body.errors[0]?.pointer).toBe(
    '/apparatusId',
  );
  await manager.patch(
    `/gyms/${f.gym.id}/areas/${f.gym.areas.beam}`,
    { apparatus: [{ apparatusId: f.apparatus.beam, items: 3 }] },
    { ifMatch: 1 },
  );
  expect(await stock()).toEqual({ ...whole, items: 3, outOfUse: 2, inUse: 1 });
  await manager.put(at, { ...said, items: 0 });
  expect(await stock()).toEqual({ ...whole, items: 3, inUse: 3 });
  expect(problem(await api.as(f.coachOf(f.gym)).put(at, said))).toEqual([403, 'not-allowed']);
});

describe('an item taken out of use', () => {
  const out = (items: number, why = 'A foot is loose.') => ({ apparatusId: own.apparatus.beam, items, why });
  let own: Franchise;
  const put = (items: number, query?: { dryRun: true }) =>
    api
      .as(own.managerOf(own.gym))
      .put<TakenOutOfUse>(`/gyms/${own.gym.id}/areas/${own.gym.areas.beam}/out-of-use`, out(items), query);
  const listed = async () => {
    const { body } = await api.as(own.coachOf(own.gym)).get<{ items: Equipment[] }>(`/gyms/${own.gym.id}/equipment`);
    return body.items.find(({ apparatusId }) => apparatusId === own.apparatus.beam);
  };
  const shortOf = ({ short }: TakenOutOfUse) =>
    short.stations.map(({ sessionId, amount, needed, inUse }) => [sessionId, amount, needed, inUse]);

  test('flags the stations of every session at that time that need it, confirmed or not, and tells', async () => {
    own = await aFranchise(api, { gyms: 2 });
    const plan = await aPublishedPlan(own, { blocks: [{ minutes: 20, stations: [{ apparatus: 'beam' }] }] });
    const { programme } = plan;
    const beginners = await aClass(own, { programme });
    const first = await aSession(own, { plan, class: beginners, confirmed: true });
    const second = await aSession(own, { plan, class: await aClass(own, { programme }), startsAt: '17:10' });
    const alone = await aSession(own, { plan, class: beginners, day: '2026-09-21' });
    await aSession(own, { plan, class: await aClass(own, { programme, gym: own.gyms[1] ?? own.gym }) });
    const cancelled = await aSession(own, { plan, class: await aClass(own, { programme }) });
    await own.arrange((tx) =>
      tx.update(t.sessions).set({ cancelledAt: new Date() }).where(eq(t.sessions.id, cancelled.id)),
    );
    // Its plan names two beams, one after the other.
    const inTurn = {
      minutes: 20,
      inTurn: true as const,
      stations: [{ apparatus: 'beam' as const }, { apparatus: 'beam' as const }],
    };
    const turns = await aPublishedPlan(own, { programme, blocks: [inTurn] });
    await aSession(own, { plan: turns, class: await aClass(own, { programme }), day: '2026-09-22' });
    expect((await listed())?.short).toEqual(NONE);

    const asked = await put(1, { dryRun: true });
    const answer = await put(1);
    expect(answer.status, answer.text).toBe(200);
    expect(asked.body).toEqual(answer.body);
    const stationId = plan.blocks[0]?.stations[0]?.id;
    expect(answer.body).toEqual({
      ...out(1),
      short: {
        stations: [first, second].map((session, at) => ({
          sessionId: session.id,
          classId: session.class.id,
          className: 'Monday tumblers',
          blockId: session.blocks[0]?.id,
          stationId,
          station: 'Station 1',
          startsAt: session.blocks[0]?.startsAt.toISOString(),
          endsAt: session.blocks[0]?.endsAt.toISOString(),
          confirmed: at === 0,
          amount: 1,
          needed: 2,
          inUse: 1,
          orInstead: false,
        })),
        stationsCount: 2,
        sessionsCount: 2,
      },
    });
    expect((await listed())?.short).toEqual(answer.body.short);
    const about = (await eventsAbout(own.gym.areas.beam)).map(({ name, data }) => [name, data]);
    expect(about).toEqual([
      ['gyms.out-of-use', { areaId: own.gym.areas.beam, apparatusId: own.apparatus.beam, items: 1 }],
      ['gyms.stations-short', { apparatusId: own.apparatus.beam, stationsCount: 2, sessionIds: [first.id, second.id] }],
    ]);
    // It is for the manager to judge: nothing lost its confirmation by it.
    const { rows } = await api.database.ownerPool.query('SELECT confirmed_at FROM blocks WHERE session_id = $1', [
      first.id,
    ]);
    expect(rows[0].confirmed_at).not.toBeNull();

    expect((await put(2)).body.short).toMatchObject({ stationsCount: 5, sessionsCount: 4 });
    expect(shortOf((await put(2)).body).find(([id]) => id === alone.id)).toEqual([alone.id, 1, 1, 0]);
    expect((await put(0)).body.short).toEqual(NONE);
    api.clock.advance({ minutes: 60 * 24 * 30 });
    expect((await put(2)).body.short).toEqual(NONE);
    await put(0);
  });

  test('counts the pieces of a set-up and what its drills need, and says where something will do instead', async () => {
    own = await aFranchise(api);
    const plan = await aPublishedPlan(own, {
      blocks: [{ stations: [{ apparatus: 'floor' }, { apparatus: 'vault' }] }],
    });
    const [floor, vault] = plan.blocks[0]?.stations ?? [];
    if (!floor || !vault) throw new Error('the plan has two stations');
    const piece = {
      franchiseId: own.id,
      stationId: floor.id,
      position: 1,
      amount: 1,
      job: 'raise' as const,
      forMixedSizes: false,
    };
    await own.arrange(async (tx) => {
      await tx.insert(t.planPieces).values([
        { ...piece, choice: 0, apparatusId: own.apparatus.beam },
        { ...piece, choice: 1, apparatusId: own.apparatus.vault },
      ]);
      await tx.insert(t.drillEquipment).values(
        [floor, vault].map(({ drillId }) => ({
          franchiseId: own.id,
          drillId,
          apparatusId: own.apparatus.beam,
          position: 1,
          amount: 1,
        })),
      );
    });
    await aSession(own, { plan, day: '2027-09-13' });
    expect((await put(0)).body.short).toEqual(NONE);
    const { short } = (await put(1)).body;
    expect(
      short.stations.map(({ station, amount, needed, orInstead }) => [station, amount, needed, orInstead]).sort(),
    ).toEqual([
      ['Station 1', 1, 2, true],
      ['Station 2', 1, 2, false],
    ]);
  });
});
