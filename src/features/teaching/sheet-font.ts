import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { type Font, openSync } from 'fontkit';
import { type Box, type Line, line, type Words } from './sheet-words.ts';

/** The font that comes with pdfmake. It has Latin, Greek and Cyrillic; other scripts it has not. */
const FONT_FOLDER = join(dirname(createRequire(import.meta.url).resolve('pdfmake/package.json')), 'fonts', 'Roboto');
const fontAt = (style: string) => join(FONT_FOLDER, `Roboto-${style}.ttf`);
export const FONTS = {
  Roboto: {
    normal: fontAt('Regular'),
    bold: fontAt('Medium'),
    italics: fontAt('Italic'),
    bolditalics: fontAt('MediumItalic'),
  },
};

let opened: Font[] | null = null;
function hasSign(sign: string): boolean {
  opened ??= [openSync(FONTS.Roboto.normal), openSync(FONTS.Roboto.bold)];
  const codePoint = sign.codePointAt(0) ?? 0;
  return opened.every((font) => font.hasGlyphForCodePoint(codePoint));
}

/** What a script is called; the first that has one of the signs. Han stands last: Japanese is written in it too. */
const SCRIPTS: [string, RegExp][] = [
  ['Arabic', /\p{Script=Arabic}/u],
  ['Hebrew', /\p{Script=Hebrew}/u],
  ['Japanese', /\p{Script=Hiragana}|\p{Script=Katakana}/u],
  ['Korean', /\p{Script=Hangul}/u],
  ['Devanagari', /\p{Script=Devanagari}/u],
  ['Bengali', /\p{Script=Bengali}/u],
  ['Gurmukhi', /\p{Script=Gurmukhi}/u],
  ['Gujarati', /\p{Script=Gujarati}/u],
  ['Tamil', /\p{Script=Tamil}/u],
  ['Telugu', /\p{Script=Telugu}/u],
  ['Malayalam', /\p{Script=Malayalam}/u],
  ['Sinhala', /\p{Script=Sinhala}/u],
  ['Thai', /\p{Script=Thai}/u],
  ['Georgian', /\p{Script=Georgian}/u],
  ['Armenian', /\p{Script=Armenian}/u],
  ['Ethiopic', /\p{Script=Ethiopic}/u],
  ['Chinese', /\p{Script=Han}/u],
];

/** Words as the font can print them, and the marks that stand for what it cannot, in order. */
export interface Printable {
  words: Words;
  marks: string[];
}

/**
 * What the font has no signs for becomes a mark, "[Arabic 1]", the same wherever the same is written; a line that nobody may
 * overlook says which marks there are and where to read what they stand for.
 */
export function printable(words: Words, readAt: string): Printable {
  const marks = new Map<string, string>();
  const said = (text: string) => withMarks(text, marks);
  const lineOf = (one: Line): Line => ({
    ...one,
    label: one.label === null ? null : said(one.label),
    text: said(one.text),
  });
  const boxOf = ({ kind, title, lines, drawing }: Box): Box => ({
    kind,
    title: said(title),
    lines: lines.map(lineOf),
    drawing: drawing && { ...drawing, diagram: labelled(drawing.diagram, said) },
  });
  const made: Words = {
    title: said(words.title),
    when: words.when,
    about: words.about.map(said),
    loud: words.loud.map(lineOf),
    boxes: words.boxes.map(boxOf),
    leftOut: words.leftOut,
  };
  const all = [...marks.values()];
  return { words: all.length === 0 ? made : { ...made, loud: [lacking(all, readAt), ...made.loud] }, marks: all };
}

const MOST_NAMED = 60;

function lacking(marks: readonly string[], readAt: string): Line {
  const more = marks.length > MOST_NAMED ? `, and ${marks.length - MOST_NAMED} more` : '';
  const named = marks.slice(0, MOST_NAMED).join(', ');
  return line(
    'Not printed here',
    `${named}${more}: this font has no such signs. Read them on the page: ${readAt}.`,
    true,
  );
}

type Diagram = NonNullable<Box['drawing']>['diagram'];

function labelled(diagram: Diagram, said: (text: string) => string): Diagram {
  const relabel = <T extends { label: string | null }>(one: T) => ({
    ...one,
    label: one.label === null ? null : said(one.label),
  });
  return {
    ...diagram,
    pieces: diagram.pieces.map(relabel),
    arrows: diagram.arrows.map(relabel),
    people: diagram.people.map(relabel),
  };
}

/** Signs that the font lacks, with what joins them: spaces, hyphens and accents between two of them, and nothing after the last. */
function withMarks(text: string, marks: Map<string, string>): string {
  let out = '';
  let foreign = '';
  let between = '';
  const put = () => {
    if (foreign !== '') out += markFor(foreign, marks);
    out += between;
    foreign = '';
    between = '';
  };
  for (const sign of text.normalize('NFC')) {
    if (/\p{Cc}|\p{Cf}|\p{Variation_Selector}/u.test(sign)) continue;
    if (!hasSign(sign)) {
      foreign += between + sign;
      between = '';
    } else if (foreign !== '' && /[\s\p{Pd}\p{M}'’.,·]/u.test(sign)) between += sign;
    else {
      put();
      out += sign;
    }
  }
  put();
  return out;
}

function markFor(text: string, marks: Map<string, string>): string {
  const known = marks.get(text);
  if (known !== undefined) return known;
  const script = SCRIPTS.find(([, signs]) => signs.test(text))?.[0] ?? 'sign';
  const mark = `[${script} ${marks.size + 1}]`;
  marks.set(text, mark);
  return mark;
}
