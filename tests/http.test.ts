import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PROBLEMS } from '../src/platform/problem.ts';
import { aFranchise, type Franchise } from './support/a-franchise.ts';
import { type Api, openApi } from './support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
});
afterAll(() => api.close());

const authorization = () => ({ Authorization: `Bearer ${api.tokens.issue(f.owner)}` });
/** Posts a gym with a body as it stands. */
const postGym = (body: string | Buffer, headers: Record<string, string> = {}) =>
  api.send('POST', '/v1/gyms', {
    headers: { ...authorization(), 'Content-Type': 'application/json', ...headers },
    body,
  });
const aGym = { name: 'Harbour hall', zone: 'Europe/Dublin' };
const gymsNow = async () => (await api.as(f.owner).get('/gyms?limit=200')).body.items.length;

describe('a problem document', () => {
  test('has the shape of RFC 9457, and the request’s id (members as in its example "out of credit", from memory)', async () => {
    const requestId = '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11';
    const { status, headers, body } = await api
      .as(f.owner)
      .get('/gyms?limit=0', { headers: { 'X-Request-Id': requestId } });
    expect(status).toBe(422);
    expect(headers.get('Content-Type')).toBe('application/problem+json');
    expect(headers.get('X-Request-Id')).toBe(requestId);
    expect(headers.get('Cache-Control')).toBe('no-store');
    expect(body).toEqual({
      type: '/problems/invalid-request',
      title: PROBLEMS['invalid-request'].title,
      status: 422,
      detail: expect.stringMatching(/^limit: /),
      instance: `urn:uuid:${requestId}`,
      errors: [{ parameter: 'limit', detail: expect.any(String) }],
    });
  });

  test('gets an id of ours when the one sent is no id', async () => {
    const { headers } = await api.as(f.owner).get('/gyms', { headers: { 'X-Request-Id': 'x'.repeat(500) } });
    expect(headers.get('X-Request-Id')).toMatch(/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/);
  });
});

