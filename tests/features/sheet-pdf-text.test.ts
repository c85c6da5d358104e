import { eq } from 'drizzle-orm';
import pdfmake from 'pdfmake';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import * as t from '../../src/tables/index.ts';
import { aFullLesson } from '../support/a-full-lesson.ts';
import { type Api, openApi } from '../support/api.ts';
import { readPdf, squeezed } from '../support/read-pdf.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

type FullLesson = Awaited<ReturnType<typeof aFullLesson>>;

async function printedBy({ at, coachId, manager }: FullLesson, paper: string) {
  const address = `${api.url}/v1${at}.pdf?personId=${coachId}&paper=${paper}`;
  const response = await fetch(address, { headers: { Authorization: `Bearer ${api.tokens.issue(manager)}` } });
  expect(response.status).toBe(200);
  return readPdf(new Uint8Array(await response.arrayBuffer()));
}

const sheetOf = async ({ at, coachId, manager }: FullLesson) =>
  (await api.as(manager).get<LessonSheet>(`${at}?personId=${coachId}`)).body;

/** What keeps children safe, as often as it has to be said. */
const safetyIn = ({ alerts, parts }: LessonSheet): string[] => [
  ...alerts.map(({ name, group, alerts: said }) => `Medical: ${name} (${group}) ${said}`),
  ...parts.flatMap(({ title, classRule, turns, stations }) => [
    title,
    `Class rule ${classRule}`,
    ...turns.flatMap(({ spotters, standIns }) => [
      ...spotters.map(({ name, station }) => `Spots ${name}: ${station}`),
      ...standIns.flatMap(({ by }) => `If you have to leave ${by.map(({ name }) => name).join(', or ')} may step in`),
    ]),
    ...stations.flatMap(({ name, spotting, steps }, index) => [
      `${index + 1} ${name}`,
      ...(spotting.mode === 'none' ? [] : [`Stand by ${spotting.by}`]),
      ...steps
        .slice(0, 1)
        .flatMap(({ drills }) =>
          drills.flatMap((drill) => [
            drill.name,
            `Say first ${drill.sayFirst}`,
            `If it goes wrong ${drill.ifItGoesWrong}`,
          ]),
        ),
    ]),
  ]),
];

/** What is said less often than it should be: each time has to stand somewhere. */
function lacking(said: readonly string[], text: string): string[] {
  const wanted = new Map<string, number>();
  for (const one of said) wanted.set(squeezed(one), (wanted.get(squeezed(one)) ?? 0) + 1);
  return [...wanted].filter(([one, times]) => text.split(one).length - 1 < times).map(([one]) => one);
}

describe.each([
  { stations: 1, drawn: true, pages: 1 },
  { stations: 2, drawn: true, pages: 1 },
  { stations: 6, drawn: true, pages: 1 },
  { stations: 12, drawn: false, pages: 2 },
])('the PDF of four blocks of $stations stations', ({ stations, drawn, pages: expected }) => {
  let lesson: FullLesson;
  let sheet: LessonSheet;
  beforeAll(async () => {
    lesson = await aFullLesson(api, { stations, drawn });
    sheet = await sheetOf(lesson);
  });

  test.each(['a4', 'letter'])('says on %s all that keeps children safe, in letters that can be read', async (paper) => {
    const { pages, smallest } = await printedBy(lesson, paper);
    expect(pages).toHaveLength(expected);
    for (const [at, page] of pages.entries()) expect(page).toContain(`Page ${at + 1} of ${expected}`);
    const said = safetyIn(sheet);
    expect(said).toContain('Class rule Nobody goes until the coach says the name.');
    expect(said.filter((one) => one.startsWith('Spots'))).toHaveLength(3);
    const text = squeezed(pages.join(' '));
    expect(lacking(said, text)).toEqual([]);
    expect(text.split(squeezed('Water first')).length - 1).toBe(1);
    // 7 points: common practice, no source.
    expect(smallest).toBeGreaterThanOrEqual(6.99);
  });

  test('says what was left out, and where it is', async () => {
    const { pages } = await printedBy(lesson, 'a4');
    const text = squeezed(pages.join(' '));
    const leavesOut = text.includes(squeezed('Left out for want of room'));
    expect(leavesOut).toBe(stations > 1);
    if (leavesOut) expect(text).toContain(squeezed(`In full: /v1${lesson.at}`));
  });
});

test('a name in letters that its font has not stands as a mark that says where to read it', async () => {
  const lesson = await aFullLesson(api, { stations: 1 });
  const [child = ''] = lesson.children;
  await lesson.f.arrange((tx) =>
    tx.update(t.personNames).set({ given: 'ليلى', family: 'حداد' }).where(eq(t.personNames.personId, child)),
  );
  const { pages } = await printedBy(lesson, 'a4');
  const text = squeezed(pages.join(' '));
  expect(text).toContain(squeezed('Medical: [Arabic 1] (Group 1) Nut allergy: pen in the red bag'));
  expect(text).toContain(squeezed(`Not printed here [Arabic 1]`));
  expect(text).toContain(squeezed(`/v1${lesson.at}.html`));
  const page = await api.as(lesson.manager).get(`${lesson.at}.html?personId=${lesson.coachId}`);
  expect(page.text).toContain('ليلى حداد');
});

test('no transaction waits while it is made', async () => {
  const lesson = await aFullLesson(api, { stations: 1 });
  const { servicePool } = api.database;
  const createPdf = pdfmake.createPdf.bind(pdfmake);
  const open: number[] = [];
  const spy = vi.spyOn(pdfmake, 'createPdf').mockImplementation((document) => {
    open.push(servicePool.totalCount - servicePool.idleCount);
    return createPdf(document);
  });
  await printedBy(lesson, 'a4');
  spy.mockRestore();
  expect([open.length > 0, ...new Set(open)]).toEqual([true, 0]);
});
