import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Route } from '../src/platform/http/route.ts';
import { routes } from '../src/routes.ts';
import { aFranchise, type Franchise, type Member } from './support/a-franchise.ts';
import { aStockedGym, COMMON, type Ids } from './support/a-stocked-gym.ts';
import { type Api, openApi } from './support/api.ts';
import { callerFor } from './support/caller-for.ts';
import { tenantTables } from './support/captured-sql.ts';
import { sampleBody } from './support/sample.ts';

let api: Api;
let f: Franchise;
let own: Ids;
let manager: Member;
let ofAnotherGym: Ids;
let ofAnotherFranchise: Ids;
let otherFranchise: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
  own = await aStockedGym(f, f.gym);
  manager = f.managerOf(f.gym);
  ofAnotherGym = await aStockedGym(f, f.gyms[1] ?? f.gym);
  otherFranchise = await aFranchise(api);
  ofAnotherFranchise = await aStockedGym(otherFranchise, otherFranchise.gym);
});
afterAll(() => api.close());

const parametersOf = (route: Route) => [...route.path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name ?? '');
const idsOf = (route: Route) => parametersOf(route).filter((name) => !(name in COMMON) && name !== 'gymId');

const call = (route: Route, ids: Ids, query = '') => {
  const path = route.path.replaceAll(/\{(\w+)\}/g, (_, name) => COMMON[name] ?? ids[name] ?? 'missing');
  const body = sampleBody(route.method, route.path, own);
  return api.send(route.method.toUpperCase(), `/v1${path}${query}`, {
    headers: {
      Authorization: `Bearer ${api.tokens.issue(callerFor(route, f.owner, manager))}`,
      'If-Match': '"r1"',
      ...(body === undefined ? {} : { 'Content-Type': 'application/json' }),
    },
    ...(body === undefined ? {} : { body: JSON.stringify(body) }),
  });
};

/** Everything that is stored of a franchise, as one value. */
async function storedOf(franchiseId: string): Promise<Record<string, string>> {
  const stored: Record<string, string> = {};
  for (const table of await tenantTables(api.database.ownerPool)) {
    const { rows } = await api.database.ownerPool.query(
      `SELECT md5(coalesce(string_agg(r::text, '|' ORDER BY r::text), '')) AS all FROM ${table} r WHERE franchise_id = $1`,
      [franchiseId],
    );
    stored[table] = rows[0].all;
  }
  return stored;
}

const withIds = routes.filter((route) => idsOf(route).length > 0);
const called = (route: Route) => ({ route, called: `${route.method.toUpperCase()} ${route.path}` });

test('every parameter of every path is known here', () => {
  const names = new Set(withIds.flatMap(idsOf));
  expect([...names].filter((name) => !own[name])).toEqual([]);
});

describe('what belongs to another franchise', () => {
  test.each(withIds.map(called))('is not found: $called', async ({ route }) => {
    const before = await storedOf(otherFranchise.id);
    const { status, body } = await call(route, { ...ofAnotherFranchise, gymId: f.gym.id });
    expect([status, body.type, body.detail]).toEqual([404, '/problems/not-found', expect.any(String)]);
    expect(await storedOf(otherFranchise.id)).toEqual(before);
  });

  test.each(withIds.filter((route) => idsOf(route).length > 1).map(called))(
    'is not found beneath what is one’s own: $called',
    async ({ route }) => {
      const last = idsOf(route).at(-1) ?? '';
      const { status, body } = await call(route, { ...own, [last]: ofAnotherFranchise[last] ?? '' });
      expect([status, body.type]).toEqual([404, '/problems/not-found']);
    },
  );
});

describe('what belongs to another gym', () => {
  /** Employs at this gym somebody who is on the staff of another: that is what it is for. */
  const ACROSS_GYMS = ['employStaff'];
  const atGym = withIds.filter(({ path, name }) => path.startsWith('/gyms/{gymId}/') && !ACROSS_GYMS.includes(name));

  test.each(atGym.map(called))('is not found at this one: $called', async ({ route }) => {
    const before = await storedOf(f.id);
    const { status, body } = await call(route, { ...ofAnotherGym, gymId: f.gym.id });
    expect([status, body.type]).toEqual([404, '/problems/not-found']);
    expect(await storedOf(f.id)).toEqual(before);
  });

  test.each(atGym.filter((route) => idsOf(route).length > 1).map(called))(
    'is not found beneath what is of this one: $called',
    async ({ route }) => {
      const last = idsOf(route).at(-1) ?? '';
      const { status, body } = await call(route, { ...own, [last]: ofAnotherGym[last] ?? '' });
      expect([status, body.type]).toEqual([404, '/problems/not-found']);
    },
  );
});

/** The absence released nobody, so that there is no place to take. */
const NOTHING_TO_REPLACE = 'replaceAbsent';

test.each(
  withIds.filter(({ method, dryRun, name }) => (method === 'get' || dryRun) && name !== NOTHING_TO_REPLACE).map(called),
)('one’s own is found, so that nothing above was refused for another reason: $called', async ({ route }) => {
  const { status } = await call(route, own, route.dryRun ? '?dryRun=true' : '');
  if (route.method === 'get') expect(status).toBe(200);
  expect(status).not.toBe(404);
});
