import type { Box, Detail, Line, Words } from './sheet-words.ts';

/** How a sheet is set, largest and fullest first: the size of its text in points, and its columns. */
export interface Setting {
  detail: Detail;
  points: number;
  columns: number;
}

const SIZES: Omit<Setting, 'detail'>[] = [
  { points: 9, columns: 2 },
  { points: 8, columns: 2 },
  { points: 7, columns: 3 },
  { points: 6.3, columns: 3 },
];
const SMALLEST: Omit<Setting, 'detail'>[] = [
  { points: 5.8, columns: 3 },
  { points: 5.3, columns: 4 },
];

/** Text no smaller than this while a look-for a drill can still be kept; below it, no look-fors. */
export const SETTINGS: Setting[] = [
  ...SIZES.map((size) => ({ ...size, detail: 'all' as const })),
  ...SIZES.slice(2).map((size) => ({ ...size, detail: 'first' as const })),
  ...SIZES.slice(2).map((size) => ({ ...size, detail: 'none' as const })),
  ...SMALLEST.map((size) => ({ ...size, detail: 'none' as const })),
];

/** The room on the smaller of A4 and Letter each way, inside the margins, in millimetres. */
const PAGE = { width: 188, height: 254 };
const GAP = 3.5;
const MM_A_POINT = 25.4 / 72;
const LINE_HEIGHT = 1.2;
/** How wide a character is, of its size: an average for Latin text, with room to spare. */
const CHARACTER = 0.49;

/** The first setting in which what a sheet says is reckoned to fit on one page; the last where none is. */
export function settingFor(wordsIn: (detail: Detail) => Words): { setting: Setting; words: Words } {
  const worded = new Map<Detail, Words>();
  const tried = SETTINGS.map((setting) => {
    const words = worded.get(setting.detail) ?? wordsIn(setting.detail);
    worded.set(setting.detail, words);
    return { setting, words };
  });
  const last = tried.at(-1);
  const fits = tried.find(({ setting, words }) => heightOf(words, setting) <= PAGE.height) ?? last;
  if (!fits) throw new RangeError('there are no settings');
  return fits;
}

/** How high a page would have to be, in millimetres, at the most. */
export function heightOf({ about, loud, boxes }: Words, setting: Setting): number {
  const { points, columns } = setting;
  const lineMm = lineOf(points);
  const head = Math.max(18, about.length * 3.4) + linesIn(loud, fitting(PAGE.width, points)) * lineMm;
  const heights = boxes.map((box) => boxHeight(box, setting));
  const inColumns = heights.reduce((sum, height) => sum + height, 0);
  const uneven = Math.max(0, ...heights.map((height) => Math.min(height, 6 * lineMm)));
  return head + inColumns / columns + uneven / 2 + 6;
}

const lineOf = (points: number) => points * MM_A_POINT * LINE_HEIGHT;
/** How many characters stand in a line that wide. */
const fitting = (mm: number, points: number) => Math.max(8, Math.floor(mm / (points * MM_A_POINT * CHARACTER)));

/** How high a box is in its column, in millimetres, at the most. */
export function boxHeight({ title, lines }: Box, { points, columns }: Setting): number {
  const width = (PAGE.width - GAP * (columns - 1)) / columns;
  const characters = fitting(width - 2, points);
  const head = Math.ceil(title.length / (characters * 0.85)) * 1.15;
  return (head + linesIn(lines, characters)) * lineOf(points) + 2;
}

const linesIn = (lines: readonly Line[], characters: number): number =>
  lines.reduce(
    (sum, { label, text }) => sum + Math.ceil(((label?.length ?? 0) * 1.08 + 2 + text.length) / characters),
    0,
  );
