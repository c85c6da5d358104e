import type { Context } from '../platform/context.ts';
import { settledOnWire } from './describe.ts';
import { type CoverLock, lockAllCover } from './lock.ts';
import { asFact } from './settle.ts';
import type { SettledOnWire } from './wire.ts';

/**
 * A fact about no certain day, from the lock to the words: `write` always stands, and the answer says beside it which
 * places were given up and which blocks lost their confirmation, in the same transaction.
 */
export const undatedFact = <T extends object>(ctx: Context, write: (lock: CoverLock) => Promise<T>) =>
  factAbout(ctx, [], write);

/** The same for a fact about certain people and nobody else: only the days on which they have a place are judged. */
export async function factAbout<T extends object>(
  ctx: Context,
  people: readonly string[],
  write: (lock: CoverLock) => Promise<T>,
): Promise<T & { settled: SettledOnWire }> {
  const lock = await lockAllCover(ctx, people);
  const { done, settled } = await asFact(ctx, lock, () => write(lock));
  return { ...done, settled: await settledOnWire(ctx, settled) };
}

/** What a change leads to that no cover depends on. */
export const nothingSettled = (): SettledOnWire => ({ released: [], unconfirmed: [], atOtherGyms: 0, notListed: 0 });
