// What two versions of a plan are compared by.

/** One thing that is not as it was. */
export interface Difference {
  kind: 'added' | 'removed' | 'moved' | 'changed';
  what: 'focus' | 'block' | 'station' | 'piece' | 'step';
  /** What changed of it; null where all of it came, went or moved. */
  field: string | null;
  /** JSON pointer into the newer content; of what was removed, into the older. */
  pointer: string;
  /** For people. */
  sentence: string;
}

/** Where something is: its JSON pointers, and the words that say what it is in. */
export interface At {
  old: string;
  now: string;
  within: string;
}

/** Compares two lists, wherever they are. */
export type Compare = <T>(part: Part<T>, old: readonly T[], now: readonly T[], at: At) => Difference[];
/** The differences between the lists of two things, found by whoever compares. */
export type Inside<T> = (compare: Compare, old: T, now: T, at: At) => Difference[];

export interface Field<T> {
  field: string;
  label: string;
  of(one: T): unknown;
  says(one: T): string;
  /** Left out: always. */
  counts?(old: T, now: T): boolean;
  /** What is to be said of the change besides. */
  remark?(old: T, now: T): string | null;
}

/** How things of one kind are told apart and put into words. */
export interface Part<T> {
  what: Difference['what'];
  /** What it goes by: "“Low bar”". */
  called(one: T): string;
  nameOf(one: T): string;
  alike(a: T, b: T): boolean;
  /** What can change of it: where it stands, what it is called, its value, and that in words. */
  fields: Field<T>[];
  /** What is further in: each list by its pointer below this. */
  inside: Inside<T>[];
}
