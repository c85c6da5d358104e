import type { DrillRow } from './drill-file-schema.ts';
import type { FileRow } from './file-row.ts';
import {
  allColumns,
  cellOf,
  columnAt,
  columnsFor,
  type Layout,
  readCells,
  readHead,
  recordsOf,
  tableText,
} from './table-file.ts';

// A drill is one line of a table.

const DRILL: Layout = {
  plain: [
    ['apparatus', 'apparatus', 'line'],
    ['name', 'name', 'line'],
    ['sayFirst', 'say first', 'text'],
    ['ifItGoesWrong', 'if it goes wrong', 'text'],
    ['height', 'height', 'line'],
    ['spotting', 'spotting', 'line'],
    ['spottingKind', 'spotting kind', 'line'],
    ['spottingGrade', 'spotting grade', 'number'],
    ['secondsATurn', 'seconds a turn', 'number'],
    ['places', 'places', 'number'],
    ['placesAre', 'places are', 'line'],
    ['demonstration', 'demonstration', 'line'],
  ],
  groups: [
    [
      'lookFors',
      'look-for',
      [
        ['phase', 'phase', 'line'],
        ['right', 'right', 'line'],
        ['wrong', 'wrong', 'line'],
        ['say', 'say', 'line'],
      ],
    ],
    [
      'levels',
      'level',
      [
        ['programme', 'programme', 'line'],
        ['from', 'from', 'line'],
        ['to', 'to', 'line'],
      ],
    ],
    [
      'skills',
      'skill',
      [
        ['apparatus', 'apparatus', 'line'],
        ['skill', 'name', 'line'],
        ['signOff', 'sign-off', 'line'],
      ],
    ],
    [
      'equipment',
      'equipment',
      [
        ['apparatus', 'apparatus', 'line'],
        ['amount', 'amount', 'number'],
        ['fits', 'fits', 'line'],
        ['lowerByCm', 'lower by cm', 'number'],
        ['higherByCm', 'higher by cm', 'number'],
        ['raise', 'raise', 'line'],
        ['raiseUnder', 'raise under', 'line'],
      ],
    ],
    [
      'leadsFrom',
      'leads from',
      [
        ['apparatus', 'apparatus', 'line'],
        ['drill', 'drill', 'line'],
        ['kind', 'kind', 'line'],
      ],
    ],
  ],
  last: [['diagram', 'diagram', 'json']],
};

/** Drills as CSV. */
export function csvOf(rows: readonly DrillRow[]): string {
  const columns = columnsFor(DRILL, rows);
  return tableText([columns.map(({ column }) => column), ...rows.map((row) => columns.map((one) => cellOf(row, one)))]);
}

/** @throws UnreadableFile where it is no CSV, or its first line does not name the columns. */
export function rowsOfCsv(text: string): FileRow[] {
  const [head, ...records] = recordsOf(text);
  const columns = readHead(head?.record ?? [], allColumns(DRILL));
  const says = new Set(columns.map(({ path }) => path));
  return records.map(({ record, line }, at) => {
    const cells = columns
      .map((column, place) => ({ column, cell: record[place] }))
      .flatMap(({ column, cell }) => (cell === undefined ? [] : [{ column, cell }]));
    const { value, origins } = readCells(cells);
    for (const [place, cell] of record.entries()) {
      if (place >= columns.length && cell !== '') value[`column ${place + 1}`] = cell;
    }
    return { row: at + 1, value, says, placeOf: (pointer) => ({ line, column: columnAt(DRILL, pointer, origins) }) };
  });
}
