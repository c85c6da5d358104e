import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { APPARATUS } from '../support/a-franchise.ts';
import { aFullLesson, WHAT } from '../support/a-full-lesson.ts';
import { aLesson, aSpotter } from '../support/a-lesson.ts';
import { type Api, openApi } from '../support/api.ts';
import { type Browser, findBrowser, openBrowser } from '../support/browser.ts';
import { readPdf } from '../support/read-pdf.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

test('of the whole session, groups that are taught the same stand together, each with its time', async () => {
  const { at, manager, session } = await aFullLesson(api, { stations: 1 });
  const { body } = await api.as(manager).get<LessonSheet>(at);
  expect(body.coach).toBeNull();
  expect(body.parts.map(({ turns }) => turns.map(({ group }) => group).sort())).toEqual(
    APPARATUS.map(() => ['Group 1', 'Group 2']),
  );
  const [, second] = session.groups;
  const unstaffed = body.parts.flatMap(({ turns }) => turns.filter(({ groupId }) => groupId === second?.id));
  expect(unstaffed.map(({ covered, staff, standIns }) => [covered, staff, standIns])).toEqual(
    APPARATUS.map(() => [false, [], []]),
  );
  expect(unstaffed[0]?.why[0]).toMatch(/need/);
});

test('stations in turn say when; what is written in a plan is text on the page, never markup', async () => {
  const lesson = await aLesson(api);
  const { f, gym, session, manager } = lesson;
  await f.arrange(async (tx) => {
    await tx
      .update(t.planBlocks)
      .set({ stationsRun: 'in-turn', classRule: '<script>alert(1)</script>' })
      .where(eq(t.planBlocks.franchiseId, f.id));
    await tx.insert(t.planStations).values({
      franchiseId: f.id,
      id: newId(),
      planBlockId: lesson.version.blocks[0]?.id ?? '',
      position: 2,
      name: 'High bar',
      setUp: '',
      apparatusId: f.apparatus.bars,
      items: 1,
      spotting: { mode: 'none' },
    });
  });
  const at = `${gym}/sessions/${session.id}/sheet`;
  const [part] = (await manager.get<LessonSheet>(at)).body.parts;
  expect(part?.stations.map(({ name, fromMinute, toMinute }) => [name, fromMinute, toMinute])).toEqual([
    ['Low bar', 0, 10],
    ['High bar', 10, 20],
  ]);
  const page = await manager.get(`${at}.html`);
  expect(page.headers.get('Content-Security-Policy')).toMatch(/^default-src 'none'; style-src 'sha256-/);
  expect(page.text).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
  expect(page.text).not.toMatch(/<script|<img|https?:/);
});

test('blocks come in the order of the plan', async () => {
  const { at, coachId, manager } = await aFullLesson(api, { stations: 1 });
  const { body } = await api.as(manager).get<LessonSheet>(`${at}?personId=${coachId}`);
  expect(body.parts.flatMap(({ stations }) => stations.map(({ name }) => name))).toEqual(
    APPARATUS.map((name) => `${WHAT[name]} 1`),
  );
});

test('a station’s drawing is on its sheet and page; where it has none, its first drill’s that has one', async () => {
  const diagram = (title: string) => ({ title, widthCm: 300, depthCm: 200, pieces: [], arrows: [], people: [] });
  const lesson = await aLesson(api);
  const { f, gym, session, manager } = lesson;
  const at = `${gym}/sessions/${session.id}/sheet`;
  const drawnAs = async () => {
    const { parts } = (await manager.get<LessonSheet>(at)).body;
    const { text } = await manager.get(`${at}.html`);
    const titles = [...text.matchAll(/<title id="[^"]*">([^<]*)/g)].map(([, title]) => title);
    return [parts.flatMap(({ stations }) => stations.map(({ setUp }) => setUp.diagram?.title ?? null)), titles];
  };
  expect(await drawnAs()).toEqual([[null], []]);
  const ofHang = { diagram: diagram('Long hang from the side') };
  await f.arrange((tx) => tx.update(t.drills).set(ofHang).where(eq(t.drills.id, lesson.drills.hang.id)));
  expect(await drawnAs()).toEqual([[ofHang.diagram.title], [ofHang.diagram.title]]);
  const ofStation = { diagram: diagram('Low bar from above') };
  await f.arrange((tx) => tx.update(t.planStations).set(ofStation).where(eq(t.planStations.id, lesson.stationId)));
  expect(await drawnAs()).toEqual([[ofStation.diagram.title], [ofStation.diagram.title]]);
});

test('look-fors are in the sheet and on the page; the page says all that a coach needs on the day', async () => {
  const lesson = await aLesson(api);
  const { f, gym, session, coach, children } = lesson;
  const [aoife = ''] = children;
  await f.arrange((tx) =>
    tx.insert(t.personHealth).values({ franchiseId: f.id, personId: aoife, alerts: 'Nut allergy: pen in the red bag' }),
  );
  await aSpotter(lesson, 1, 'Orla');
  const at = `${gym}/sessions/${session.id}/sheet`;
  const [tuck, hang] = (await coach.get<LessonSheet>(at)).body.parts.flatMap(({ stations }) =>
    stations.flatMap(({ steps }) => steps.flatMap(({ drills }) => drills.map(({ lookFors }) => lookFors))),
  );
  expect(tuck).toEqual([{ phase: 'tuck', right: 'knees to chest', wrong: 'swinging', say: 'Squeeze' }]);
  expect(hang?.map(({ say }) => say)).toEqual(['Toes in sight', 'Thumbs under']);

  const { text } = await coach.get(`${at}.html`);
  const page = text.replaceAll(/<style[\s\S]*?<\/style>|<[^>]*>/g, ' ').replaceAll(/\s+/g, ' ');
  for (const words of [
    'Medical: Aoife Walsh (Group 1) Nut allergy: pen in the red bag',
    '17:00–17:20 Group 1 4 athletes · bars · Ciara Doyle leads',
    'Spots Ciara Doyle: Low bar',
    'If you have to leave Orla Byrne may step in.',
    '1 Low bar',
    '1. Tuck hang · 3 turns',
    '2. Long hang',
    'right: knees to chest; wrong: swinging; say “Squeeze”',
    'say “Thumbs under”',
  ]) {
    expect(page).toContain(words);
  }
});

describe.each([1, 2, 6])('a coach with four blocks of %i stations', (stations) => {
  let lesson: Awaited<ReturnType<typeof aFullLesson>>;
  let browser: Browser | null = null;
  const executable = findBrowser();
  beforeAll(async () => {
    lesson = await aFullLesson(api, { stations, drawn: true });
    if (executable !== null) browser = await openBrowser(executable);
  });
  afterAll(() => browser?.close());
  const query = () => `?personId=${lesson.coachId}`;

  test.runIf(executable !== null).each([
    ['A4', 210],
    ['Letter', 216],
  ])('prints on one side of %s, nothing over the edge, without colour or complaint', async (format, millimetres) => {
    const opened = await browser?.open(`${api.url}/v1${lesson.at}.html${query()}`, {
      headers: { Authorization: `Bearer ${api.tokens.issue(lesson.manager)}` },
      width: Math.floor(((millimetres - 20) * 96) / 25.4),
    });
    if (!opened) throw new Error('there is a browser');
    const { page, complaints } = opened;
    const printed = await readPdf(await page.pdf({ format, preferCSSPageSize: false }));
    expect(printed.pages).toHaveLength(1);
    // 7 points: common practice, no source.
    expect(printed.smallest).toBeGreaterThanOrEqual(6.99);
    await page.emulateMedia({ media: 'print' });
    const seen = await page.evaluate<{ over: string[]; colours: string[]; drawn: number }>(`(() => {
      const wide = document.documentElement.clientWidth;
      const all = [...document.body.querySelectorAll('*')];
      const grey = (colour) => { const [r, g, b] = colour.match(/[\\d.]+/g); return r === g && g === b; };
      return {
        over: all.filter((one) => one.getBoundingClientRect().right > wide + 1).map((one) => one.outerHTML.slice(0, 120)),
        colours: all.flatMap((one) => { const { color, borderTopColor } = getComputedStyle(one); return [color, borderTopColor]; })
          .filter((colour) => !grey(colour)),
        drawn: document.querySelectorAll('svg').length,
      };
    })()`);
    expect(seen).toEqual({ over: [], colours: [], drawn: stations === 1 ? 4 : 0 });
    expect(complaints).toEqual([]);
  });

  test.runIf(executable !== null).each(['A4', 'Letter'])(
    'the lead’s week prints on one side of %s, and so does the sheet of the whole session, or it says which page is which',
    async (format) => {
      const pagesOf = async (path: string) => {
        const opened = await browser?.open(`${api.url}/v1${path}`, {
          headers: { Authorization: `Bearer ${api.tokens.issue(lesson.manager)}` },
        });
        if (!opened) throw new Error('there is a browser');
        const { pages, smallest } = await readPdf(await opened.page.pdf({ format }));
        expect(opened.complaints).toEqual([]);
        expect(smallest).toBeGreaterThanOrEqual(6.99);
        return pages;
      };
      expect(await pagesOf(`/gyms/${lesson.f.gym.id}/weeks/2026-09-14/sheet.html`)).toHaveLength(1);
      const pages = await pagesOf(`${lesson.at}.html`);
      expect(pages).toHaveLength(stations === 6 ? 2 : 1);
      const said = pages.map((page) => /Page (\d) of (\d)/.exec(page)?.slice(1).join('/'));
      expect(said).toEqual(stations === 6 ? ['1/2', '2/2'] : [undefined]);
    },
  );
});
