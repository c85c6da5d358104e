import type { Guard } from './guard.ts';

/** A duty asks for qualifications, screening and the like, valid for the whole block. */
export const qualified: Guard = {
  why: 'not-qualified',
  refuse: ({ unmet }) =>
    unmet
      .filter(({ test }) => test.test !== 'age')
      .map(({ test, span }) => ({ why: 'not-qualified', span, failed: test })),
};
