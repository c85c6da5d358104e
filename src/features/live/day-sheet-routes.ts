import { ok, type Route, reply, route } from '../../platform/http/route.ts';
import { readDaySheet } from './day-sheet.ts';
import { daySheetPage, PAGE_POLICY } from './day-sheet-page.ts';
import { DaySheet, DaySheetQuery, DaySheetRef, MOST_ATHLETES, MOST_SESSIONS, Page } from './day-sheet-schema.ts';

const sheet = {
  tag: 'live',
  method: 'get',
  permission: 'contacts.read',
  params: DaySheetRef,
  query: DaySheetQuery,
  traced: true,
} as const;

const bounds = `At most ${MOST_SESSIONS} sessions, and ${MOST_ATHLETES} athletes of each; the sheet counts what it leaves out, which can be had with \`sessionId\`.`;

export const daySheetRoutes: Route[] = [
  route({
    ...sheet,
    path: '/gyms/{gymId}/days/{day}/sheet',
    name: 'readDaySheet',
    summary: 'The day on paper: rolls, who is where, who may collect, whom to call; reading it leaves a trace',
    description: `For when the network is down. ${bounds} No medical advice; local code first.`,
    returns: { 200: DaySheet },
  }).handle(async (ctx, { params: { gymId, day }, query }) => ok(await readDaySheet(ctx, gymId, day, query.sessionId))),

  route({
    ...sheet,
    path: '/gyms/{gymId}/days/{day}/sheet.html',
    name: 'printDaySheet',
    summary: 'The same as a page that prints, at A4 and Letter, in black and white',
    description: `One page to clear the building by, then one for each session; it needs nothing but itself, so it can be kept as a file. ${bounds} No medical advice; local code first.`,
    answers: 'text/html',
    returns: { 200: Page },
  }).handle(async (ctx, { params: { gymId, day }, query }) => {
    const page = daySheetPage(await readDaySheet(ctx, gymId, day, query.sessionId));
    return reply(200, page, { 'Content-Security-Policy': PAGE_POLICY });
  }),
];
