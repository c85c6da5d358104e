import { createHmac } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import bcrypt from 'bcrypt';
import jwt from 'jsonwebtoken';
import { describe, expect, test } from 'vitest';
import { z } from 'zod';
import { createPasswords } from '../src/platform/auth/passwords.ts';
import { createTokens } from '../src/platform/auth/tokens.ts';

const sourced = { source: z.string(), edition: z.string(), provenance: z.enum(['seen', 'memory']) };
const Vectors = z.object({
  sources: z.array(z.object({ id: z.string(), title: z.string() })),
  jws_jwt: z.tuple([
    z.object({
      ...sourced,
      id: z.literal('jws-hs256-a1'),
      key_base64url: z.string(),
      header_b64: z.string(),
      payload_b64: z.string(),
      signature_b64: z.string(),
      compact: z.string(),
      claims: z.record(z.string(), z.unknown()),
    }),
    z.object({ ...sourced, id: z.literal('jwt-unsecured-6.1'), compact: z.string() }),
  ]),
  bcrypt: z.array(
    z.object({ ...sourced, password: z.string().optional(), password_hex: z.string().optional(), hash: z.string() }),
  ),
});

const file = new URL('reference/rfc-vectors.json', import.meta.url);
const vectors = Vectors.parse(JSON.parse(await readFile(file, 'utf8')));
const [signed, unsecured] = vectors.jws_jwt;

const named = ({ source, edition, provenance }: z.output<z.ZodObject<typeof sourced>>) => {
  const title = vectors.sources.find(({ id }) => id === source)?.title ?? source;
  return `${title} (${edition}${provenance === 'memory' ? ', from memory' : ''})`;
};

describe(`HS256, ${named(signed)}`, () => {
  const key = Buffer.from(signed.key_base64url, 'base64url');
  /** A second before it ends. */
  const inTime = { algorithms: ['HS256' as const], clockTimestamp: 1300819379 };

  test('the signature is over the very bytes that were sent', () => {
    const input = `${signed.header_b64}.${signed.payload_b64}`;
    expect(createHmac('sha256', key).update(input).digest('base64url')).toBe(signed.signature_b64);
    expect(`${input}.${signed.signature_b64}`).toBe(signed.compact);
  });

  test('the library that reads our tokens verifies it', () => {
    expect(jwt.verify(signed.compact, key, inTime)).toEqual(signed.claims);
  });

  test('it is refused when its time is over, by another key, and with a changed claim', () => {
    const verify =
      (token: string, secret = key, more = {}) =>
      () =>
        jwt.verify(token, secret, { ...inTime, ...more });
    expect(verify(signed.compact, key, { clockTimestamp: 1300819380 })).toThrow('jwt expired');
    expect(verify(signed.compact, Buffer.alloc(64))).toThrow('invalid signature');
    const forged = Buffer.from('{"iss":"joe","exp":9999999999}').toString('base64url');
    expect(verify(`${signed.header_b64}.${forged}.${signed.signature_b64}`)).toThrow('invalid signature');
  });
});

test(`the unsecured token of ${named(unsecured)} is refused`, () => {
  expect(() => jwt.verify(unsecured.compact, 'any key', { algorithms: ['HS256'] })).toThrow();
  const tokens = createTokens([{ kid: 'any', secret: 'a secret of thirty-two characters' }], () => new Date(0));
  expect(() => tokens.read(unsecured.compact)).toThrow('not a token of this service');
});

describe('bcrypt', () => {
  const texts = vectors.bcrypt.filter(({ password }) => password !== undefined);
  const raw = vectors.bcrypt.filter(({ password_hex }) => password_hex !== undefined);
  const passwords = createPasswords(4);

  test.each(texts.map((one) => [one.password ?? '', named(one), one.hash]))(
    '"%s" fits its hash, and nothing else does: %s',
    async (password, _source, hash) => {
      expect(await passwords.fits(password, hash)).toBe(true);
      expect(await passwords.fits(`.${password}`, hash)).toBe(false);
    },
  );

  test.each(raw.map((one) => [one.password_hex ?? '', one.hash, named(one)]))(
    'the bytes %s fit %s: %s',
    async (hex, hash) => {
      // $2b$ and $2y$ are two names of one algorithm; we write $2b$.
      expect(await bcrypt.compare(Buffer.from(hex, 'hex'), hash.replace('$2y$', '$2b$'))).toBe(true);
    },
  );

  test('a password of 72 bytes is hashed whole, and a longer one is not hashed at all', async () => {
    const longest = 'é'.repeat(36);
    const hash = await passwords.hash(longest);
    expect(hash).toMatch(/^\$2b\$04\$/);
    expect(await passwords.fits(longest, hash)).toBe(true);
    expect(await passwords.fits(`${longest.slice(0, -1)}e`, hash)).toBe(false);
    await expect(passwords.hash(`${longest}x`)).rejects.toThrow(RangeError);
  });

  test('an account without a password fits nothing', async () => {
    expect(await passwords.fits('no account has this one', null)).toBe(false);
  });
});
