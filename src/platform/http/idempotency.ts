import { createCipheriv, createDecipheriv, createHash, hkdfSync, randomBytes } from 'node:crypto';
import { and, eq } from 'drizzle-orm';
import type { Context } from '../context.ts';
import { ours } from '../db/tenant.ts';
import { refuse } from '../problem.ts';
import { idempotencyKeys } from './idempotency-table.ts';
import type { AnyReply } from './route.ts';

const KEY = /^[\x21-\x7e]{16,255}$/;

/** The header's value, checked; null when the client sent none. */
export function readIdempotencyKey(value: string | undefined): string | null {
  if (value === undefined) return null;
  if (KEY.test(value)) return value;
  const detail = 'Expected 16 to 255 visible ASCII characters; a UUID does.';
  throw refuse('invalid-request', 'The Idempotency-Key cannot be used.', {
    errors: [{ parameter: 'Idempotency-Key', detail }],
  });
}

const sha256 = (text: string) => createHash('sha256').update(text).digest();

/** What makes two requests the same one. */
export const fingerprintOf = (method: string, url: string, ifMatch: string | undefined, body: unknown): Buffer =>
  sha256(JSON.stringify([method, url, ifMatch ?? null, body ?? null]));

// An answer may hold personal data or a one-time link, so it is sealed with what only the client has: its key.
const sealingKey = (key: string, accountId: string) => Buffer.from(hkdfSync('sha256', key, accountId, 'answer', 32));

function seal(key: string, accountId: string, answer: AnyReply): Buffer {
  const nonce = randomBytes(12);
  const cipher = createCipheriv('aes-256-gcm', sealingKey(key, accountId), nonce);
  const sealed = Buffer.concat([cipher.update(JSON.stringify(answer), 'utf8'), cipher.final()]);
  return Buffer.concat([nonce, cipher.getAuthTag(), sealed]);
}

function open(key: string, accountId: string, sealed: Buffer): AnyReply {
  const decipher = createDecipheriv('aes-256-gcm', sealingKey(key, accountId), sealed.subarray(0, 12));
  decipher.setAuthTag(sealed.subarray(12, 28));
  return JSON.parse(Buffer.concat([decipher.update(sealed.subarray(28)), decipher.final()]).toString('utf8'));
}

/**
 * Runs `work` once for this key, inside the transaction of the change: the answer and the change are kept together
 * or not at all. A twin that comes while the first is under way waits for it, then gets the same answer. Refusals
 * are not kept: they changed nothing, and a retry is judged anew.
 */
export async function once(
  ctx: Context & { accountId: string },
  key: string,
  fingerprint: Buffer,
  work: () => Promise<AnyReply>,
): Promise<{ answer: AnyReply; replayed: boolean }> {
  const { franchiseId, accountId } = ctx;
  const keyHash = sha256(key);
  const mine = and(
    ours(ctx, idempotencyKeys),
    eq(idempotencyKeys.accountId, accountId),
    eq(idempotencyKeys.keyHash, keyHash),
  );
  const taken = await ctx.tx
    .insert(idempotencyKeys)
    .values({ franchiseId, accountId, keyHash, fingerprint, usedOn: ctx.now.toISOString().slice(0, 10) })
    .onConflictDoNothing()
    .returning({ accountId: idempotencyKeys.accountId });
  if (taken.length === 0) {
    const [before] = await ctx.tx.select().from(idempotencyKeys).where(mine);
    if (!before?.answer) throw new Error('an idempotency key without its answer was kept');
    if (!before.fingerprint.equals(fingerprint)) {
      throw refuse('idempotency-key-reused', 'This key was first sent with another method, address or body.');
    }
    return { answer: open(key, accountId, before.answer), replayed: true };
  }
  const answer = await work();
  await ctx.tx
    .update(idempotencyKeys)
    .set({ answer: seal(key, accountId, answer) })
    .where(mine);
  return { answer, replayed: false };
}
