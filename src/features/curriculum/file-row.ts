/** A row of a file before it is known to be a drill or a plan. */
export interface FileRow {
  row: number;
  value: unknown;
  /** The fields that the file has a place for, filled or not; left out: those that the value has. */
  says?: ReadonlySet<string>;
  /** What the file calls the place to which a JSON pointer leads, and its line there. */
  placeOf: (pointer: string) => { line: number; column: string };
}

/** What keeps a file from being read at all, and where it is. */
export class UnreadableFile extends Error {}