describe('a body is refused', () => {
  test.each([
    ['that is cut off', '{"name": "Harb', 400, 'malformed-json'],
    ['that has a comma too many', '{"name": "Harbour hall",}', 400, 'malformed-json'],
    ['of over 1 MiB', JSON.stringify({ ...aGym, name: 'x'.repeat(1024 * 1024) }), 413, 'body-too-large'],
    ['that is no object', '"Harbour hall"', 422, 'invalid-request'],
    ['that is null', 'null', 422, 'invalid-request'],
    ['that goes 100,000 deep', `${'['.repeat(100_000)}${']'.repeat(100_000)}`, 422, 'invalid-request'],
  ])('%s', async (_, sent, expected, problem) => {
    const before = await gymsNow();
    const { status, body } = await postGym(sent, { 'Idempotency-Key': crypto.randomUUID() });
    expect([status, body.type]).toEqual([expected, `/problems/${problem}`]);
    expect(await gymsNow()).toBe(before);
  });

  test.each([
    ['of another type', { 'Content-Type': 'text/plain' }],
    ['of a form', { 'Content-Type': 'application/x-www-form-urlencoded' }],
    ['in another charset', { 'Content-Type': 'application/json; charset=latin1' }],
    ['in an unknown encoding', { 'Content-Encoding': 'compress' }],
  ])('%s', async (_, headers) => {
    const { status, body } = await postGym(JSON.stringify(aGym), headers);
    expect([status, body.type]).toEqual([415, '/problems/wrong-content-type']);
  });

  test('without a type', async () => {
    const { status, body } = await api.send('POST', '/v1/gyms', {
      headers: authorization(),
      body: Buffer.from(JSON.stringify(aGym)),
    });
    expect([status, body.type]).toEqual([415, '/problems/wrong-content-type']);
  });

  test('that is not there', async () => {
    const { status, body } = await api.as(f.owner).post('/gyms');
    expect([status, body.type]).toEqual([422, '/problems/invalid-request']);
    expect(body.errors).toEqual([{ pointer: '', detail: expect.any(String) }]);
  });

  test('that says it is gzip and is not', async () => {
    const { status, body } = await postGym(JSON.stringify(aGym), { 'Content-Encoding': 'gzip' });
    expect([status, body.type]).toEqual([400, '/problems/malformed-json']);
  });

  test('that unpacks to over 1 MiB', async () => {
    const bomb = gzipSync(JSON.stringify({ ...aGym, name: 'x'.repeat(20_000_000) }));
    const { status, body } = await postGym(bomb, { 'Content-Encoding': 'gzip' });
    expect([status, body.type]).toEqual([413, '/problems/body-too-large']);
  });

  test.each([
    ['a field that there is none of', { ...aGym, colour: 'blue' }, '/colour'],
    ['a field missing', { zone: 'Europe/Dublin' }, '/name'],
    ['a name of spaces', { ...aGym, name: '   ' }, '/name'],
    ['a NUL character', { ...aGym, name: 'Harbour\u0000hall' }, '/name'],
    ['a name that is too long', { ...aGym, name: 'x'.repeat(121) }, '/name'],
    ['a zone that is none', { ...aGym, zone: 'Atlantis/Harbour' }, '/zone'],
    ['a number as text', { ...aGym, confirmWindowDays: '7' }, '/confirmWindowDays'],
    ['a number out of range', { ...aGym, confirmWindowDays: 1e300 }, '/confirmWindowDays'],
  ])('with %s, naming it', async (_, sent, pointer) => {
    const { status, body } = await api.as(f.owner).post('/gyms', sent);
    expect(status).toBe(422);
    expect(body.errors.map((fault) => fault.pointer)).toContain(pointer);
  });

  test('with several faults, naming each', async () => {
    const { body } = await api.as(f.owner).post('/gyms', { name: '', zone: 'nowhere', confirmWindowDays: -1 });
    expect(body.errors.map((fault) => fault.pointer).sort()).toEqual(
      expect.arrayContaining(['/confirmWindowDays', '/name', '/zone']),
    );
  });

  test.each(['__proto__', 'constructor', 'prototype'])('that tries to reach %s', async (name) => {
    const { status } = await postGym(`{"name": "Harbour hall", "zone": "Europe/Dublin", "${name}": {"isOwner": true}}`);
    expect(status).toBe(422);
    expect(Object.hasOwn(Object.prototype, 'isOwner')).toBe(false);
  });

  test('a body of just under 1 MiB is read', async () => {
    const { status } = await postGym(
      `{"name": "Harbour hall", "zone": "Europe/Dublin"${' '.repeat(1024 * 1024 - 60)}}`,
    );
    expect(status).toBe(201);
  });
});

describe('a query is refused', () => {
  test.each([
    ['limit=201', 'limit'],
    ['limit=ten', 'limit'],
    ['limit=1&limit=2', 'limit'],
    ['sort=name', 'sort'],
    ['cursor=not-a-cursor', 'cursor'],
    [`cursor=${Buffer.from('["x"]').toString('base64url')}`, 'cursor'],
    [`cursor=${Buffer.from('{"a":1}').toString('base64url')}`, 'cursor'],
    ['cursor=%00', 'cursor'],
    ['dryRun=true', 'dryRun'],
    ['__proto__=1', '__proto__'],
  ])('%s, naming the parameter', async (query, parameter) => {
    const { status, body } = await api.as(f.owner).get(`/gyms?${query}`);
    expect(status).toBe(422);
    expect(body.errors.map((fault) => fault.parameter)).toEqual([parameter]);
  });
});

describe('an address', () => {
  test.each(['/v1/nothing-here', '/v1/gyms/', '/v2/gyms', '/V1/gyms', '/v1/%E0%A4%A', '//gyms'])(
    '%s leads nowhere',
    async (path) => {
      const { status, body } = await api.send('GET', path, { headers: authorization() });
      expect([status, body.type]).toEqual([404, '/problems/no-such-route']);
    },
  );

  test.each(['1', 'null', '%00', '%E0%A4%A', "'; DROP TABLE gyms; --", '00000000-0000-7000-8000-000000000000'])(
    'with the gym %s finds none',
    async (id) => {
      const { status, body } = await api.as(f.owner).get(`/gyms/${id.replaceAll(' ', '%20')}/areas`);
      expect([status, body.type]).toEqual([404, '/problems/not-found']);
    },
  );

  test('takes an id in capitals', async () => {
    const { status, body } = await api.as(f.owner).get(`/gyms/${f.gym.id.toUpperCase()}`);
    expect([status, body.id]).toEqual([200, f.gym.id]);
  });
});

