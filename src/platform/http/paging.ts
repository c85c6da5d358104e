import { refuse } from '../problem.ts';

/** Which page of a list is asked for: so many rows at the most, after the one that `cursor` tells of. */
export interface Paging {
  limit: number;
  cursor?: string | undefined;
}

/** Where a page ended: the sort keys of its last row. */
export type Cursor = readonly string[];

const encode = (cursor: Cursor) => Buffer.from(JSON.stringify(cursor)).toString('base64url');

const badCursor = () =>
  refuse('invalid-request', 'That cursor is not one of ours.', {
    errors: [{ parameter: 'cursor', detail: 'Send the `next` of the page before, unchanged, or leave it out.' }],
  });

/** Reads a cursor with so many parts; undefined gives null. Refuses one that we did not make. */
export function readCursor<const N extends number>(cursor: string | undefined, parts: N): string[] | null {
  if (cursor === undefined) return null;
  let value: unknown;
  try {
    value = JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8'));
  } catch {
    throw badCursor();
  }
  // biome-ignore lint/suspicious/noControlCharactersInRegex: PostgreSQL's text cannot hold it
  const sane = (part: unknown) => typeof part === 'string' && part.length <= 300 && !/\u0000/.test(part);
  if (!Array.isArray(value) || value.length !== parts || !value.every(sane)) throw badCursor();
  return value;
}

/** For a list sorted by how well each fits, a number, and then by id. */
export function readScoreCursor(cursor: string | undefined): { score: number; id: string } | null {
  const [said, id] = readCursor(cursor, 2) ?? [];
  if (said === undefined || id === undefined) return null;
  const score = Number(said);
  if (said === '' || !Number.isFinite(score) || !ID.test(id)) throw badCursor();
  return { score, id };
}

const ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** For a list sorted by id alone. */
export function readIdCursor(cursor: string | undefined): string | null {
  const id = readCursor(cursor, 1)?.[0] ?? null;
  if (id !== null && !ID.test(id)) throw badCursor();
  return id;
}

/** A page from `limit + 1` rows: whether there are more is known without counting. */
export function pageOf<Row, Item>(
  rows: readonly Row[],
  limit: number,
  toItem: (row: Row) => Item,
  keyOf: (row: Row) => Cursor,
): { items: Item[]; next: string | null } {
  const items = rows.slice(0, limit);
  const last = items.at(-1);
  return {
    items: items.map(toItem),
    next: rows.length > limit && last !== undefined ? encode(keyOf(last)) : null,
  };
}
