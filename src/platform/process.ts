import { CannotStart } from './cannot-start.ts';
import { errorForLog } from './log.ts';

/** One key press may arrive twice: from the terminal, and again from npm, which passes signals on. */
const SAME_PRESS_MS = 1000;

/**
 * Resolves with the first SIGTERM or SIGINT. A second one, for whoever can't wait, ends the process at once.
 * Listening begins with the call, so that a signal during start isn't lost.
 */
export function stopSignal(): Promise<NodeJS.Signals> {
  return new Promise((asked) => {
    let first: number | null = null;
    const heard = (signal: NodeJS.Signals) => {
      if (first !== null && Date.now() - first > SAME_PRESS_MS) process.exit(130);
      first ??= Date.now();
      asked(signal);
    };
    process.on('SIGTERM', heard);
    process.on('SIGINT', heard);
  });
}

/**
 * Runs a program to its end. What its operator can mend is shown as a sentence, anything else with its stack, but
 * without the rows it was about; both exit with 1.
 */
export async function runProgram(program: () => Promise<void>): Promise<void> {
  try {
    await program();
    process.exitCode = 0;
  } catch (error) {
    console.error(error instanceof CannotStart ? error.message : errorForLog(error));
    process.exitCode = 1;
  }
}
