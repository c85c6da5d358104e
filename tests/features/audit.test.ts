import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Event } from '../../src/features/audit/schema.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
});
afterAll(() => api.close());

const listed = (by: Franchise['owner'], path: string) => api.as(by).get<{ items: Event[]; next: string | null }>(path);
const names = ({ body }: Answer<{ items: Event[] }>) => body.items.map(({ name }) => name);

async function anArea(gym = f.gym): Promise<string> {
  const { body } = await api
    .as(f.managerOf(gym))
    .post(`/gyms/${gym.id}/areas`, { name: `Area ${crypto.randomUUID()}`, apparatus: [] });
  return body.id;
}

test('an event says what happened, when, where, and who did it', async () => {
  const before = api.clock.now();
  const areaId = await anArea();
  const { status, body } = await listed(f.owner, `/events?subjectId=${areaId}`);
  expect(status).toBe(200);
  expect(body).toEqual({
    items: [
      {
        id: body.items[0]!.id,
        name: 'gyms.area-added',
        at: before.toISOString(),
        gymId: f.gym.id,
        subjectId: areaId,
        subjectRevision: 1,
        accountId: f.managerOf(f.gym).accountId,
        requestId: body.items[0]!.requestId,
        data: { areaId },
      },
    ],
    next: null,
  });
});

test('a manager reads the events of their own gym, and no others', async () => {
  const there = f.gyms[1]!;
  const [mine, theirs] = [await anArea(), await anArea(there)];
  const seen = (await listed(f.managerOf(f.gym), `/gyms/${f.gym.id}/events`)).body.items;
  expect(seen.map(({ subjectId }) => subjectId)).toContain(mine);
  expect(seen.map(({ subjectId }) => subjectId)).not.toContain(theirs);
  expect(new Set(seen.map(({ gymId }) => gymId))).toEqual(new Set([f.gym.id]));

  const status = async (by: Franchise['owner'], path: string) => (await api.as(by).get(path)).status;
  expect(await status(f.managerOf(f.gym), `/gyms/${there.id}/events`)).toBe(404);
  expect(await status(f.managerOf(f.gym), '/events')).toBe(403);
  expect(await status(f.deskOf(f.gym), `/gyms/${f.gym.id}/events`)).toBe(403);
  expect(await status(f.owner, `/gyms/${(await aFranchise(api)).gym.id}/events`)).toBe(404);
});

test('another franchise’s events are never seen', async () => {
  const other = await aFranchise(api);
  const areaId = await anArea();
  expect((await listed(other.owner, '/events')).body.items).toEqual([]);
  expect((await listed(other.owner, `/events?subjectId=${areaId}`)).body.items).toEqual([]);
});

test('newest first, page by page, by name and by time', async () => {
  const own = await aFranchise(api);
  const change = (name: string, ifMatch: number) =>
    api.as(own.owner).patch(`/gyms/${own.gym.id}`, { name }, { ifMatch });
  const start = api.clock.now();
  try {
    await change('First', 1);
    api.clock.advance({ hours: 1 });
    await change('Second', 2);
    await api.as(own.owner).post('/apparatus', { name: 'Trampoline' });
    api.clock.advance({ hours: 1 });
    await change('Third', 3);
  } finally {
    api.clock.set(start);
  }
  const all = ['gyms.changed', 'gyms.apparatus-added', 'gyms.changed', 'gyms.changed'];
  expect(names(await listed(own.owner, '/events'))).toEqual(all);
  const seen: Event[] = [];
  for (let next: string | null = '/events?limit=3'; next !== null; ) {
    const page: Answer<{ items: Event[]; next: string | null }> = await listed(own.owner, next);
    seen.push(...page.body.items);
    next = page.body.next === null ? null : `/events?limit=3&cursor=${page.body.next}`;
  }
  expect(seen.map(({ subjectRevision }) => subjectRevision)).toEqual([4, 1, 3, 2]);

  const revisions = async (query: string) =>
    (await listed(own.owner, `/events?name=gyms.changed${query}`)).body.items.map((one) => one.subjectRevision);
  expect(await revisions('')).toEqual([4, 3, 2]);
  expect(await revisions('&from=2026-09-07T09:00:00Z')).toEqual([4, 3]);
  expect(await revisions('&from=2026-09-07T09:00:00Z&until=2026-09-07T10:00:00Z')).toEqual([3]);
  expect(await revisions('&until=2026-09-07T09:00:00%2B01:00')).toEqual([]);
});

test('a filter that cannot be read is named', async () => {
  const { status, body } = await api.as(f.owner).get('/events?from=yesterday&subject=x');
  expect(status).toBe(422);
  expect(new Set(body.errors.map(({ parameter }) => parameter))).toEqual(new Set(['from', 'subject']));
});
