import { refuse } from './problem.ts';

/** Runs work when its turn has come; refuses with `busy` when too many are waiting already. */
export type InTurn = <T>(work: () => Promise<T>) => Promise<T>;

/** Lets so many run at once and so many wait, first come first served. */
export function createTurns(atOnce: number, mostWaiting: number): InTurn {
  let running = 0;
  const waiting: (() => void)[] = [];
  return async (work) => {
    if (running < atOnce) running += 1;
    else {
      if (waiting.length >= mostWaiting) throw refuse('busy', 'Too many are waiting already; try again in a moment.');
      await new Promise<void>((resolve) => waiting.push(resolve));
    }
    try {
      return await work();
    } finally {
      const next = waiting.shift();
      if (next) next();
      else running -= 1;
    }
  };
}
