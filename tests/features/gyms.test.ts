import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Apparatus, Area, ChangedArea } from '../../src/features/gyms/schema.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
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
    { id: added.body.id, name: 'Trampolin', revision: 1 },
    '"r1"',
  ]);
  const path = `/apparatus/${added.body.id}`;
  expect(problem(await lead.patch(path, { name: 'Trampoline' }))).toEqual([428, 'if-match-required']);
  const renamed = await lead.patch<Apparatus>(path, { name: 'Trampoline' }, { ifMatch: 1 });
  expect(renamed.body).toEqual({ id: added.body.id, name: 'Trampoline', revision: 2 });
  expect(problem(await lead.patch(path, { name: 'Late' }, { ifMatch: 1 }))).toEqual([412, 'changed-meanwhile']);
  expect(problem(await lead.patch(path, { name: 'BEAM' }, { ifMatch: 2 }))).toEqual([409, 'already-exists']);
  const { body } = await lead.get<{ items: Apparatus[] }>('/apparatus');
  expect(body.items).toContainEqual(renamed.body);
  expect(await eventsAbout(added.body.id)).toEqual([
    { name: 'gyms.apparatus-added', revision: 1, data: {} },
    { name: 'gyms.apparatus-changed', revision: 2, data: {} },
  ]);
  const { apparatus } = await aFranchise(api);
  expect(problem(await lead.patch(`/apparatus/${apparatus.beam}`, { name: 'Ours' }, { ifMatch: 1 }))).toEqual([
    404,
    'not-found',
  ]);
});
