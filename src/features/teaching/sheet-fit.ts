import { heightWhen } from '../curriculum/diagram.ts';
import { LESSER } from './sheet-lesser.ts';
import { type Box, CAUTION, type Line, type Words } from './sheet-words.ts';

/** How a sheet is set. */
export interface Setting {
  /** The size of its text. */
  points: number;
  columns: number;
  /** What belongs to a step stands in one paragraph with it. */
  condensed: boolean;
  /** How many of what may be left out is left out. */
  without: number;
}

/** Nothing on a sheet is smaller: below it nobody reads at arm's length. Common practice, no source. */
export const SMALLEST_POINTS = 7;

const LARGE = { points: 9, columns: 2, condensed: false };
const SMALL = { points: 7.5, columns: 3, condensed: true };
const SMALLEST = { ...SMALL, points: SMALLEST_POINTS };

/** Largest and fullest first: drawings go before text shrinks, text shrinks before any of it is left out. */
export const SETTINGS: Setting[] = [
  { ...LARGE, without: 0 },
  ...[LARGE, { ...LARGE, points: 8 }, { ...SMALL, points: 8 }, SMALL, SMALLEST].map((size) => ({
    ...size,
    without: 1,
  })),
  ...LESSER.slice(1).flatMap((_, index) => [SMALL, SMALLEST].map((size) => ({ ...size, without: index + 2 }))),
];

/** What is said, as it is set: what stands on each page. */
export interface Layout {
  setting: Setting;
  words: Words;
  pages: Box[][];
}

/** On as few pages as it is reckoned to fit on, as large and as full as fits there. */
export function layOut(wordsIn: (without: number) => Words): Layout {
  const tried: Layout[] = [];
  for (const layout of layouts(wordsIn)) {
    if (layout.pages.length <= 1) return layout;
    tried.push(layout);
  }
  const fewest = Math.min(...tried.map(({ pages }) => pages.length));
  const found = tried.find(({ pages }) => pages.length === fewest);
  if (!found) throw new RangeError('there are no settings');
  return found;
}

/** In each setting, in their order. */
export function* layouts(wordsIn: (without: number) => Words): Generator<Layout> {
  const worded = new Map<number, Words>();
  for (const setting of SETTINGS) {
    const words = worded.get(setting.without) ?? wordsIn(setting.without);
    worded.set(setting.without, words);
    yield { setting, words, pages: pagesOf(words, setting) };
  }
}

/** How wide a set-up is drawn beside its words, at the least and most, and how high it should be at the most, in millimetres. */
const DRAWING = { narrowest: 30, widest: 46, height: 46 };
/** Every width that a drawing may have, in millimetres. */
export const DRAWN_WIDTHS = Array.from(
  { length: DRAWING.widest - DRAWING.narrowest + 1 },
  (_, more) => DRAWING.narrowest + more,
);

/** How large a set-up is drawn, in millimetres. */
export function drawnSize({ drawing }: Box): { width: number; height: number } | null {
  if (drawing === null) return null;
  const { widthCm, depthCm } = drawing.diagram;
  const width = Math.round(Math.max(DRAWING.narrowest, Math.min(DRAWING.widest, (DRAWING.height * widthCm) / depthCm)));
  return { width, height: heightWhen(drawing.diagram, width) };
}

/** Lines as the paragraphs that they stand in. */
export function paragraphsOf(lines: readonly Line[], { condensed }: Pick<Setting, 'condensed'>): Line[][] {
  const paragraphs: Line[][] = [];
  for (const line of lines) {
    const last = paragraphs.at(-1);
    if (condensed && line.runsOn && last) last.push(line);
    else paragraphs.push([line]);
  }
  return paragraphs;
}

/** The boxes, column by column, so that the highest column is as low as it can be. */
export function columnsOf(boxes: readonly Box[], setting: Setting): Box[][] {
  const blocks = keptTogether(boxes, setting);
  const most = blocks.reduce((sum, { height }) => sum + height, 0);
  let [low, high] = [most / setting.columns, most];
  while (high - low > 0.5) {
    const middle = (low + high) / 2;
    if (filled(blocks, () => middle).length <= setting.columns) high = middle;
    else low = middle;
  }
  return filled(blocks, () => high);
}

/** The room on the smaller of A4 and Letter each way, inside the margins, in millimetres, with some to spare. */
const PAGE = { width: 190, height: 262 };
const GAP = 3.5;
const MM_A_POINT = 25.4 / 72;
const LINE_HEIGHT = 1.19;

/** What stands on each page. A station may go on in the next column, so that each column loses a few lines at the most. */
function pagesOf(words: Words, setting: Setting): Box[][] {
  const foot = footHeight(words) + lineMm(setting.points);
  const room = (page: number) => PAGE.height - foot - (page === 0 ? headHeight(words, setting) : 8);
  return filled(keptTogether(words.boxes, setting), (page) => setting.columns * Math.max(20, room(page)));
}

