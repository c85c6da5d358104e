import { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { ok, type Route, reply, route } from '../../platform/http/route.ts';
import { LANGUAGE_OF_RECORD } from '../../platform/language.ts';
import { readSheet } from './sheet.ts';
import { SHEET_POLICY, sheetPage } from './sheet-page.ts';
import { sheetPdf } from './sheet-pdf.ts';
import { LessonSheet, PrintedPage, PrintedPdf, SheetQuery, SheetRef } from './sheet-schema.ts';
import { readWeek } from './week.ts';
import { weekPage } from './week-page.ts';
import { WeekQuery, WeekRef, WeekSheet } from './week-schema.ts';

const PdfQuery = SheetQuery.extend({
  paper: z.enum(['a4', 'letter']).default('a4').meta({ description: 'How large a page' }),
});

// A coach is let in to their own sheet. Medical alerts are on it on the day alone, and reading them leaves a line.
const sheet = {
  tag: 'teaching',
  method: 'get',
  permission: 'sheets.read',
  scopes: ['franchise', 'gym', 'own-blocks'],
  params: SheetRef,
  traced: true,
} as const;
const week = {
  tag: 'teaching',
  method: 'get',
  permission: 'schedule.read',
  params: WeekRef,
  query: WeekQuery,
} as const;
const page = { 'Content-Security-Policy': SHEET_POLICY };

/** What is printed is in the language of all its other words. */
const readToPrint = (
  ctx: Context,
  { gymId, sessionId }: z.output<typeof SheetRef>,
  query: z.output<typeof SheetQuery>,
) => readSheet({ ...ctx, language: LANGUAGE_OF_RECORD }, gymId, sessionId, query);

export const sheetRoutes: Route[] = [
  route({
    ...sheet,
    path: '/gyms/{gymId}/sessions/{sessionId}/sheet',
    name: 'readLessonSheet',
    summary: 'What is taught in a session, for one coach or all of it: when, where, how, who spots, who steps in',
    query: SheetQuery,
    returns: { 200: LessonSheet },
  }).handle(async (ctx, { params, query }) => ok(await readSheet(ctx, params.gymId, params.sessionId, query))),

  route({
    ...sheet,
    path: '/gyms/{gymId}/sessions/{sessionId}/sheet.html',
    name: 'printLessonSheet',
    summary: 'The same as a page that prints on one side of A4 or Letter, in black and white',
    description:
      'Text is 9 points where there is room and 7 at the least. Where paper is short, these go, in this order, counted at the foot with the address of the whole: drawings, the focus, look-fors after the first, what to use instead, all look-fors, why something is adapted, steps for spare time. What keeps children safe stays; what one page cannot hold goes on to a second. No medical or legal advice; local code first.',
    query: SheetQuery,
    answers: 'text/html',
    returns: { 200: PrintedPage },
  }).handle(async (ctx, { params, query }) => reply(200, sheetPage(await readToPrint(ctx, params, query)), page)),

  route({
    ...sheet,
    path: '/gyms/{gymId}/sessions/{sessionId}/sheet.pdf',
    name: 'getLessonSheetPdf',
    summary: 'The same as a PDF',
    description:
      'Its font has Latin, Greek and Cyrillic. A name in another script stands as a mark such as “[Arabic 1]”, and a line at the top says which marks there are and to read them on the page.',
    query: PdfQuery,
    answers: 'application/pdf',
    returns: { 200: PrintedPdf },
  }).handleThenMake(async (ctx, { params, query: { paper, ...query } }) => {
    const sheet = await readToPrint(ctx, params, query);
    return async () => ok((await sheetPdf(sheet, paper === 'a4' ? 'A4' : 'LETTER')).toString('latin1'));
  }),

  route({
    ...week,
    path: '/gyms/{gymId}/weeks/{day}/sheet',
    name: 'readWeekSheet',
    summary: 'A gym’s week on one page: what each class is taught, and a plain line for desk and parents',
    returns: { 200: WeekSheet },
  }).handle(async (ctx, { params, query }) => ok(await readWeek(ctx, params.gymId, params.day, query))),

  route({
    ...week,
    path: '/gyms/{gymId}/weeks/{day}/sheet.html',
    name: 'printWeekSheet',
    summary: 'The same as a page that prints',
    answers: 'text/html',
    returns: { 200: PrintedPage },
  }).handle(async (ctx, { params, query }) =>
    reply(200, weekPage(await readWeek(ctx, params.gymId, params.day, query)), page),
  ),
];
