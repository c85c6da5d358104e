import { invalid } from '../../platform/problem.ts';
import { type FileRow, UnreadableFile } from './file-row.ts';
import type { FORMATS, ImportReport, RowFault } from './file-schema.ts';
import { rowsOfLines } from './json-lines.ts';

/** Refuses a file that is none, or has more rows than that. */
export function readRows(
  { format, text }: { format: (typeof FORMATS)[number]; text: string },
  rowsOfCsv: (text: string) => FileRow[],
  { most, what }: { most: number; what: string },
): FileRow[] {
  try {
    const rows = format === 'csv' ? rowsOfCsv(text) : rowsOfLines(text);
    if (rows.length <= most) return rows;
    throw new UnreadableFile(`It has ${rows.length} ${what}: send at most ${most} at a time.`);
  } catch (error) {
    if (error instanceof UnreadableFile) throw invalid('/text', error.message);
    throw error;
  }
}

export type SayFault = (row: number, pointer: string, detail: string) => void;

/** Keeps what is wrong, in the file's own terms. */
export function faultList(rows: readonly FileRow[]): { faults: RowFault[]; fault: SayFault } {
  const faults: RowFault[] = [];
  const byRow = new Map(rows.map((one) => [one.row, one]));
  return {
    faults,
    fault: (row, pointer, detail) => {
      const { line, column } = byRow.get(row)?.placeOf(pointer) ?? { line: 1, column: pointer };
      faults.push({ row, line, column: column.slice(0, 400), detail: detail.slice(0, 1000) });
    },
  };
}

/** What became of a file's rows; those that neither went in nor were skipped were refused. */
export function reportOf(
  rows: readonly FileRow[],
  faults: readonly RowFault[],
  { added, changed, skipped }: Pick<ImportReport, 'added' | 'changed' | 'skipped'>,
): ImportReport {
  return {
    rows: rows.length,
    added,
    changed,
    skipped,
    refused: rows.length - skipped - added - changed,
    faults: faults.toSorted((a, b) => a.row - b.row).slice(0, 1000),
    faultsLeftOut: Math.max(0, faults.length - 1000),
  };
}
