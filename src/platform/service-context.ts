import type { Context } from './context.ts';
import type { Tx } from './db/tenant.ts';
import { recorder } from './events/record.ts';
import { newId } from './ids.ts';

/** The service acting by itself in a franchise: the sweep, the seed. It is nobody, and is asked for no permission. */
export function serviceContext(tx: Tx, franchiseId: string, now: Date): Context {
  const facts = { tx, franchiseId, accountId: null, personId: null, roles: [], requestId: newId(), now };
  return { ...facts, record: recorder(facts) };
}
