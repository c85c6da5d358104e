import { createHash, randomBytes } from 'node:crypto';
import jwt from 'jsonwebtoken';
import { z } from 'zod';
import { refuse } from '../problem.ts';

const ISSUER = 'matside';
const AUDIENCE = 'matside-api';
export const ACCESS_SECONDS = 15 * 60;

const Claims = z.object({ sub: z.uuid(), fra: z.uuid(), sid: z.uuid() });

/** Who a token speaks for: an account, in one franchise, by one sign-in. */
export interface Claims {
  accountId: string;
  franchiseId: string;
  signInId: string;
}

export interface Tokens {
  /** A signed access token (RFC 7519, HS256), good for a quarter of an hour. */
  issue(claims: Claims): string;
  /** Refuses a token that is malformed, expired, signed by an unknown key, or not meant for this service. */
  read(token: string): Claims;
}

const refused = (why: string) => refuse('not-signed-in', why);

/** @param keys the first signs, all verify; never empty. */
export function createTokens(keys: readonly { kid: string; secret: string }[], now: () => Date): Tokens {
  const [signing] = keys;
  if (!signing) throw new Error('at least one token key is needed');
  const seconds = () => Math.floor(now().getTime() / 1000);

  return {
    issue: ({ accountId, franchiseId, signInId }) =>
      jwt.sign(
        { sub: accountId, fra: franchiseId, sid: signInId, iat: seconds(), exp: seconds() + ACCESS_SECONDS },
        signing.secret,
        { algorithm: 'HS256', keyid: signing.kid, issuer: ISSUER, audience: AUDIENCE },
      ),
    read(token) {
      const header = jwt.decode(token, { complete: true })?.header;
      const key = keys.find(({ kid }) => kid === header?.kid);
      if (!key) throw refused('That is not a token of this service; sign in again.');
      let payload: unknown;
      try {
        payload = jwt.verify(token, key.secret, {
          algorithms: ['HS256'],
          issuer: ISSUER,
          audience: AUDIENCE,
          clockTimestamp: seconds(),
        });
      } catch (error) {
        throw refused(
          error instanceof jwt.TokenExpiredError
            ? 'The access token has expired; refresh it.'
            : 'The access token is not valid; sign in again.',
        );
      }
      const claims = Claims.safeParse(payload);
      if (!claims.success) throw refused('The access token says too little; sign in again.');
      return { accountId: claims.data.sub, franchiseId: claims.data.fra, signInId: claims.data.sid };
    },
  };
}

/** 256 bits that only their holder knows, and what is kept of them. */
export function newSecret(): { secret: string; hash: Buffer } {
  const secret = randomBytes(32).toString('base64url');
  return { secret, hash: hashOf(secret) };
}
export const hashOf = (secret: string): Buffer => createHash('sha256').update(secret).digest();
