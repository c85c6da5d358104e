import { v7 } from 'uuid';

/** A new UUIDv7: time-ordered for the index, but never an order of commits. */
export const newId = (): string => v7();

/** The least id that can have been made at a moment (epoch ms); every later one is greater. */
export function idFrom(moment: number): string {
  const hex = Math.max(0, moment).toString(16).padStart(12, '0');
  return `${hex.slice(0, 8)}-${hex.slice(8)}-7000-8000-000000000000`;
}
