import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Route } from '../src/platform/http/route.ts';
import { PROBLEMS, type ProblemName } from '../src/platform/problem.ts';
import { routes } from '../src/routes.ts';
import { aFranchise, type Franchise, type Member } from './support/a-franchise.ts';
import { aStockedGym, COMMON, type Ids } from './support/a-stocked-gym.ts';
import { type Api, openApi } from './support/api.ts';
import { callerFor } from './support/caller-for.ts';
import { sampleBody } from './support/sample.ts';

let api: Api;
let f: Franchise;
let own: Ids;
let manager: Member;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
  own = await aStockedGym(f, f.gym);
  manager = f.managerOf(f.gym);
});
afterAll(() => api.close());

/** Calls a route as the owner, or the manager where the owner may not, on what is there, with a body and headers as they stand. */
const call = (route: Route, body: string | undefined, headers: Record<string, string>, query = '') => {
  const path = route.path.replaceAll(/\{(\w+)\}/g, (_, name) => COMMON[name] ?? own[name] ?? 'missing');
  return api.send(route.method.toUpperCase(), `/v1${path}${query}`, {
    headers: {
      ...(route.kind === 'public'
        ? {}
        : { Authorization: `Bearer ${api.tokens.issue(callerFor(route, f.owner, manager))}` }),
      ...(body === undefined ? {} : { 'Content-Type': 'application/json' }),
      ...headers,
    },
    ...(body === undefined ? {} : { body }),
  });
};

const refuses = async (answering: ReturnType<typeof call>, problem: ProblemName) => {
  const { status, body } = await answering;
  expect([status, body.type]).toEqual([PROBLEMS[problem].status, `/problems/${problem}`]);
};

const called = (route: Route) => ({ route, called: `${route.method.toUpperCase()} ${route.path}` });
const BIG = JSON.stringify({ big: 'x'.repeat(1024 * 1024) });
const any = { 'If-Match': '"r1"' };

describe.each(routes.filter(({ body }) => body !== null).map(called))('$called', ({ route }) => {
  test('refuses a body that is no JSON, is too large, of another type, or has an unknown field', async () => {
    await refuses(call(route, '{"a":', any), 'malformed-json');
    await refuses(call(route, BIG, any), 'body-too-large');
    await refuses(call(route, 'a=b', { ...any, 'Content-Type': 'text/plain' }), 'wrong-content-type');
    await refuses(call(route, '{"noSuchField": 1}', any), 'invalid-request');
  });
});

describe.each(routes.filter(({ ifMatch }) => ifMatch).map(called))('$called', ({ route }) => {
  const body = () => {
    const sample = sampleBody(route.method, route.path, own);
    return sample === undefined ? undefined : JSON.stringify(sample);
  };

  test('asks for If-Match', () => refuses(call(route, body(), {}), 'if-match-required'));

  test('refuses a revision that is not the newest', () =>
    refuses(call(route, body(), { 'If-Match': '"r999"' }), 'changed-meanwhile'));
});

describe.each(routes.filter(({ method, kind }) => method === 'post' && kind === 'tenant').map(called))(
  '$called',
  ({ route }) => {
    test('refuses an Idempotency-Key that is none', () =>
      refuses(call(route, '{}', { ...any, 'Idempotency-Key': 'short' }), 'invalid-request'));
  },
);

describe.each(routes.map(called))('$called', ({ route }) => {
  test('takes dryRun only where it says so, and only as true or false', async () => {
    const { body } = await call(
      route,
      route.method === 'get' ? undefined : '{}',
      any,
      route.dryRun ? '?dryRun=perhaps' : '?dryRun=true',
    );
    expect(body.errors).toEqual(expect.arrayContaining([expect.objectContaining({ parameter: 'dryRun' })]));
  });
});

/** What a question cannot be asked without. */
const ASKED: Record<string, string> = { readRoom: '?ageYears=5' };

describe.each(routes.filter(({ method }) => method === 'get').map(called))('$called', ({ route }) => {
  test('shows what is there', async () => {
    expect((await call(route, undefined, {}, ASKED[route.name])).status).toBe(200);
  });
});

/** Made by an absence that released a place; or checks two people first. Both stand in `tests/features/refusals.test.ts`. */
const OTHERWISE = ['replaceAbsent', 'swapPlaces'];

describe.each(
  routes.filter(({ problems, name }) => problems.includes('already-over') && !OTHERWISE.includes(name)).map(called),
)('$called', ({ route }) => {
  test('refuses once it is over', async () => {
    api.clock.set('2026-10-01T08:00:00Z');
    const sample = sampleBody(route.method, route.path, own);
    await refuses(call(route, sample === undefined ? undefined : JSON.stringify(sample), any), 'already-over');
  });
});
