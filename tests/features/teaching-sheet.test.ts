import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, aStep, writing } from '../support/a-draft.ts';
import { APPARATUS, type ApparatusName, aFranchise, type Member } from '../support/a-franchise.ts';
import { aLesson, aSpotter } from '../support/a-lesson.ts';
import type { PublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { type Browser, findBrowser, openBrowser } from '../support/browser.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

const LONG = ['Sadhbh-Caoilfhionn', 'Muireann-Éabha', 'Oisín', 'Fionnghuala-Bríd', 'Tadhg', 'Blaithnaid-Róisín'];

/** A coach with so many stations a block in four blocks: words as a lead writes them. */
async function aFullLesson(stations: number) {
  const f = await aFranchise(api);
  await aRule(f, { body: oneTo(12) });
  const lead = api.as(f.lead);
  const write = writing(f, lead);
  const kind = await aQualificationKind(f, { name: 'Hand spotting' });
  const programme = await write.aProgramme('Recreational');
  const [bronze = '', silver = ''] = programme.levels.map(({ id }) => id);
  const blocks = [];
  for (const [number, name] of APPARATUS.entries()) {
    const on = { apparatusId: f.apparatus[name] };
    const made = [];
    for (let at = 1; at <= stations; at += 1) {
      const isSpotted = at === 1 && name !== 'floor';
      const drill = await write.aDrill({
        ...on,
        name: `${WHAT[name]}, part ${at} of the way`,
        sayFirst: 'One at a time; wait behind the cone until the mat is clear.',
        ifItGoesWrong: 'Stop, feet down, step off to the side.',
        spotting: isSpotted ? { mode: 'stand-by', kindId: kind.id, grade: 1 } : { mode: 'none' },
        lookFors: [
          { phase: 'Start', right: 'arms by the ears', wrong: 'looking down', say: 'Tall, eyes on the wall' },
          { phase: 'Finish', right: 'two feet, knees soft', wrong: 'one foot first', say: 'Stick it' },
        ],
      });
      made.push(
        write.aStation([], {
          ...on,
          name: `${WHAT[name]} ${at}`,
          setUp: {
            words: 'Panel mat lengthways, cone at each end',
            pieces: [
              {
                apparatusId: f.apparatus.floor,
                amount: 1,
                job: 'landing',
                forMixedSizes: false,
                orInstead: [{ apparatusId: f.apparatus.vault, amount: 2 }],
              },
            ],
            staysUp: at === stations,
            diagram: null,
          },
          steps: [
            aStep([drill.id]),
            aStep([drill.id], {
              weight: 'if-time',
              fromLevelId: silver,
              dose: { amount: 10, unit: 'seconds', sets: 2, eachSide: true, note: null },
            }),
          ],
        }),
      );
    }
    blocks.push(
      aBlock(made, {
        title: `${WHAT[name]} (rotation ${number + 1})`,
        minutes: 15,
        classRule: 'Nobody goes until the coach says the name.',
      }),
    );
  }
  const draft = await write.aDraft(programme.id);
  const written = await write.write(draft.id, draft.draft.revision, {
    focus: APPARATUS.slice(0, 2).map((name) => ({
      apparatusId: f.apparatus[name],
      skills: [],
      nextWeek: 'The same from a low block.',
    })),
    blocks,
  });
  const version = await write.publish(draft.id, written.revision, { note: 'The wedge is the short one.' });
  const plan: PublishedPlan = {
    id: draft.id,
    versionId: version.id,
    programme: { id: programme.id, levels: [bronze, silver, silver] },
    blocks: version.blocks.map(({ id, minutes }, index) => ({
      id,
      minutes,
      areasOn: APPARATUS[index] ?? 'floor',
      stations: [],
    })),
  };
  const children: string[] = [];
  for (const given of [...LONG, ...LONG])
    children.push(await anAthlete(f, { given, family: 'Nic Giolla Phádraig-Fitzsimons' }));
  const of = await aClass(f, { programme: plan.programme, levels: [bronze, silver] });
  const session = await aSession(f, { plan, class: of, groups: [children, 6] });
  const holds = [{ kind, grade: 3 }];
  const coachId = await aStaffMember(f, { given: 'Ciarán-Pádraig', family: 'Ó Maolalaidh-Fitzsimons', holds });
  await aStaffMember(f, { given: 'Orla', family: 'Keane', holds });
  for (const block of session.blocks) await anAssignment(f, block, coachId);
  const [first = ''] = children;
  await f.arrange((tx) =>
    tx.insert(t.personHealth).values({ franchiseId: f.id, personId: first, alerts: 'Nut allergy: pen in the red bag' }),
  );
  return {
    f,
    session,
    coachId,
    manager: f.managerOf(f.gym),
    at: `/gyms/${f.gym.id}/sessions/${session.id}/sheet`,
    children,
  };
}
const WHAT: Record<ApparatusName, string> = {
  floor: 'Forward roll to stand',
  vault: 'Run, rebound and land',
  bars: 'Long hang and tuck',
  beam: 'Walk, turn and dismount',
};

const pagesIn = (pdf: Buffer) => pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length;
const bytesOf = async (path: string, member: Member) => {
  const response = await fetch(`${api.url}/v1${path}`, {
    headers: { Authorization: `Bearer ${api.tokens.issue(member)}` },
  });
  return { type: response.headers.get('Content-Type'), bytes: Buffer.from(await response.arrayBuffer()) };
};

test('of the whole session, groups that are taught the same stand together, each with its time', async () => {
  const { at, manager, session } = await aFullLesson(1);
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
  const { at, coachId, manager } = await aFullLesson(1);
  const { body } = await api.as(manager).get<LessonSheet>(`${at}?personId=${coachId}`);
  expect(body.parts.flatMap(({ stations }) => stations.map(({ name }) => name))).toEqual(
    APPARATUS.map((name) => `${WHAT[name]} 1`),
  );
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

describe.each([2, 6])('a coach with four blocks of %i stations', (stations) => {
  let lesson: Awaited<ReturnType<typeof aFullLesson>>;
  let browser: Browser | null = null;
  const executable = findBrowser();
  beforeAll(async () => {
    lesson = await aFullLesson(stations);
    if (executable !== null) browser = await openBrowser(executable);
  });
  afterAll(() => browser?.close());
  const query = () => `?personId=${lesson.coachId}`;

  test('has one page of PDF, at A4 and Letter', async () => {
    for (const paper of ['a4', 'letter']) {
      const { type, bytes } = await bytesOf(`${lesson.at}.pdf${query()}&paper=${paper}`, lesson.manager);
      expect([type, bytes.subarray(0, 5).toString(), pagesIn(bytes)]).toEqual(['application/pdf', '%PDF-', 1]);
    }
  });

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
    const pdf = await page.pdf({ format, preferCSSPageSize: false });
    expect(pagesIn(pdf)).toBe(1);
    await page.emulateMedia({ media: 'print' });
    const seen = await page.evaluate<{ over: string[]; colours: string[]; smallest: number }>(`(() => {
      const wide = document.documentElement.clientWidth;
      const all = [...document.body.querySelectorAll('*')];
      const grey = (colour) => { const [r, g, b] = colour.match(/[\\d.]+/g); return r === g && g === b; };
      return {
        over: all.filter((one) => one.getBoundingClientRect().right > wide + 1).map((one) => one.outerHTML.slice(0, 120)),
        colours: all.flatMap((one) => { const { color, borderTopColor } = getComputedStyle(one); return [color, borderTopColor]; })
          .filter((colour) => !grey(colour)),
        smallest: Math.min(...all.map((one) => parseFloat(getComputedStyle(one).fontSize))) * 0.75,
      };
    })()`);
    expect(seen).toMatchObject({ over: [], colours: [] });
    expect(seen.smallest).toBeGreaterThan(5);
    expect(complaints).toEqual([]);
  });

  test.runIf(executable !== null).each(['A4', 'Letter'])(
    'the lead’s week, and the sheet of the whole session, print on one side of %s',
    async (format) => {
      for (const path of [`/gyms/${lesson.f.gym.id}/weeks/2026-09-14/sheet.html`, `${lesson.at}.html`]) {
        const opened = await browser?.open(`${api.url}/v1${path}`, {
          headers: { Authorization: `Bearer ${api.tokens.issue(lesson.manager)}` },
        });
        const pdf = await opened?.page.pdf({ format });
        expect([pdf && pagesIn(pdf), opened?.complaints]).toEqual([1, []]);
      }
    },
  );
});
