import pdfmake, { type Content } from 'pdfmake';
import { drawDiagram } from '../curriculum/diagram.ts';
import {
  columnsOf,
  drawnSize,
  type Layout,
  layOut,
  layouts,
  linesBeside,
  paragraphsOf,
  SETTINGS,
  type Setting,
  SMALLEST_POINTS,
} from './sheet-fit.ts';
import { FONTS, printable } from './sheet-font.ts';
import { addressOf } from './sheet-lesser.ts';
import type { LessonSheet } from './sheet-schema.ts';
import { type Box, CAUTION, type Line, type Words, wordsOf } from './sheet-words.ts';

export type Paper = 'A4' | 'LETTER';

const FONT_FILES = new Set(Object.values(FONTS.Roboto));

/**
 * The sheet as a PDF, on one page where it fits at all: settings are tried from a little above the one reckoned to fit, and a
 * second page is begun where none does. Nothing is fetched, and no file but the font is read. Gives the bytes.
 */
export async function sheetPdf(sheet: LessonSheet, paper: Paper): Promise<Buffer> {
  pdfmake.setFonts(FONTS);
  pdfmake.setUrlAccessPolicy(() => false);
  pdfmake.setLocalAccessPolicy((path) => FONT_FILES.has(path));
  const wordsIn = (without: number) => printable(wordsOf(sheet, without), `${addressOf(sheet)}.html`).words;
  const reckoned = layOut(wordsIn);
  const fewest = reckoned.pages.length;
  const from = SETTINGS.indexOf(reckoned.setting);
  const all = [...layouts(wordsIn)];
  // The reckoning has some to spare: a little above it may fit, and so may one page where it says two.
  const onOne = all.slice(Math.max(0, (fewest > 1 ? all.length : from) - 2));
  const candidates = [
    ...onOne.map((one) => ({ ...one, pages: [one.words.boxes] })),
    ...(fewest > 1 ? all.slice(from).filter(({ pages }) => pages.length === fewest) : []),
  ];
  let made: Buffer = Buffer.alloc(0);
  for (const layout of candidates) {
    const { pages, bytes } = await render(sheet, layout, paper);
    made = bytes;
    if (pages <= layout.pages.length) break;
  }
  return made;
}

async function render(sheet: LessonSheet, layout: Layout, paper: Paper): Promise<{ pages: number; bytes: Buffer }> {
  const { words, setting } = layout;
  let pages = 1;
  const bytes = await pdfmake
    .createPdf({
      pageSize: paper,
      pageMargins: [28, 22, 28, 40],
      info: { title: `Lesson sheet · ${sheet.className} · ${sheet.day}` },
      defaultStyle: { font: 'Roboto', fontSize: setting.points, lineHeight: 1.0 },
      content: contentOf(layout),
      footer: (page, count) => {
        pages = count;
        const leftOut = words.leftOut === null ? [] : [{ text: `${words.leftOut} `, bold: true }];
        return {
          text: [...leftOut, `${CAUTION} Page ${page} of ${count}.`],
          fontSize: SMALLEST_POINTS,
          margin: [28, 6, 28, 0],
        };
      },
    })
    .getBuffer();
  return { pages, bytes };
}

const contentOf = ({ words, setting, pages }: Layout): Content[] =>
  pages.flatMap((boxes, at): Content[] =>
    boxes.length === 0 && at > 0
      ? []
      : [
          ...(at === 0 ? headOf(words, setting) : [againOf(words)]),
          {
            columns: columnsOf(boxes, setting).map((column) => ({
              width: '*' as const,
              stack: column.map((box) => boxOf(box, setting)),
            })),
            columnGap: 10,
            margin: [0, 2, 0, 0],
          },
        ],
  );

const headOf = ({ title, when, about, loud }: Words, setting: Setting): Content[] => [
  {
    columns: [
      {
        width: '*',
        stack: [
          { text: title, fontSize: 14, bold: true },
          { text: when, fontSize: 10, bold: true },
        ],
      },
      { width: 'auto', stack: about.map((text) => ({ text, fontSize: 7.5, alignment: 'right' as const })) },
    ],
    columnGap: 12,
    margin: [0, 0, 0, 3],
  },
  ...paragraphsOf(loud, setting).map((lines): Content => {
    if (!lines.some((one) => one.loud)) return { ...paragraph(lines), margin: [0, 0, 0, 1] };
    return { table: { widths: ['*'], body: [[paragraph(lines)]] }, layout: TIGHT, margin: [0, 0, 0, 2] };
  }),
];

const againOf = ({ title, when }: Words): Content => ({
  text: `${title} · ${when}`,
  fontSize: 10,
  bold: true,
  pageBreak: 'before',
});

const TIGHT = {
  hLineWidth: () => 0.75,
  vLineWidth: () => 0.75,
  paddingLeft: () => 3,
  paddingRight: () => 3,
  paddingTop: () => 1,
  paddingBottom: () => 1,
};

/** A thin line above, as on the page. */
const RULED = {
  ...TIGHT,
  hLineWidth: (line: number) => (line === 0 ? 0.5 : 0),
  vLineWidth: () => 0,
  paddingLeft: () => 0,
  paddingRight: () => 0,
};

function boxOf(box: Box, setting: Setting): Content {
  const head = { text: box.kind === 'part' ? box.title.toUpperCase() : box.title, bold: true };
  const lines = paragraphsOf(box.lines, setting).map(paragraph);
  if (box.kind === 'part') {
    return { table: { widths: ['*'], body: [[{ stack: [head, ...lines] }]] }, layout: TIGHT, margin: [0, 0, 0, 3] };
  }
  const drawn = drawingOf(box);
  const beside = linesBeside(box, setting);
  const stack: Content[] =
    drawn === null
      ? [head, ...lines]
      : [
          head,
          { columns: [{ width: '*', stack: lines.slice(0, beside) }, drawn], columnGap: 6 },
          ...lines.slice(beside),
        ];
  return { table: { widths: ['*'], body: [[{ stack }]] }, layout: RULED, margin: [0, 0, 0, 2] };
}

const POINTS_A_MM = 72 / 25.4;

function drawingOf(box: Box): Content | null {
  const size = drawnSize(box);
  if (box.drawing === null || size === null) return null;
  const { diagram, id } = box.drawing;
  return { svg: drawDiagram(diagram, id, size.width), width: size.width * POINTS_A_MM };
}

const paragraph = (lines: readonly Line[]) => ({
  text: lines.flatMap(({ label, text, loud }) => [
    ...(label === null ? [] : [{ text: `${label} `, bold: true }]),
    { text: `${text} `, bold: loud },
  ]),
});