describe('a method', () => {
  test('that a route does not take is refused, and those that it takes are named', async () => {
    const { status, body, headers } = await api.send('DELETE', '/v1/gyms', { headers: authorization() });
    expect([status, body.type]).toEqual([405, '/problems/method-not-allowed']);
    expect(headers.get('Allow')).toBe('GET, HEAD, OPTIONS, POST');
  });

  test('OPTIONS names them too', async () => {
    const { status, headers, text } = await api.send('OPTIONS', '/v1/gyms');
    expect([status, headers.get('Allow'), text]).toEqual([204, 'GET, HEAD, OPTIONS, POST', '']);
  });

  test('HEAD answers what GET would, without the body', async () => {
    const got = await api.as(f.owner).get(`/gyms/${f.gym.id}`);
    const { status, headers, text } = await api.send('HEAD', `/v1/gyms/${f.gym.id}`, { headers: authorization() });
    expect([status, text, headers.get('ETag')]).toEqual([200, '', got.headers.get('ETag')]);
    expect((await api.send('HEAD', `/v1/gyms/${f.gym.id}`)).status).toBe(401);
  });
});

describe('a page of a list', () => {
  test('names the next in its body and in a Link header (RFC 8288), until the last', async () => {
    const several = await aFranchise(api, { gyms: 5 });
    const seen: string[] = [];
    let path = '/v1/gyms?limit=2';
    for (let pages = 1; ; pages += 1) {
      const { body, headers } = await api.send('GET', path, {
        headers: { Authorization: `Bearer ${api.tokens.issue(several.owner)}` },
      });
      seen.push(...body.items.map(({ id }) => id));
      const next = /^<([^>]+)>; rel="next"$/.exec(headers.get('Link') ?? '')?.[1];
      if (!next) {
        expect([pages, body.next, headers.get('Link')]).toEqual([3, null, null]);
        break;
      }
      expect(next).toBe(`/v1/gyms?limit=2&cursor=${body.next}`);
      path = next;
    }
    expect(seen).toEqual(several.gyms.map(({ id }) => id));
  });
});

describe('If-Match', () => {
  const change = (ifMatch?: number | string) =>
    api.as(f.owner).patch(`/gyms/${f.gym.id}`, { name: 'Quay hall' }, ifMatch === undefined ? {} : { ifMatch });

  test('is asked for where a second writer could lose something', async () => {
    const { status, body } = await change();
    expect([status, body.type]).toEqual([428, '/problems/if-match-required']);
  });

  test('with another revision, another form, or "*" is refused, and nothing changes', async () => {
    const before = await api.as(f.owner).get(`/gyms/${f.gym.id}`);
    for (const value of ['"r99"', '"x"', 'r1', 'W/"r1"', '*', '"r99999999999999"', '"r4294967296"', '"r01"']) {
      const { status, body } = await change(value);
      expect([value, status, body.type]).toEqual([value, 412, '/problems/changed-meanwhile']);
    }
    expect((await api.as(f.owner).get(`/gyms/${f.gym.id}`)).body).toEqual(before.body);
  });

  test('with the revision that was read lets the first of two writers through', async () => {
    const { body, headers } = await api.as(f.owner).get(`/gyms/${f.gym.id}`);
    const answers = await Promise.all([change(headers.get('ETag') ?? ''), change(body.revision)]);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
    const written = answers.find(({ status }) => status === 200);
    expect(written?.body.revision).toBe(body.revision + 1);
    expect(written?.headers.get('ETag')).toBe(`"r${body.revision + 1}"`);
  });
});
