import { refuse } from '../problem.ts';
import { isTransient, StartOver } from './constraint.ts';

const TRIES = 4;

/** Runs a whole transaction again when another was in its way: up to three times more, then refuses with `busy`. */
export async function withRetries<T>(work: () => Promise<T>): Promise<T> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      return await work();
    } catch (error) {
      if (!(error instanceof StartOver || isTransient(error))) throw error;
      if (attempt === TRIES) throw refuse('busy', 'Others kept changing the same thing; nothing was changed.');
    }
  }
}
