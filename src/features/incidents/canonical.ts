import { createHash } from 'node:crypto';

/** What JSON can hold. */
export type Json = null | boolean | number | string | readonly Json[] | { readonly [name: string]: Json };

/**
 * One text for one value, after RFC 8785: no spaces, members sorted by their names' UTF-16 units, strings and numbers
 * as ECMAScript writes them. A lone surrogate has no such text, so it is refused at the door (PostgreSQL takes none).
 */
export function canonical(value: Json): string {
  if (value === null || typeof value !== 'object') return JSON.stringify(value);
  if (isList(value)) return `[${value.map(canonical).join(',')}]`;
  const members = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1));
  return `{${members.map(([name, one]) => `${JSON.stringify(name)}:${canonical(one)}`).join(',')}}`;
}

const isList = (value: object): value is readonly Json[] => Array.isArray(value);

/** SHA-256 of a text's UTF-8 or of bytes, in hexadecimal. */
export const sha256 = (what: string | Buffer): string => createHash('sha256').update(what).digest('hex');

/** Before the first link of a chain. */
export const BEGINNING = '0'.repeat(64);

export interface Link {
  number: number;
  what: string;
  subjectId: string;
  incidentId: string;
  at: Date;
  contentHash: string;
  previous: string;
}

/** The hash of a link: over its place, what it is about, the content's hash and the link before. */
export const linkHash = ({ number, what, subjectId, incidentId, at, contentHash, previous }: Link): string =>
  sha256(canonical({ number, what, subjectId, incidentId, at: at.toISOString(), contentHash, previous }));
