import { afterAll, beforeAll, expect, test } from 'vitest';
import { forget } from '../src/upkeep.ts';
import { aFranchise } from './support/a-franchise.ts';
import { type Api, openApi } from './support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

test('answers that nobody retries any more are forgotten, and the newer ones kept', async () => {
  const f = await aFranchise(api);
  const key = crypto.randomUUID();
  const add = (name: string, keyed: string) => api.as(f.lead).post('/apparatus', { name }, { key: keyed });
  await add('Trampette', key);
  api.clock.advance({ days: 2 });
  await add('Rings', crypto.randomUUID());
  await forget(api.database.servicePool, api.clock.now());
  expect((await add('Trampette', key)).headers.get('Idempotency-Replay')).toBe('true');
  api.clock.advance({ days: 1 });
  await forget(api.database.servicePool, api.clock.now());
  // The first one is forgotten: the same request is judged anew, and there is such an apparatus by now.
  expect((await add('Trampette', key)).body.type).toBe('/problems/already-exists');
});

test('refresh tokens that have expired are deleted', async () => {
  const f = await aFranchise(api);
  const insert = (hash: string, expires: string) =>
    api.database.ownerPool.query(
      'INSERT INTO refresh_tokens (token_hash, sign_in_id, expires_at) VALUES ($1, $2, $3)',
      [Buffer.from(hash), f.owner.signInId, expires],
    );
  await insert('old', '2026-01-01T00:00:00Z');
  await insert('good', '2027-01-01T00:00:00Z');
  await forget(api.database.servicePool, api.clock.now());
  const { rows } = await api.database.ownerPool.query('SELECT token_hash FROM refresh_tokens WHERE sign_in_id = $1', [
    f.owner.signInId,
  ]);
  expect(rows.map(({ token_hash }) => token_hash.toString())).toEqual(['good']);
});
