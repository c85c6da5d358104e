import { readFile } from 'node:fs/promises';
import jwt from 'jsonwebtoken';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { z } from 'zod';
import { createTokens } from '../src/platform/auth/tokens.ts';
import { aFranchise, type Franchise } from './support/a-franchise.ts';
import { type Api, openApi, TOKEN_KEYS } from './support/api.ts';

let api: Api;
let f: Franchise;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
});
afterAll(() => api.close());

const { now, old } = TOKEN_KEYS;
const withAuthorization = (value: string) => api.send('GET', '/v1/gyms', { headers: { Authorization: value } });
const refused = async (authorization: string) => {
  const { status, headers, body } = await withAuthorization(authorization);
  expect([status, body.type]).toEqual([401, '/problems/not-signed-in']);
  expect(headers.get('WWW-Authenticate')).toBe('Bearer realm="matside"');
};

/** A token that is right but for what is given. */
function aToken(claims: object = {}, options: jwt.SignOptions = {}, secret = now.secret): string {
  const iat = Math.floor(api.clock.now().getTime() / 1000);
  const right = { sub: f.owner.accountId, fra: f.id, sid: f.owner.signInId, iat, exp: iat + 60 };
  const header = { algorithm: 'HS256' as const, keyid: now.kid };
  return jwt.sign({ iss: 'matside', aud: 'matside-api', ...right, ...claims }, secret, { ...header, ...options });
}

test('a right one is let in, whatever the case of "Bearer"', async () => {
  expect((await withAuthorization(`Bearer ${aToken()}`)).status).toBe(200);
  expect((await withAuthorization(`bearer ${aToken()}`)).status).toBe(200);
});

test('one signed by the key before is let in still', async () => {
  expect((await withAuthorization(`Bearer ${aToken({}, { keyid: old.kid }, old.secret)}`)).status).toBe(200);
});

test('none at all is refused', async () => {
  expect((await api.anyone.get('/gyms')).status).toBe(401);
});

test.each([
  'Bearer',
  'Bearer ',
  'Bearer a.b.c',
  'Bearer null',
  'Basic b3duZXI6c2VjcmV0',
  'Bearer x y',
  `Bearer ${'x'.repeat(8000)}`,
])('"%s" is refused', refused);

test('one that has run out is refused, at the very second', async () => {
  const exp = Math.floor(api.clock.now().getTime() / 1000);
  await refused(`Bearer ${aToken({ exp })}`);
});

test('one of this service lasts a quarter of an hour', async () => {
  const token = api.tokens.issue(f.owner);
  const issued = api.clock.now();
  api.clock.advance({ minutes: 14 });
  expect((await withAuthorization(`Bearer ${token}`)).status).toBe(200);
  api.clock.advance({ minutes: 1 });
  await refused(`Bearer ${token}`);
  api.clock.set(issued);
});

test.each<[string, () => string]>([
  ['an unknown key id', () => aToken({}, { keyid: 'test-new' })],
  ['no key id', () => aToken({}, { keyid: '' })],
  ['another secret', () => aToken({}, {}, 'a-key-that-somebody-else-thought-of')],
  ['one key’s id and the other’s secret', () => aToken({}, { keyid: old.kid })],
  ['another algorithm of the same family', () => aToken({}, { algorithm: 'HS512' })],
  ['no algorithm', () => unsigned({ alg: 'none', typ: 'JWT', kid: now.kid })],
  ['no algorithm, in other letters', () => unsigned({ alg: 'nOnE', typ: 'JWT', kid: now.kid })],
  ['a changed payload', () => aToken().replace(/\.[^.]+\./, `.${aToken({ sub: f.lead.accountId }).split('.')[1]}.`)],
  ['another audience', () => aToken({ aud: 'somebody-elses-api' })],
  ['another issuer', () => aToken({ iss: 'somebody-else' })],
  ['a time before which it is not good', () => aToken({ nbf: Math.floor(api.clock.now().getTime() / 1000) + 60 })],
  ['no franchise', () => aToken({ fra: undefined })],
  ['an account that is no id', () => aToken({ sub: 'owner' })],
  ['another franchise than its sign-in', () => aToken({ fra: crypto.randomUUID() })],
  ['somebody else’s sign-in', () => aToken({ sid: f.lead.signInId })],
])('one with %s is refused', async (_, token) => {
  await refused(`Bearer ${token()}`);
});

function unsigned(header: object): string {
  const encode = (value: object) => Buffer.from(JSON.stringify(value)).toString('base64url');
  const [, payload] = aToken().split('.');
  return `${encode(header)}.${payload}.`;
}

const Vectors = z.object({
  jws_jwt: z.array(z.object({ id: z.string(), compact: z.string(), key_base64url: z.string().optional() })),
});
const vectors = Vectors.parse(
  JSON.parse(await readFile(new URL('reference/rfc-vectors.json', import.meta.url), 'utf8')),
);

// RFC 7515 A.1 and RFC 7519 6.1, both from memory.
test.each(vectors.jws_jwt)('the published token $id is refused: it is not of this service', async ({ compact }) => {
  await refused(`Bearer ${compact}`);
});

test('the published token of RFC 7515 A.1 (from memory) is refused even where its key and its time are ours: it has no key id', () => {
  const { compact, key_base64url: key } = vectors.jws_jwt.find(({ id }) => id === 'jws-hs256-a1')!;
  const secret = Buffer.from(key ?? '', 'base64url').toString('latin1');
  const tokens = createTokens([{ kid: 'a1', secret }], () => new Date('2011-03-22T18:00:00Z'));
  expect(() => tokens.read(compact)).toThrow('not a token of this service');
});
