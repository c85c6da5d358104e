import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { z } from 'zod';
import type { Route } from '../src/platform/http/route.ts';
import { routes } from '../src/routes.ts';
import { aFranchise, type Franchise, type Member } from './support/a-franchise.ts';
import { aStockedGym, COMMON, type Ids } from './support/a-stocked-gym.ts';
import { type Api, type Caller, openApi } from './support/api.ts';
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

/** The routes whose query or body has a field of that name, however deep. */
function routesThatName(field: string): string[] {
  const has = (schema: unknown): boolean =>
    schema instanceof z.ZodObject
      ? Object.entries(schema.shape).some(([name, one]) => name === field || has(one))
      : inside(schema).some(has);
  return routes
    .filter(({ query, body }) => has(query) || has(body))
    .map(({ method, path }) => `${method.toUpperCase()} ${path}`);
}

const inside = (schema: unknown): unknown[] => {
  if (schema instanceof z.ZodUnion) return [...schema.options];
  if (schema instanceof z.ZodArray) return [schema.element];
  if (schema instanceof z.ZodRecord) return [schema.valueType];
  if (schema instanceof z.ZodOptional || schema instanceof z.ZodNullable || schema instanceof z.ZodDefault) {
    return [schema.unwrap()];
  }
  return [];
};

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

describe('a gym that is named in a query or in a body', () => {
  /** Each route that takes one there, asked by the manager of the first gym or by the owner. */
  const NAMING = [
    [
      'GET /lesson-plans/{planId}/versions/{number}/briefing/readers',
      (gymId: string, as: Caller) => as.get(`/lesson-plans/${own.planId}/versions/1/briefing/readers?gymId=${gymId}`),
    ],
    ['GET /users', (gymId: string, as: Caller) => as.get(`/users?gymId=${gymId}`)],
    ['GET /drills', (gymId: string, as: Caller) => as.get(`/drills?gymId=${gymId}`)],
    ['GET /ratio-rules', (gymId: string, as: Caller) => as.get(`/ratio-rules?gymId=${gymId}`)],
    [
      'POST /users',
      (gymId: string, as: Caller) => as.post('/users', { email: 'ann@example.org', role: 'desk', gymId }),
    ],
    [
      'POST /users/{accountId}/roles',
      (gymId: string, as: Caller) => as.post(`/users/${own.accountId}/roles`, { role: 'coach', gymId }),
    ],
    [
      'PATCH /gyms/{gymId}/athletes/{athleteId}',
      (gymId: string, as: Caller) =>
        as.patch(`/gyms/${own.gymId}/athletes/${own.athleteId}`, { gymId }, { ifMatch: 1 }),
    ],
    [
      'POST /offline-batches',
      (gymId: string, as: Caller) =>
        as.post('/offline-batches', {
          gymId,
          items: [{ clientId: own.athleteId, at: '2026-09-07T08:00:00Z', kind: 'staff', what: 'in' }],
        }),
    ],
  ] as const;

  test('every such route is here', () => {
    expect(NAMING.map(([name]) => name).sort()).toEqual(routesThatName('gymId').sort());
  });

  const strangers = () => [
    { gymId: ofAnotherFranchise.gymId ?? '', as: api.as(f.owner), whose: otherFranchise },
    { gymId: ofAnotherFranchise.gymId ?? '', as: api.as(f.managerOf(f.gym)), whose: otherFranchise },
    { gymId: ofAnotherGym.gymId ?? '', as: api.as(f.managerOf(f.gym)), whose: f },
  ];
  test.each(NAMING)('is nobody’s business who does not belong to it: %s', async (_, ask) => {
    for (const { gymId, as, whose } of strangers()) {
      const before = await storedOf(whose.id);
      const { status, body } = await ask(gymId, as);
      if (status === 200) expect(body.items).toEqual([]);
      else if (status === 422) expect(body.errors[0]?.pointer).toMatch(/gymId$/);
      else expect([status, body.type]).toEqual([404, '/problems/not-found']);
      expect(await storedOf(whose.id)).toEqual(before);
    }
  });

  test('a rule of another gym is not tried either, by whatever name it goes', async () => {
    const trying = (ruleId = '') => ({ rules: [{ ruleId }], athletes: [{ ageMonths: 100 }] });
    const manager = api.as(f.managerOf(f.gym));
    for (const { ruleId } of [ofAnotherGym, ofAnotherFranchise]) {
      expect((await manager.get(`/ratio-rules/${ruleId}`)).status).toBe(404);
      const tried = await manager.post('/cover-trials', trying(ruleId));
      expect(tried.body.errors.map(({ pointer }) => pointer)).toEqual(['/rules/0/ruleId']);
    }
    expect((await manager.post('/cover-trials', trying(own.ruleId))).status).toBe(200);
  });
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
