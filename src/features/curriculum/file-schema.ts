import { z } from 'zod';

// What the files of drills and of lesson plans have in common.

export const FORMATS = ['csv', 'jsonl'] as const;
export const MEDIA = { csv: 'text/csv', jsonl: 'application/jsonl' } as const;

/** No file has more rows, drills or plans. */
export const MOST_ROWS = 1000;

export const fileToImport = {
  format: z.enum(FORMATS).meta({
    description: 'CSV (RFC 4180, with the columns of the export), or JSON lines: one drill or plan a line',
  }),
  existing: z
    .enum(['refuse', 'skip', 'replace'])
    .default('refuse')
    .meta({ description: 'What becomes of a row that is there already' }),
  allOrNothing: z.boolean().default(false).meta({ description: 'One row with a fault keeps all of them out' }),
};

const Count = z.int().min(0).max(MOST_ROWS);
export const RowFault = z
  .strictObject({
    row: z.int().min(1).max(MOST_ROWS).meta({ description: 'The first drill or plan of the file is 1' }),
    line: z.int().min(1).max(1_000_001).meta({ description: 'The line of the file' }),
    column: z
      .string()
      .max(400)
      .meta({ description: 'The column’s name, or in JSON lines a JSON Pointer; empty: the row as a whole' }),
    detail: z.string().max(1000).meta({ description: 'What is wrong, and the mend' }),
  })
  .meta({ id: 'RowFault' });
export type RowFault = z.output<typeof RowFault>;

export const ImportReport = z
  .strictObject({
    rows: Count.meta({ description: 'How many drills or plans the file has' }),
    added: Count,
    changed: Count,
    skipped: Count.meta({ description: 'Were there already, and stayed as they were' }),
    refused: Count.meta({ description: 'Rows that did not go in; with `allOrNothing`, one is enough to keep all out' }),
    faults: z.array(RowFault).max(1000),
    faultsLeftOut: z.int().min(0).max(1_000_000).meta({ description: 'How many more there are than are listed' }),
  })
  .meta({ id: 'ImportReport' });
export type ImportReport = z.output<typeof ImportReport>;
