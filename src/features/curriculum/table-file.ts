import { CsvError, parse } from 'csv-parse/sync';
import { stringify } from 'csv-stringify/sync';
import { UnreadableFile } from './file-row.ts';
import { harmless, restored } from './spreadsheet.ts';

// CSV (RFC 4180) whose columns mean places in a value. What there are several of stands in numbered groups of columns, as
// many as are needed.

/** What a cell holds. An empty one says nothing, but for a text, which may be empty. */
type Kind = 'text' | 'line' | 'number' | 'yes-no' | 'json';
/** A place in the value ("setUp/words"), and what its column is called. */
type Plain = [path: string, column: string, kind: Kind];
/** A list in the value, what its groups are called, and their parts; one without a name is the entry itself. */
type Group = [path: string, group: string, parts: [part: string, column: string, kind: Kind][]];

export interface Layout {
  plain: Plain[];
  groups: Group[];
  last?: Plain[];
}

export interface Column {
  column: string;
  kind: Kind;
  path: string;
  /** Which entry of a list, counted from 0, and which part of it; null for a plain one. */
  entry: { at: number; part: string } | null;
}

/** In their order; groups as often as asked. */
export function columnsOf({ plain, groups, last = [] }: Layout, times: (path: string) => number): Column[] {
  const plainly = (some: Plain[]) => some.map(([path, column, kind]) => ({ path, column, kind, entry: null }));
  const grouped = groups.flatMap(([path, group, parts]) =>
    Array.from({ length: times(path) }, (_, at) =>
      parts.map(([part, name, kind]) => ({ path, column: columnName(group, at, name), kind, entry: { at, part } })),
    ).flat(),
  );
  return [...plainly(plain), ...grouped, ...plainly(last)];
}

const columnName = (group: string, at: number, name: string) => `${group} ${at + 1}${name === '' ? '' : ` ${name}`}`;

/** No list has more entries. */
const MOST_ENTRIES = 40;

/** Every column that a file may have. */
export const allColumns = (layout: Layout): Column[] => columnsOf(layout, () => MOST_ENTRIES);

/** The columns that these need. */
export function columnsFor(layout: Layout, values: readonly unknown[]): Column[] {
  return columnsOf(layout, (path) => values.reduce<number>((most, one) => Math.max(most, lengthAt(one, path)), 0));
}

const lengthAt = (value: unknown, path: string) => {
  const list = valueAt(value, path);
  return Array.isArray(list) ? list.length : 0;
};

function valueAt(value: unknown, path: string): unknown {
  return path
    .split('/')
    .reduce<unknown>(
      (one, part) => (typeof one === 'object' && one !== null ? Reflect.get(one, part) : undefined),
      value,
    );
}

/** What stands in that column for a value; no cell begins as a formula. */
export function cellOf(value: unknown, { path, entry, kind }: Column): string {
  const place = entry === null ? path : [path, entry.at, entry.part].filter((part) => part !== '').join('/');
  const said = valueAt(value, place);
  if (said === null || said === undefined) return '';
  if (kind === 'json') return JSON.stringify(said);
  if (kind === 'yes-no') return said === true ? 'yes' : 'no';
  return harmless(String(said));
}

/** With a mark of UTF-8 before it, for spreadsheets. */
export const tableText = (table: readonly (readonly string[])[]): string =>
  stringify([...table.map((row) => [...row])], {
    bom: true,
    record_delimiter: '\r\n',
    quoted_match: /[\r\n]|^\s|\s$/,
  });

/** The columns that a first line names. @throws UnreadableFile where it names one that is not known, or one twice. */
export function readHead<T extends { column: string }>(head: readonly string[], known: readonly T[]): T[] {
  const byName = new Map(known.map((one) => [one.column, one]));
  const columns = head.map((cell) => {
    const column = byName.get(restored(cell).trim().toLowerCase());
    if (!column) throw new UnreadableFile(`There is no column "${cell.slice(0, 80)}": take the names from an export.`);
    return column;
  });
  const twice = columns.find(({ column }, at) => columns.findIndex((other) => other.column === column) < at);
  if (twice) throw new UnreadableFile(`The column "${twice.column}" is there twice: leave one out.`);
  return columns;
}

