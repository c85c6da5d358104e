import { type Html, html } from '../../platform/http/html.ts';
import { printed, styleHashOf } from '../../platform/http/printed.ts';
import { type Setting, settingFor } from './sheet-fit.ts';
import type { LessonSheet } from './sheet-schema.ts';
import { CAUTION, STYLE } from './sheet-style.ts';
import { type Box, type Detail, type Line, type Words, wordsOf } from './sheet-words.ts';

/** No script, nothing from anywhere, and no style but its own. */
export const SHEET_POLICY = styleHashOf(STYLE);

/** The sheet as a page that prints on one side, at A4 or Letter, in black and white. */
export const sheetPage = (sheet: LessonSheet): string =>
  wordsPage(`Lesson sheet · ${sheet.className} · ${sheet.day}`, (detail) => wordsOf(sheet, detail));

/** What is said, as a page: as large and as full as fits on one. */
export function wordsPage(head: string, wordsIn: (detail: Detail) => Words): string {
  const { setting, words } = settingFor(wordsIn);
  const { title, when, about, loud, boxes, leftOut } = words;
  return printed(
    head,
    STYLE,
    html`<main class="${classesOf(setting)}">
<header><div><h1><bdi>${title}</bdi></h1><p class="when">${when}</p></div>
<p class="about">${about.map((one) => html`<span class="line">${one}</span>`)}</p></header>
${loud.map(lineOf)}
<div class="columns">${boxes.map(boxOf)}</div>
<p class="foot">${leftOut === null ? '' : `${leftOut} `}${CAUTION}</p>
</main>`,
  );
}

const classesOf = ({ points, columns }: Setting) => `p${String(points).replace('.', '-')} c${columns}`;

const boxOf = ({ kind, title, lines }: Box): Html =>
  html`<section class="${kind}"><h2><bdi>${title}</bdi></h2>${lines.map(lineOf)}</section>`;

const lineOf = ({ label, text, loud }: Line): Html =>
  html`<p class="${loud ? 'loud' : 'plain'}">${label === null ? '' : html`<b>${label}</b> `}<bdi>${text}</bdi></p>`;
