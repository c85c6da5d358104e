import { type FileRow, UnreadableFile } from './file-row.ts';

/** JSON lines: one row a line, each line a JSON value of its own. */
export const linesOf = (rows: readonly object[]): string => rows.map((row) => `${JSON.stringify(row)}\n`).join('');

/** @throws UnreadableFile where a line is no JSON. */
export function rowsOfLines(text: string): FileRow[] {
  return text
    .split(/\r\n|\n|\r/)
    .map((line, at) => ({ text: at === 0 ? line.replace(/^\ufeff/, '') : line, line: at + 1 }))
    .filter((one) => one.text.trim() !== '')
    .map((one, at) => ({
      row: at + 1,
      value: parsed(one),
      placeOf: (pointer) => ({ line: one.line, column: pointer }),
    }));
}

function parsed({ text, line }: { text: string; line: number }): unknown {
  try {
    return JSON.parse(text);
  } catch {
    throw new UnreadableFile(`Line ${line} is no JSON: each line is one whole value.`);
  }
}