/** The lines of a table with the lines of the file in which they begin. @throws UnreadableFile where it is no CSV. */
export function recordsOf(text: string): { record: string[]; line: number }[] {
  const ends: number[] = [];
  let records: string[][];
  try {
    records = parse(text, {
      bom: true,
      relax_column_count: true,
      skip_empty_lines: true,
      record_delimiter: ['\r\n', '\n', '\r'],
      on_record: (record, { bytes }) => {
        ends.push(bytes);
        return record;
      },
    });
  } catch (error) {
    if (error instanceof CsvError) throw new UnreadableFile(`It is no CSV: ${error.message.slice(0, 300)}.`);
    throw error;
  }
  const bytes = Buffer.from(text);
  let [from, line] = [0, 1];
  return records.map((record, at) => {
    const written = bytes.subarray(from, ends[at]).toString();
    const begins = line + breaksIn(/^[\r\n]+/.exec(written)?.[0] ?? '');
    from = ends[at] ?? from;
    line += breaksIn(written);
    return { record, line: begins };
  });
}

const breaksIn = (text: string) => text.match(/\r\n|\n|\r/g)?.length ?? 0;

/** Which group of the file each entry of a list came from: empty ones are left out. By the list's path. */
export type Origins = ReadonlyMap<string, readonly number[]>;

/** The value that some cells say. */
export function readCells(cells: readonly { column: Column; cell: string }[]): {
  value: Record<string, unknown>;
  origins: Origins;
} {
  const value: Record<string, unknown> = {};
  const origins = new Map<string, number[]>();
  for (const { column, cell } of cells) {
    const said = read(cell, column.kind);
    if (said === undefined) continue;
    if (column.entry === null) setAt(value, column.path, said);
    else addTo(value, column.path, column.entry, said, origins);
  }
  return { value, origins };
}

function setAt(value: Record<string, unknown>, path: string, said: unknown): void {
  const parts = path.split('/');
  const last = parts.pop() ?? '';
  let inside: object = value;
  for (const part of parts) {
    const known: unknown = Reflect.get(inside, part);
    const next = typeof known === 'object' && known !== null ? known : {};
    Reflect.set(inside, part, next);
    inside = next;
  }
  Reflect.set(inside, last, said);
}

function addTo(
  value: Record<string, unknown>,
  path: string,
  { at, part }: { at: number; part: string },
  said: unknown,
  origins: Map<string, number[]>,
): void {
  const groups = origins.get(path) ?? [];
  origins.set(path, groups);
  const list = listIn(value, path);
  if (!groups.includes(at)) {
    groups.push(at);
    list.push(part === '' ? said : {});
  }
  if (part !== '') Object.assign(list[groups.indexOf(at)] ?? {}, { [part]: said });
}

/** The list of that name, put there where there is none. */
export function listIn(value: Record<string, unknown>, name: string): unknown[] {
  const known = value[name];
  if (Array.isArray(known)) return known;
  const list: unknown[] = [];
  value[name] = list;
  return list;
}

function read(cell: string, kind: Kind): unknown {
  const text = restored(cell);
  if (kind === 'text') return text;
  if (text === '') return undefined;
  if (kind === 'number') return /^\d{1,9}$/.test(text.trim()) ? Number(text) : text;
  if (kind === 'yes-no') return { yes: true, no: false }[text.trim().toLowerCase()] ?? text;
  if (kind === 'line') return text;
  try {
    return JSON.parse(text);
  } catch {
    return text;
  }
}

/** `/lookFors/0/phase` is "look-for 2 phase" where the first group of the file is empty. */
export function columnAt({ plain, groups, last = [] }: Layout, pointer: string, origins: Origins): string {
  const place = pointer.slice(1);
  const within = (outer: string, inner: string) => outer === inner || inner.startsWith(`${outer}/`);
  const group = groups.find(([path]) => within(path, place));
  if (!group) {
    const plainly = [...plain, ...last];
    const column = plainly.find(([path]) => path === place) ?? plainly.find(([path]) => within(place, path));
    return column?.[1] ?? (place.split('/').at(-1) ?? '').replaceAll('~1', '/');
  }
  const [path, name, parts] = group;
  const [at, part = ''] = place.slice(path.length + 1).split('/');
  if (at === undefined || at === '') return name;
  const column = parts.find(([one]) => one === part)?.[1] ?? '';
  return columnName(name, origins.get(path)?.[Number(at)] ?? Number(at), column);
}
