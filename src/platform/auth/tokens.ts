import { createHash, createSecretKey, randomBytes } from 'node:crypto';
import jwt from 'jsonwebtoken';
import { z } from 'zod';
import { refuse } from '../problem.ts';

const ISSUER = 'matside';
const AUDIENCE = 'matside-api';
const STREAM_AUDIENCE = 'matside-stream';
export const ACCESS_SECONDS = 15 * 60;
export const STREAM_TICKET_SECONDS = 12 * 60 * 60;

const Claims = z.object({ sub: z.uuid(), fra: z.uuid(), sid: z.uuid() });
const TicketClaims = Claims.extend({ adr: z.string() });

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
  /**
   * Signs what opens one stream and nothing else, for a browser whose requests cannot carry an access token: good for
   * hours, since a browser connects again with the address that it was given, and worth nothing once the sign-in ends.
   *
   * @param address the stream's path below /v1.
   */
  issueStreamTicket(claims: Claims, address: string): string;
  /** Refuses a ticket as `read` refuses a token, and one for another address. */
  readStreamTicket(ticket: string, address: string): Claims;
}

const refused = (why: string) => refuse('not-signed-in', why);

/** @param secrets the first signs, all verify; never empty. */
export function createTokens(secrets: readonly { kid: string; secret: string }[], now: () => Date): Tokens {
  // As text, jsonwebtoken would try each as a public key first, at every request.
  const keys = secrets.map(({ kid, secret }) => ({ kid, secret: createSecretKey(secret, 'utf8') }));
  const [signing] = keys;
  if (!signing) throw new Error('at least one token key is needed');
  const seconds = () => Math.floor(now().getTime() / 1000);

  const sign = ({ accountId, franchiseId, signInId }: Claims, audience: string, lasts: number, more: object = {}) =>
    jwt.sign(
      { sub: accountId, fra: franchiseId, sid: signInId, iat: seconds(), exp: seconds() + lasts, ...more },
      signing.secret,
      { algorithm: 'HS256', keyid: signing.kid, issuer: ISSUER, audience },
    );

  const verify = (token: string, audience: string, expired: string, invalid: string): unknown => {
    const header = jwt.decode(token, { complete: true })?.header;
    const key = keys.find(({ kid }) => kid === header?.kid);
    if (!key) throw refused('That is not a token of this service; sign in again.');
    try {
      return jwt.verify(token, key.secret, {
        algorithms: ['HS256'],
        issuer: ISSUER,
        audience,
        clockTimestamp: seconds(),
      });
    } catch (error) {
      throw refused(error instanceof jwt.TokenExpiredError ? expired : invalid);
    }
  };

  return {
    issue: (claims) => sign(claims, AUDIENCE, ACCESS_SECONDS),
    read(token) {
      const payload = verify(
        token,
        AUDIENCE,
        'The access token has expired; refresh it.',
        'The access token is not valid; sign in again.',
      );
      const claims = Claims.safeParse(payload);
      if (!claims.success) throw refused('The access token says too little; sign in again.');
      return claimsOf(claims.data);
    },
    issueStreamTicket: (claims, address) => sign(claims, STREAM_AUDIENCE, STREAM_TICKET_SECONDS, { adr: address }),
    readStreamTicket(ticket, address) {
      const expired = 'The stream ticket has expired; ask for a new one.';
      const invalid = 'That is no ticket for this stream; ask for a new one.';
      const claims = TicketClaims.safeParse(verify(ticket, STREAM_AUDIENCE, expired, invalid));
      if (!claims.success || claims.data.adr !== address) throw refused(invalid);
      return claimsOf(claims.data);
    },
  };
}

const claimsOf = ({ sub, fra, sid }: z.infer<typeof Claims>): Claims => ({
  accountId: sub,
  franchiseId: fra,
  signInId: sid,
});

/** 256 bits that only their holder knows, and what is kept of them. */
export function newSecret(): { secret: string; hash: Buffer } {
  const secret = randomBytes(32).toString('base64url');
  return { secret, hash: hashOf(secret) };
}
export const hashOf = (secret: string): Buffer => createHash('sha256').update(secret).digest();
