import bcrypt from 'bcrypt';
import { createTurns } from '../turns.ts';

const COST = 12;
const AT_ONCE = 2;
const MOST_WAITING = 50;
/** bcrypt looks at no more than this; a longer password is refused rather than cut. */
export const LONGEST_BYTES = 72;

export interface Passwords {
  /** Throws a RangeError on a password of over 72 bytes: whoever takes passwords in refuses it first. */
  hash(password: string): Promise<string>;
  /** False for a wrong password, and for an account that has none; takes as long either way. */
  fits(password: string, hash: string | null): Promise<boolean>;
}

/**
 * Hashing shares one thread pool with files and name look-ups, so only a few run at once and only so many wait:
 * beyond that the caller hears `busy`.
 */
export function createPasswords(cost: number = COST): Passwords {
  const inTurn = createTurns(AT_ONCE, MOST_WAITING);
  const unmatchable = bcrypt.hash('no account has this one', cost);

  return {
    async hash(password) {
      if (Buffer.byteLength(password) > LONGEST_BYTES) throw new RangeError('a password of over 72 bytes would be cut');
      return inTurn(() => bcrypt.hash(password, cost));
    },
    fits: (password, hash) =>
      inTurn(async () => (await bcrypt.compare(password, hash ?? (await unmatchable))) && hash !== null),
  };
}
