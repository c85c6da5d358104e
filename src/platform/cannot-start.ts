/**
 * A reason why a process can't start (or finish starting) that its operator can mend. `message` is all they are
 * shown, so it is one or more whole sentences: what is wrong, and what to do. Anything else that is thrown at start is
 * our fault, and is shown with its stack.
 */
export class CannotStart extends Error {
  override name = 'CannotStart';
}

/** The `code` of a system or PostgreSQL error ("EADDRINUSE", "28P01"), or null where there is none. */
export function errorCode(error: unknown): string | null {
  if (typeof error !== 'object' || error === null || !('code' in error)) return null;
  return typeof error.code === 'string' ? error.code : null;
}

export const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** The last few lines of a program's output, in one line, for a sentence about why it failed. */
export const lastLines = (output: string, count = 3): string =>
  output
    .split('\n')
    .map((line) => line.trim())
    .filter(Boolean)
    .slice(-count)
    .join(' | ');
