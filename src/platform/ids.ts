import { v7 } from 'uuid';

/** A new UUIDv7: time-ordered for the index, but never an order of commits. */
export const newId = (): string => v7();