interface Block {
  boxes: Box[];
  height: number;
}

/** A part's head and its first station are not torn apart. */
function keptTogether(boxes: readonly Box[], setting: Setting): Block[] {
  const blocks: Block[] = [];
  let head: Box | null = null;
  for (const box of boxes) {
    const together = head === null ? [box] : [head, box];
    const height = together.reduce((sum, one) => sum + boxHeight(one, setting), 0);
    if (head !== null) blocks.pop();
    blocks.push({ boxes: together, height });
    head = box.kind === 'part' ? box : null;
  }
  return blocks;
}

/** Column after column, or page after page, each as full as it has room. There is one at the least. */
function filled(blocks: readonly Block[], room: (at: number) => number): Box[][] {
  const made: Box[][] = [[]];
  let height = 0;
  for (const block of blocks) {
    const last = made.at(-1) ?? [];
    if (last.length > 0 && height + block.height > room(made.length - 1)) {
      made.push([...block.boxes]);
      height = block.height;
    } else {
      last.push(...block.boxes);
      height += block.height;
    }
    // What is higher than there is room goes on in the next.
    for (let over = room(made.length - 1); height > over; over = room(made.length - 1)) {
      height -= over;
      made.push([]);
    }
  }
  return made;
}

const lineMm = (points: number) => points * MM_A_POINT * LINE_HEIGHT;

export function headHeight({ about, loud, boxes }: Words, { points }: Setting): number {
  const lines = loud.reduce((sum, line) => sum + linesIn([line], PAGE.width - 4, points), 0);
  return boxes.length === 0 ? 0 : Math.max(14, about.length * 3.4 + 3) + lines * lineMm(points) + loud.length * 1.6;
}

function footHeight({ leftOut }: Words): number {
  const lines = Math.ceil(
    (widthOf(`${leftOut ?? ''} ${CAUTION} Page 1 of 2`) * SMALLEST_POINTS * MM_A_POINT) / PAGE.width,
  );
  return lines * lineMm(SMALLEST_POINTS) + 2;
}

/** How high a box is in its column, in millimetres, at the most. */
export function boxHeight(box: Box, setting: Setting): number {
  const { points, columns } = setting;
  const width = (PAGE.width - GAP * (columns - 1)) / columns - (box.kind === 'part' ? 3.5 : 0);
  const head = Math.ceil((widthOf(box.title) * points * 1.25 * MM_A_POINT) / width) * 1.1;
  const lines = paragraphsOf(box.lines, setting).reduce(
    (sum, one) => sum + linesIn(one, width - points * MM_A_POINT, points),
    0,
  );
  const text = (head + lines) * lineMm(points);
  const drawn = drawnSize(box);
  if (drawn === null) return text + 2;
  return Math.max(drawn.height + 4, text + (drawn.width * drawn.height) / width) + 4;
}

/** How many paragraphs of a box stand beside its drawing, where text does not flow around it. */
export function linesBeside(box: Box, setting: Setting): number {
  const drawn = drawnSize(box);
  if (drawn === null) return 0;
  const { points, columns } = setting;
  const width = (PAGE.width - GAP * (columns - 1)) / columns - drawn.width - 2;
  let height = 0;
  const over = paragraphsOf(box.lines, setting).findIndex((one) => {
    height += linesIn(one, width, points) * lineMm(points);
    return height > drawn.height + 2 * lineMm(points);
  });
  return over === -1 ? box.lines.length : Math.max(1, over);
}

/** How many lines a paragraph takes; where a line ends, a little stays empty. */
function linesIn(paragraph: readonly Line[], mm: number, points: number): number {
  const ems = paragraph.reduce((sum, { label, text, loud }) => {
    const bold = widthOf(label ?? '') * 1.08 + 0.3;
    return sum + bold + widthOf(text) * (loud ? 1.08 : 1);
  }, 0);
  return Math.max(1, Math.ceil(ems / Math.max(6, mm / (points * MM_A_POINT) - 0.8)));
}

/** How wide a text is, of its size: about what it is in the usual sans-serif fonts. */
function widthOf(text: string): number {
  let ems = 0;
  for (const sign of text) ems += WIDTHS.find(([signs]) => signs.test(sign))?.[1] ?? 1;
  return ems;
}
const WIDTHS: [RegExp, number][] = [
  [/[\siljtfrI.,:;'’|!()[\]·/-]/, 0.28],
  [/[mwMW@—%]/, 0.85],
  [/[\p{Ll}0-9“”–×=+]/u, 0.53],
  [/[\p{Script=Latin}\p{Script=Greek}\p{Script=Cyrillic}]/u, 0.69],
];
