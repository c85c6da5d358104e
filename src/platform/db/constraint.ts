import { DatabaseError } from 'pg';

/** The PostgreSQL error behind whatever a library wrapped around it, or null. */
export function databaseError(error: unknown): DatabaseError | null {
  for (let at = error; at instanceof Error; at = at.cause) if (at instanceof DatabaseError) return at;
  return null;
}

const SQLSTATE = {
  unique: '23505',
  reference: '23503',
  exclusion: '23P01',
  check: '23514',
  deadlock: '40P01',
  lockTimeout: '55P03',
  serialization: '40001',
} as const;

/** Is this a violation of that kind? The constraint's name may be missing or carry a suffix, so it is only a hint. */
export const violates = (error: unknown, kind: 'unique' | 'reference' | 'exclusion' | 'check', constraint?: string) => {
  const fault = databaseError(error);
  if (fault?.code !== SQLSTATE[kind]) return false;
  return constraint === undefined || !fault.constraint || fault.constraint.startsWith(constraint);
};

/** Would the same transaction, tried again, have a fair chance? */
export const isTransient = (error: unknown) => {
  const code = databaseError(error)?.code;
  return code === SQLSTATE.deadlock || code === SQLSTATE.lockTimeout || code === SQLSTATE.serialization;
};

/** Thrown to leave a transaction whose first reading no longer holds, and to run it again from the start. */
export class StartOver extends Error {
  constructor() {
    super('what was read before the lock has changed');
  }
}
