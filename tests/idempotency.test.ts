import { afterAll, beforeAll, expect, test } from 'vitest';
import { aFranchise, type Franchise } from './support/a-franchise.ts';
import { type Api, openApi } from './support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
});
beforeAll(async () => {
  f = await aFranchise(api);
});
afterAll(() => api.close());

const gymsCalled = async (name: string) => {
  const { body } = await api.as(f.owner).get('/gyms?limit=200');
  return body.items.filter((gym) => gym.name === name);
};
const gym = (name: string) => ({ name, zone: 'Europe/Dublin' });

test('a request sent again with its key gets the answer of the first, and changes nothing again', async () => {
  const key = crypto.randomUUID();
  const first = await api.as(f.owner).post('/gyms', gym('Again'), { key });
  const second = await api.as(f.owner).post('/gyms', gym('Again'), { key });
  expect([first.status, first.headers.get('Idempotency-Replay')]).toEqual([201, null]);
  expect([second.status, second.headers.get('Idempotency-Replay')]).toEqual([201, 'true']);
  expect(second.body).toEqual(first.body);
  expect(second.headers.get('ETag')).toBe(first.headers.get('ETag'));
  expect(await gymsCalled('Again')).toHaveLength(1);
  const { rows } = await api.database.ownerPool.query('SELECT name FROM events WHERE subject_id = $1', [first.body.id]);
  expect(rows).toEqual([{ name: 'gyms.added' }]);
});

test('eight twins at once are one request: one change, one answer', async () => {
  const key = crypto.randomUUID();
  const answers = await Promise.all(
    Array.from({ length: 8 }, () => api.as(f.owner).post('/gyms', gym('Twins'), { key })),
  );
  expect(answers.map(({ status }) => status)).toEqual(Array(8).fill(201));
  expect(new Set(answers.map(({ text }) => text)).size).toBe(1);
  expect(answers.filter(({ headers }) => headers.get('Idempotency-Replay') === null)).toHaveLength(1);
  expect(await gymsCalled('Twins')).toHaveLength(1);
});

test('a key that came with another body is refused, and the first answer is kept', async () => {
  const key = crypto.randomUUID();
  const first = await api.as(f.owner).post('/gyms', gym('Mine'), { key });
  const other = await api.as(f.owner).post('/gyms', gym('Yours'), { key });
  expect([other.status, other.body.type]).toEqual([422, '/problems/idempotency-key-reused']);
  expect(await gymsCalled('Yours')).toEqual([]);
  expect((await api.as(f.owner).post('/gyms', gym('Mine'), { key })).body).toEqual(first.body);
});

test('a key that came with another address is refused', async () => {
  const key = crypto.randomUUID();
  await api.as(f.owner).post('/gyms', gym('Address'), { key });
  const { status } = await api.as(f.owner).post('/apparatus', { name: 'Trampoline' }, { key });
  expect(status).toBe(422);
});

test('the same key of another account is another key', async () => {
  const key = crypto.randomUUID();
  const elsewhere = await aFranchise(api);
  const mine = await api.as(f.owner).post('/gyms', gym('Shared key'), { key });
  const theirs = await api.as(elsewhere.owner).post('/gyms', gym('Shared key'), { key });
  expect([mine.status, theirs.status]).toEqual([201, 201]);
  expect(theirs.body.id).not.toBe(mine.body.id);
});

test('a refusal is not kept: the retry is judged anew', async () => {
  const key = crypto.randomUUID();
  const name = 'Rings';
  const { body: made } = await api.as(f.lead).post('/apparatus', { name });
  expect((await api.as(f.lead).post('/apparatus', { name }, { key })).status).toBe(409);
  await f.arrange((tx) => tx.execute(`DELETE FROM apparatus WHERE franchise_id = '${f.id}' AND id = '${made.id}'`));
  expect((await api.as(f.lead).post('/apparatus', { name }, { key })).status).toBe(201);
});

test.each(['short', 'x'.repeat(256), 'has a space in the middle'])('"%s" is no key', async (key) => {
  const { status, body } = await api.as(f.owner).post('/gyms', gym('Bad key'), { key });
  expect(status).toBe(422);
  expect(body.errors).toEqual([{ parameter: 'Idempotency-Key', detail: expect.any(String) }]);
  expect(await gymsCalled('Bad key')).toEqual([]);
});

test('what is kept of an answer cannot be read by whoever reads the database', async () => {
  await api.as(f.owner).post('/gyms', gym('Sealed hall'), { key: crypto.randomUUID() });
  const { rows } = await api.database.ownerPool.query<{ answer: Buffer }>('SELECT answer FROM idempotency_keys');
  expect(rows.length).toBeGreaterThan(0);
  for (const { answer } of rows) expect(answer.toString('latin1')).not.toContain('Sealed hall');
});
