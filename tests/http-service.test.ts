import { afterEach, expect, test } from 'vitest';
import { aFranchise, aMember } from './support/a-franchise.ts';
import { type Api, type ApiOptions, openApi } from './support/api.ts';

let api: Api;
const open = async (options: ApiOptions = {}) => {
  api = await openApi(options);
  return api;
};
afterEach(() => api.close());

test('it says whether it lives, and whether it can serve', async () => {
  let ready = true;
  await open({ isReady: async () => ready });
  expect(await api.send('GET', '/health/live')).toMatchObject({ status: 200, body: { status: 'live' } });
  expect(await api.send('GET', '/health/ready')).toMatchObject({ status: 200, body: { status: 'ready' } });
  ready = false;
  expect(await api.send('GET', '/health/ready')).toMatchObject({ status: 503, body: { status: 'not ready' } });
  expect(await api.send('GET', '/health/live')).toMatchObject({ status: 200 });
});

test('an account over its limit is asked to wait, and told how long; others are not held up', async () => {
  await open({ limits: { requestsAMinute: 2 } });
  const f = await aFranchise(api);
  for (const left of [1, 0]) {
    const { status, headers } = await api.as(f.owner).get('/gyms');
    expect(status).toBe(200);
    expect(headers.get('RateLimit')).toContain(`r=${left}`);
  }
  const { status, headers, body } = await api.as(f.owner).get('/gyms');
  expect([status, body.type]).toEqual([429, '/problems/too-many-requests']);
  expect(Number(headers.get('Retry-After'))).toBeGreaterThan(0);
  expect(headers.get('RateLimit-Policy')).toContain('q=2');
  expect((await api.as(f.lead).get('/gyms')).status).toBe(200);
});

test('what breaks on our side is told without what it was, and nothing is kept of the change', async () => {
  await open({ mayBreak: true });
  const f = await aFranchise(api);
  await api.database.ownerPool.query('ALTER TABLE events RENAME TO events_elsewhere');
  const { status, body, text } = await api.as(f.owner).post('/gyms', { name: 'Harbour hall', zone: 'Europe/Dublin' });
  expect([status, body.type]).toEqual([500, '/problems/internal']);
  expect(text).not.toMatch(/events|relation|insert|Harbour/i);
  await api.database.ownerPool.query('ALTER TABLE events_elsewhere RENAME TO events');
  expect((await api.as(f.owner).get('/gyms')).body.items).toHaveLength(1);
});

test('a lock that somebody holds on to ends in "busy", to be tried again', async () => {
  await open();
  const f = await aFranchise(api);
  const holder = await api.database.ownerPool.connect();
  await holder.query('BEGIN');
  await holder.query('LOCK TABLE gyms IN ACCESS EXCLUSIVE MODE');
  const asking = api.as(f.owner).post('/gyms', { name: 'Harbour hall', zone: 'Europe/Dublin' });
  const { status, headers, body } = await asking.finally(async () => {
    await holder.query('ROLLBACK');
    holder.release();
  });
  expect([status, body.type]).toEqual([503, '/problems/busy']);
  expect(headers.get('Retry-After')).toBe('2');
  expect((await api.as(f.owner).post('/gyms', { name: 'Harbour hall', zone: 'Europe/Dublin' })).status).toBe(201);
});

test('a member without any role is signed in, and may do nothing', async () => {
  await open();
  const f = await aFranchise(api);
  const nobody = await aMember(f, {});
  expect((await api.as(nobody).get('/gyms')).status).toBe(403);
  expect((await api.as(nobody).get(`/gyms/${f.gym.id}`)).status).toBe(404);
});
