import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import pdfmake, { type Content } from 'pdfmake';
import { boxHeight, SETTINGS, type Setting, settingFor } from './sheet-fit.ts';
import type { LessonSheet } from './sheet-schema.ts';
import { CAUTION } from './sheet-style.ts';
import { type Box, type Line, type Words, wordsOf } from './sheet-words.ts';

export type Paper = 'A4' | 'LETTER';

/** The font that comes with pdfmake. It has Latin, Greek and Cyrillic; other scripts it has not. */
const FONT_FOLDER = join(dirname(createRequire(import.meta.url).resolve('pdfmake/package.json')), 'fonts', 'Roboto');
const fontAt = (style: string) => join(FONT_FOLDER, `Roboto-${style}.ttf`);
const FONTS = {
  Roboto: {
    normal: fontAt('Regular'),
    bold: fontAt('Medium'),
    italics: fontAt('Italic'),
    bolditalics: fontAt('MediumItalic'),
  },
};
const FONT_FILES = new Set(Object.values(FONTS.Roboto));
const OTHER_SCRIPT = /[^\p{Script=Latin}\p{Script=Greek}\p{Script=Cyrillic}\p{Script=Common}\p{Script=Inherited}]/u;
/** Is some of that in a script that the font has not? */
export const lacksLetters = (text: string): boolean => OTHER_SCRIPT.test(text);
const LACKING = 'Some names here are in a script that this font has not: print the page instead.';

/**
 * The sheet as a PDF, on one page where it fits at all: settings are tried from a little above the one reckoned to fit. Nothing is
 * fetched, and no file but the font is read. Gives the bytes.
 */
export async function sheetPdf(sheet: LessonSheet, paper: Paper): Promise<Buffer> {
  pdfmake.setFonts(FONTS);
  pdfmake.setUrlAccessPolicy(() => false);
  pdfmake.setLocalAccessPolicy((path) => FONT_FILES.has(path));
  const first = settingFor((detail) => wordsOf(sheet, detail)).setting;
  const from = SETTINGS.findIndex((one) => one.points === first.points && one.detail === first.detail);
  let made: Buffer = Buffer.alloc(0);
  for (const setting of SETTINGS.slice(Math.max(0, from - 2))) {
    const { pages, bytes } = await render(sheet, setting, paper);
    made = bytes;
    if (pages <= 1) break;
  }
  return made;
}

async function render(sheet: LessonSheet, setting: Setting, paper: Paper): Promise<{ pages: number; bytes: Buffer }> {
  const words = wordsOf(sheet, setting.detail);
  let pages = 1;
  const bytes = await pdfmake
    .createPdf({
      pageSize: paper,
      pageMargins: [28, 22, 28, 26],
      info: { title: `Lesson sheet · ${words.title} · ${sheet.day}` },
      defaultStyle: { font: 'Roboto', fontSize: setting.points, lineHeight: 1.03 },
      content: contentOf(words, setting),
      footer: (page, count) => {
        pages = count;
        const lacking = lacksLetters(JSON.stringify(words)) ? `${LACKING} ` : '';
        const text = `${words.leftOut === null ? '' : `${words.leftOut} `}${lacking}${CAUTION} ${page} / ${count}`;
        return { text, fontSize: 6, margin: [28, 4, 28, 0] };
      },
    })
    .getBuffer();
  return { pages, bytes };
}

function contentOf({ title, when, about, loud, boxes }: Words, setting: Setting): Content[] {
  return [
    {
      columns: [
        {
          width: '*',
          stack: [
            { text: title, fontSize: 14, bold: true },
            { text: when, fontSize: 10, bold: true },
          ],
        },
        { width: 'auto', stack: about.map((text) => ({ text, fontSize: 7, alignment: 'right' as const })) },
      ],
      columnGap: 12,
      margin: [0, 0, 0, 3],
    },
    ...loud.map((one): Content => {
      if (!one.loud) return { ...lineOf(one), margin: [0, 0, 0, 1] };
      return { table: { widths: ['*'], body: [[lineOf(one)]] }, layout: TIGHT, margin: [0, 0, 0, 2] };
    }),
    {
      columns: inColumns(boxes, setting).map((column) => ({ width: '*', stack: column.map(boxOf) })),
      columnGap: 10,
      margin: [0, 2, 0, 0],
    },
  ];
}

const TIGHT = {
  hLineWidth: () => 0.75,
  vLineWidth: () => 0.75,
  paddingLeft: () => 3,
  paddingRight: () => 3,
  paddingTop: () => 1,
  paddingBottom: () => 1,
};

/** Box after box, each column about as high as the others. */
function inColumns(boxes: readonly Box[], setting: Setting): Box[][] {
  const heights = boxes.map((box) => boxHeight(box, setting));
  const total = heights.reduce((sum, height) => sum + height, 0);
  const columns = Array.from({ length: setting.columns }, (): Box[] => []);
  let above = 0;
  for (const [index, box] of boxes.entries()) {
    const height = heights[index] ?? 0;
    const at = Math.min(setting.columns - 1, Math.floor(((above + height / 2) / Math.max(1, total)) * setting.columns));
    columns[at]?.push(box);
    above += height;
  }
  return columns;
}

const boxOf = ({ kind, title, lines }: Box): Content => {
  const head = { text: kind === 'part' ? title.toUpperCase() : title, bold: true };
  const stack = [head, ...lines.map(lineOf)];
  if (kind === 'part') return { table: { widths: ['*'], body: [[{ stack }]] }, layout: TIGHT, margin: [0, 0, 0, 3] };
  return { stack, margin: [0, 0, 0, 4] };
};

const lineOf = ({ label, text, loud }: Line) => ({
  text: label === null ? [text] : [{ text: `${label} `, bold: true }, text],
  bold: loud,
});
