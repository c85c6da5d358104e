import type { Guard } from './guard.ts';

/** A duty has its lowest age. */
export const ofAge: Guard = {
  why: 'under-age',
  refuse: ({ unmet }) =>
    unmet.filter(({ test }) => test.test === 'age').map(({ test, span }) => ({ why: 'under-age', span, failed: test })),
};
