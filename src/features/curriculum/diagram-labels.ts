// Where the words of a diagram go: on what they belong to, else beside it, and clear of one another.

/** A box by its middle. */
export interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

export interface Label extends Box {
  lines: string[];
}

const LETTER_WIDTH = 1.5;
const LINE_HEIGHT = 3;
const LONGEST_LINE = 18;
const A_LINE = new RegExp(`.{1,${LONGEST_LINE}}`, 'gsu');

/** The upright box around a turned piece. */
export function boxOf({
  x,
  y,
  lengthCm,
  widthCm,
  turn,
}: {
  x: number;
  y: number;
  lengthCm: number;
  widthCm: number;
  turn: number;
}): Box {
  const angle = (turn * Math.PI) / 180;
  const [cos, sin] = [Math.abs(Math.cos(angle)), Math.abs(Math.sin(angle))];
  return { x, y, width: lengthCm * cos + widthCm * sin, height: lengthCm * sin + widthCm * cos };
}

/** The area that two boxes share. */
function overlap(a: Box, b: Box): number {
  const width = Math.min(a.x + a.width / 2, b.x + b.width / 2) - Math.max(a.x - a.width / 2, b.x - b.width / 2);
  const height = Math.min(a.y + a.height / 2, b.y + b.height / 2) - Math.max(a.y - a.height / 2, b.y - b.height / 2);
  return Math.max(0, width) * Math.max(0, height);
}

/** Broken between words, and inside one that is longer than a line. */
function linesOf(text: string): string[] {
  const lines: string[] = [];
  const words = text.trim().split(/\s+/);
  for (const word of words.flatMap((one) => one.match(A_LINE) ?? [])) {
    const last = lines.at(-1);
    if (last !== undefined && last.length + 1 + word.length <= LONGEST_LINE)
      lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** Something in the picture: what is written on it, and whether other labels have to keep off it. */
export interface Thing {
  label: string | null;
  of: Box;
  solid: boolean;
  /** Its own label may lie on it. */
  onIt: boolean;
}

/**
 * Places each label where it covers nothing solid but what it belongs to, and no other label: on its piece if it fits
 * there (these first), beneath, above, to the right, to the left, then further off. Where there is no such place, where it
 * covers least. It stays within the field as far as its length allows.
 */
export function placeLabels(things: readonly Thing[], field: { width: number; height: number }, unit: number): Label[] {
  const solid = things.filter((one) => one.solid).map(({ of }) => of);
  const wanted = things
    .flatMap(({ label, ...thing }) => (label === null ? [] : [{ ...thing, ...sizeOf(label, unit) }]))
    .map((one) => ({ ...one, fits: one.onIt && one.width <= one.of.width && one.height <= one.of.height }))
    .sort((a, b) => Number(b.fits) - Number(a.fits));
  const placed: Label[] = [];
  for (const { of, lines, width, height, fits } of wanted) {
    const candidates = [...(fits ? [of] : []), ...placesAround(of, { width, height }, unit)].map(({ x, y }) => ({
      x: clamp(x, width / 2, field.width - width / 2),
      y: clamp(y, height / 2, field.height - height / 2),
      width,
      height,
    }));
    const covered = candidates.map((place, at) => {
      const things = fits && at === 0 ? solid.filter((one) => one !== of) : solid;
      return sum(things.map((one) => overlap(place, one))) + 5 * sum(placed.map((one) => overlap(place, one)));
    });
    const best = candidates[covered.indexOf(Math.min(...covered))];
    if (best) placed.push({ ...best, lines });
  }
  return placed;
}

function sizeOf(label: string, unit: number) {
  const lines = linesOf(label);
  const longest = Math.max(...lines.map((line) => line.length));
  return { lines, width: longest * LETTER_WIDTH * unit, height: lines.length * LINE_HEIGHT * unit };
}

function placesAround(of: Box, { width, height }: { width: number; height: number }, unit: number) {
  const [dx, dy] = [(of.width + width) / 2 + unit, (of.height + height) / 2 + unit / 2];
  return [0, 1, 2, 3, 4].flatMap((more) => [
    { x: of.x, y: of.y + dy + more * height },
    { x: of.x, y: of.y - dy - more * height },
    { x: of.x + dx, y: of.y + more * height },
    { x: of.x - dx, y: of.y + more * height },
    { x: of.x + dx, y: of.y - more * height },
    { x: of.x - dx, y: of.y - more * height },
  ]);
}

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
const clamp = (value: number, least: number, most: number) =>
  most < least ? (least + most) / 2 : Math.min(Math.max(value, least), most);
