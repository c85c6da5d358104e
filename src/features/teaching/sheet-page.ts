import { type Html, html } from '../../platform/http/html.ts';
import { printed, styleHashOf } from '../../platform/http/printed.ts';
import { drawDiagram } from '../curriculum/diagram.ts';
import { drawnSize, layOut, paragraphsOf, type Setting } from './sheet-fit.ts';
import type { LessonSheet } from './sheet-schema.ts';
import { STYLE } from './sheet-style.ts';
import { type Box, CAUTION, type Line, type Words, wordsOf } from './sheet-words.ts';

/** No script, nothing from anywhere, and no style but its own. */
export const SHEET_POLICY = styleHashOf(STYLE);

/** The sheet as a page that prints on one side, at A4 or Letter, in black and white; on more where one cannot hold it. */
export const sheetPage = (sheet: LessonSheet): string =>
  wordsPage(`Lesson sheet · ${sheet.className} · ${sheet.day}`, (without) => wordsOf(sheet, without));

/** What is said, as a page: as large and as full as fits. */
export function wordsPage(head: string, wordsIn: (without: number) => Words): string {
  const { setting, words, pages } = layOut(wordsIn);
  return printed(
    head,
    STYLE,
    html`${pages.map((boxes, at) =>
      boxes.length === 0 && at > 0
        ? html``
        : html`<main class="${classesOf(setting)}">
${at === 0 ? headOf(words, setting) : html`<header><p class="when"><bdi>${words.title}</bdi> · ${words.when}</p></header>`}
<div class="columns">${boxes.map((box) => boxOf(box, setting))}</div>
<p class="foot">${words.leftOut === null ? '' : html`<b>${words.leftOut}</b> `}${CAUTION}${pages.length > 1 ? ` Page ${at + 1} of ${pages.length}.` : ''}</p>
</main>
`,
    )}`,
  );
}

const headOf = ({ title, when, about, loud }: Words, setting: Setting): Html =>
  html`<header><div><h1><bdi>${title}</bdi></h1><p class="when">${when}</p></div>
<p class="about">${about.map((one) => html`<span class="line">${one}</span>`)}</p></header>
${paragraphsOf(loud, setting).map(paragraph)}`;

const classesOf = ({ points, columns }: Setting) => `p${String(points).replace('.', '-')} c${columns}`;

const boxOf = (box: Box, setting: Setting): Html =>
  html`<section class="${box.kind}"><h2><bdi>${box.title}</bdi></h2>${drawn(box)}${paragraphsOf(box.lines, setting).map(paragraph)}</section>`;

function drawn(box: Box): Html {
  const size = drawnSize(box);
  if (box.drawing === null || size === null) return html``;
  const { diagram, id } = box.drawing;
  return html`<div class="drawn w${size.width}">${{ markup: drawDiagram(diagram, id, size.width) }}</div>`;
}

const paragraph = (lines: readonly Line[]): Html =>
  html`<p class="${lines.some(({ loud }) => loud) ? 'loud' : 'plain'}">${lines.map(lineOf)}</p>`;

const lineOf = ({ label, text }: Line): Html =>
  html`${label === null ? '' : html`<b>${label}</b> `}<bdi>${text}</bdi> `;
