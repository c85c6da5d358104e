import type { Sign } from './types.ts';

const MUCH: Record<Sign, number> = { watched: 0, helped: 1, alone: 2 };

/** Whether one sign-off says as much as another, or more: watched, then helped, then alone. */
export const saysAsMuch = (one: Sign, other: Sign): boolean => MUCH[one] >= MUCH[other];
