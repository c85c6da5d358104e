import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Programme } from '../../src/features/curriculum/schema.ts';
import { events } from '../../src/platform/events/table.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
let lead: Caller;

beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
  lead = api.as(f.lead);
});
afterAll(() => api.close());

const eventsOf = (subjectId: string) =>
  f.arrange((tx) =>
    tx
      .select({ name: events.name, data: events.data })
      .from(events)
      .where(sql`franchise_id = ${f.id} AND subject_id = ${subjectId}`)
      .orderBy(events.id),
  );

let made = 0;
function unique(name: string): string {
  made += 1;
  return `${name} ${made}`;
}

async function aProgramme(name = unique('Recreational')): Promise<Programme> {
  const levels = [{ name: 'Bronze' }, { name: 'Silver' }];
  return (await lead.post<Programme>('/programmes', { name, levels })).body;
}

test('a programme keeps its levels in order, and they are renamed, moved and added, never lost', async () => {
  const { id, name, levels } = await aProgramme();
  const [bronze, silver] = levels;
  const change = {
    name,
    levels: [{ id: null, name: 'Copper' }, { id: silver?.id, name: 'Silver plus' }, bronze],
  };
  const changed = await lead.put<Programme>(`/programmes/${id}`, change, { ifMatch: 1 });
  expect(changed.status).toBe(200);
  expect(changed.body.levels.map((level) => level.name)).toEqual(['Copper', 'Silver plus', 'Bronze']);
  expect(changed.headers.get('ETag')).toBe('"r2"');
  expect((await lead.get(`/programmes/${id}`)).body).toEqual(changed.body);
  expect((await eventsOf(id)).map((event) => event.name)).toEqual([
    'curriculum.programme-added',
    'curriculum.programme-changed',
  ]);

  const twins = [{ id: null, name: 'silver PLUS' }, ...changed.body.levels];
  const twice = await lead.put(`/programmes/${id}`, { name, levels: twins }, { ifMatch: 2 });
  expect(twice.body.errors).toEqual([
    { pointer: '/levels/2/name', detail: 'Another level of the programme has that name.' },
  ]);
  const born = await lead.post('/programmes', { name: unique('Twins'), levels: [{ name: 'One' }, { name: 'ONE' }] });
  expect(born.body.errors[0]?.pointer).toBe('/levels/1/name');

  const stale = await lead.put(`/programmes/${id}`, change, { ifMatch: 1 });
  expect(stale.status).toBe(412);
  const lost = await lead.put(`/programmes/${id}`, { name, levels: [bronze] }, { ifMatch: 2 });
  expect(lost.status).toBe(422);
  expect(lost.body.errors).toEqual([
    { pointer: '/levels', detail: 'Name every level: "Copper" is missing, and a level does not go away.' },
  ]);
  const foreign = await lead.put(`/programmes/${id}`, { name, levels: [{ id, name: 'Odd' }] }, { ifMatch: 2 });
  expect(foreign.body.errors[0]?.pointer).toBe('/levels/0/id');
  const again = await lead.post('/programmes', { name: name.toUpperCase(), levels: [{ name: 'One' }] });
  expect(again.status).toBe(409);
});
