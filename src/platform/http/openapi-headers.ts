import { z } from 'zod';
import { LANGUAGES } from '../language.ts';

// The headers that requests and answers share, as the OpenAPI document has them.

const text = (maxLength: number) => ({ type: 'string' as const, maxLength, pattern: '^[ -~]*$' });
/** Each described once, under the document's components. */
export const HEADERS = {
  'RateLimit-Policy': { description: 'The limit and its window', schema: text(200) },
  RateLimit: { description: 'What is left, and until when', schema: text(200) },
  'Retry-After': { description: 'Seconds to wait', schema: text(10) },
  'X-Request-Id': { description: 'The request, as the log and a problem’s `instance` name it', schema: text(36) },
  ETag: { description: 'The revision, to be sent as If-Match', schema: text(20) },
  'Idempotency-Replay': { description: '"true" when this is the answer given before to the same key', schema: text(4) },
  'Content-Language': {
    description: 'What the sentences are written in',
    schema: { ...text(2), enum: [...LANGUAGES] },
  },
  Vary: { description: 'The request’s headers that the answer depends on: Accept-Language', schema: text(100) },
  'WWW-Authenticate': { description: 'How to sign in', schema: text(100) },
};
/** Those of every answer, and more. */
export const headers = (...names: (keyof typeof HEADERS)[]) =>
  Object.fromEntries(
    ['RateLimit-Policy', 'RateLimit', 'X-Request-Id', ...names].map((name) => [
      name,
      { $ref: `#/components/headers/${name}` },
    ]),
  );

export const acceptLanguage = z
  .string()
  .max(1000)
  .regex(/^[ -~]*$/)
  .optional()
  .meta({
    description: `What sentences for people are to be written in (RFC 9110, with q-values), of: ${LANGUAGES.join(', ')}; English where none of them is asked for. Titles of problems, and faults in a request, are English.`,
    example: 'de-AT, en;q=0.8',
    param: { id: 'AcceptLanguage' },
  });

export const dryRun = z
  .enum(['true', 'false'])
  .optional()
  .meta({
    description: 'Ask it as a question: the same checks and the same answer, and nothing is kept',
    param: { id: 'DryRun' },
  });

export const idempotencyKey = z
  .string()
  .regex(/^[!-~]{16,255}$/)
  .min(16)
  .max(255)
  .optional()
  .meta({
    description: 'A new value for each new request (a UUID): a retry with the same one is not a second change',
    param: { id: 'IdempotencyKey' },
  });

export const ifMatch = z
  .string()
  .max(12)
  .regex(/^"r[1-9]\d{0,8}"$/)
  .meta({ description: 'The ETag that was read', example: '"r3"', param: { id: 'IfMatch' } });

export const lastEventId = z
  .string()
  .max(43)
  .regex(/^[\w-]{43}$/)
  .optional()
  .meta({
    description: 'The id of the last message that was read: nothing is sent until there is something newer',
    param: { id: 'LastEventId' },
  });
