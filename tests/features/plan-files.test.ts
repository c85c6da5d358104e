import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ImportReport } from '../../src/features/curriculum/file-schema.ts';
import type { SentContent } from '../../src/features/curriculum/plan-content-schema.ts';
import type { LessonPlan, PlanCheck, WholePlanVersion } from '../../src/features/curriculum/plan-schema.ts';
import type { Programme } from '../../src/features/curriculum/schema.ts';
import { ACTIVITIES, DOSE_UNITS, FORMATIONS, JOBS, STANDINGS } from '../../src/tables/plans.ts';
import { aBlock, aStep, content, writing } from '../support/a-draft.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Answer, type Api, type Caller, openApi } from '../support/api.ts';
import { aDrill } from '../support/drills.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

const SKILLS = ['Forward roll', '=Cartwheel', 'Équilibre'];
const LEVELS = ['Acorn', 'Sapling, tall', '"Oak"'];
const DRILLS = ['-Rock', 'Tuck, roll', 'Handstand "kick"'];
const ON = ['floor', 'vault', 'bars', 'beam'] as const;

interface Gymnastics {
  f: Franchise;
  lead: Caller;
  programmes: Programme[];
  skillIds: string[];
  /** The first two on the floor, the third on the beam. */
  drillIds: string[];
}

/** A franchise with a vocabulary that is the same in each, and no plan. */
async function aSchool(): Promise<Gymnastics> {
  const f = await aFranchise(api);
  const lead = api.as(f.lead);
  const programmes: Programme[] = [];
  for (const name of ['-Recreational', 'Squad']) {
    const levels = LEVELS.map((level) => ({ name: level }));
    programmes.push((await lead.post<Programme>('/programmes', { name, levels })).body);
  }
  const skillIds: string[] = [];
  for (const name of SKILLS)
    skillIds.push((await lead.post('/skills', { name, apparatusId: f.apparatus.bars })).body.id);
  const drillIds: string[] = [];
  for (const [at, name] of DRILLS.entries()) {
    drillIds.push((await aDrill(lead, f, { name, apparatusId: at < 2 ? f.apparatus.floor : f.apparatus.beam })).id);
  }
  return { f, lead, programmes, skillIds, drillIds };
}

type Format = 'csv' | 'jsonl';
const exported = async (as: Caller, format: Format) => {
  const answer = await as.get<string>(`/lesson-plan-export.${format}`);
  expect(answer.status).toBe(200);
  return answer.text;
};
const imported = (as: Caller, format: Format, text: string, more: object = {}): Promise<Answer<ImportReport>> =>
  as.post<ImportReport>('/lesson-plan-imports', { format, text, ...more });
const lines = (...rows: object[]) => rows.map((row) => `${JSON.stringify(row)}\n`).join('');
const row = (title: string, more: object = {}) => ({
  title,
  weekOf: '2026-09-14',
  programmes: ['Squad'],
  ...more,
});
const allPlans = async (as: Caller) => (await as.get<{ items: LessonPlan[] }>('/lesson-plans?limit=200')).body.items;
const whole = { added: 0, changed: 0, skipped: 0, refused: 0, faults: [], faultsLeftOut: 0 };

describe('what is exported is imported again', () => {
  const text = (maxLength: number) =>
    fc.string({
      unit: fc.constantFrom('a', 'É', '"', ',', '=', '-', "'", '\t', '\n', '\r', ' ', '🤸', '{'),
      maxLength,
    });
  const line = (maxLength: number) =>
    fc
      .string({
        unit: fc.constantFrom('a', 'É', '"', ',', '=', '+', '@', "'", ' ', '🤸', '7'),
        minLength: 1,
        maxLength,
      })
      .filter((one) => /\S/.test(one));
  const on = fc.nat(3);
  const amount = fc.integer({ min: 1, max: 99 });
  const piece = fc
    .record({
      kinds: fc.uniqueArray(on, { minLength: 1, maxLength: 3 }),
      amount,
      job: fc.constantFrom(...JOBS),
      mixed: fc.boolean(),
    })
    .map(({ kinds, amount: many, job, mixed }) => ({ kinds, many, job, forMixedSizes: mixed && job === 'raise' }));
  const dose = fc.oneof(
    fc.record({
      amount: fc.integer({ min: 1, max: 9999 }),
      unit: fc.constantFrom(...DOSE_UNITS),
      sets: fc.integer({ min: 1, max: 20 }),
      eachSide: fc.boolean(),
      note: fc.option(line(9)),
    }),
    fc.record({
      amount: fc.constant(null),
      unit: fc.constant(null),
      sets: fc.constant(1),
      eachSide: fc.boolean(),
      note: line(9),
    }),
  );
  const step = fc.record({
    drills: fc.uniqueArray(fc.nat(2), { minLength: 1, maxLength: 3 }),
    chooseBy: line(9),
    from: fc.option(fc.tuple(fc.nat(1), fc.nat(2))),
    dose,
    weight: fc.constantFrom('core', 'extend', 'if-time'),
  });
  const diagram = line(8).map((title) => ({ title, widthCm: 300, depthCm: 200, pieces: [], arrows: [], people: [] }));
  const station = fc.record({
    name: line(10),
    on,
    items: amount,
    words: text(20),
    pieces: fc.array(piece, { maxLength: 3 }),
    staysUp: fc.boolean(),
    diagram: fc.option(diagram),
    places: fc.option(fc.integer({ min: 1, max: 60 })),
    steps: fc.array(step, { maxLength: 3 }),
  });
  const block = fc.record({
    title: line(10),
    activity: fc.constantFrom(...ACTIVITIES),
    minutes: fc.integer({ min: 0, max: 240 }),
    on: fc.uniqueArray(on, { maxLength: 3 }),
    formation: fc.constantFrom(...FORMATIONS),
    importance: fc.integer({ min: 1, max: 9 }),
    classRule: text(20),
    waterFirst: fc.boolean(),
    stationsRun: fc.constantFrom('side-by-side', 'in-turn'),
    stations: fc.array(station, { maxLength: 3 }),
  });
  const focus = fc.record({
    on,
    nextWeek: fc.option(line(12)),
    skills: fc.uniqueArray(fc.tuple(fc.nat(2), fc.constantFrom(...STANDINGS)), {
      maxLength: 3,
      selector: ([at]) => at,
    }),
  });
  const plan = fc.record({
    title: line(10),
    weekOf: fc.constantFrom('2026-09-07', '2026-09-14'),
    programmes: fc.uniqueArray(fc.nat(1), { minLength: 1, maxLength: 2 }),
    focus: fc.uniqueArray(focus, { maxLength: 3, selector: (one) => one.on }),
    blocks: fc.array(block, { maxLength: 3 }),
  });
  type Plan = typeof plan extends fc.Arbitrary<infer T> ? T : never;

  function sent({ f, programmes, skillIds, drillIds }: Gymnastics, said: Plan): SentContent {
    const apparatus = (at: number) => f.apparatus[ON[at] ?? 'floor'];
    return {
      focus: said.focus.map(({ on: at, nextWeek, skills }) => ({
        apparatusId: apparatus(at),
        nextWeek,
        skills: skills.map(([skill, standing]) => ({ skillId: skillIds[skill] ?? '', standing })),
      })),
      blocks: said.blocks.map(({ on: many, stations, ...more }) => ({
        ...more,
        apparatusIds: many.map(apparatus),
        stations: stations.map(({ on: at, words, pieces, staysUp, diagram: drawn, steps, ...station }) => ({
          ...station,
          apparatusId: apparatus(at),
          setUp: {
            words,
            staysUp,
            diagram: drawn,
            pieces: pieces.map(({ kinds: [kind = 0, ...instead], many: amountOf, job, forMixedSizes }) => ({
              apparatusId: apparatus(kind),
              amount: amountOf,
              job,
              forMixedSizes,
              orInstead: instead.map((one) => ({ apparatusId: apparatus(one), amount: 2 })),
            })),
          },
          steps: steps.map(({ drills, chooseBy, from, ...step }) => ({
            ...step,
            drillIds: drills.map((one) => drillIds[one] ?? ''),
            chooseBy: drills.length > 1 ? chooseBy : null,
            fromLevelId: from === null ? null : (programmes[from[0]]?.levels[from[1]]?.id ?? ''),
          })),
        })),
      })),
    };
  }

  test('into a franchise of the same vocabulary, and its export is the same to the letter', async () => {
    const many = fc.uniqueArray(plan, {
      maxLength: 4,
      selector: ({ title, weekOf }) => `${weekOf} ${title.toLowerCase()}`,
    });
    await fc.assert(
      fc.asyncProperty(many, fc.constantFrom<Format>('csv', 'jsonl'), async (some, format) => {
        const [one, other] = [await aSchool(), await aSchool()];
        const lessons = writing(one.f, one.lead);
        for (const said of some) {
          const programmeIds = said.programmes.map((at) => one.programmes[at]?.id ?? '');
          const { title, weekOf } = said;
          const begun = await one.lead.post<LessonPlan>('/lesson-plans', { title, weekOf, programmeIds });
          await lessons.write(begun.body.id, 1, sent(one, said));
        }
        const before = { csv: await exported(one.lead, 'csv'), jsonl: await exported(one.lead, 'jsonl') };
        if (some.length > 0) {
          const report = await imported(other.lead, format, before[format]);
          expect(report.body).toEqual({ ...whole, rows: some.length, added: some.length });
        }
        expect({ csv: await exported(other.lead, 'csv'), jsonl: await exported(other.lead, 'jsonl') }).toEqual(before);
        const cells = parse(before.csv).flat();
        expect(cells.filter((cell) => /^[=+\-@\t\r\n]/.test(cell))).toEqual([]);
      }),
      { numRuns: 20 },
    );
  });
});

const HEAD = [
  'plan',
  'week of',
  'programme 1',
  'focus on',
  'next week',
  'focus skill 1 name',
  'focus skill 1 apparatus',
  'focus skill 1 standing',
  'block',
  'activity',
  'minutes',
  'formation',
  'importance',
  'class rule',
  'water first',
  'stations run',
  'block apparatus 1',
  'station',
  'station on',
  'items',
  'set-up',
  'stays up',
  'places',
  'diagram',
  'piece',
  'piece amount',
  'piece job',
  'piece for mixed sizes',
  'choose by',
  'from programme',
  'from level',
  'dose',
  'dose unit',
  'sets',
  'each side',
  'dose note',
  'weight',
  'drill 1 name',
  'drill 1 apparatus',
].join(',');

test('as a spreadsheet sees it: a line a step, which says from left to right what it is in', async () => {
  const { f, lead, programmes, skillIds, drillIds } = await aSchool();
  const lessons = writing(f, lead);
  const [rock = '', tuck = ''] = drillIds;
  const plan = await lessons.aDraft(programmes[1]?.id);
  await lessons.write(plan.id, 1, {
    focus: [
      { apparatusId: f.apparatus.bars, nextWeek: 'Higher.', skills: [{ skillId: skillIds[1] ?? '', standing: 'new' }] },
    ],
    blocks: [
      aBlock([
        lessons.aStation([rock, tuck], {
          setUp: {
            words: 'Wedge,\nmat',
            staysUp: true,
            pieces: [{ apparatusId: f.apparatus.vault, amount: 2, job: 'raise', forMixedSizes: true, orInstead: [] }],
          },
        }),
        lessons.aStation([], { name: 'Wall' }),
      ]),
    ],
  });
  const answer = await lead.get<string>('/lesson-plan-export.csv');
  expect(answer.headers.get('Content-Type')).toBe('text/csv; charset=utf-8');
  expect(answer.headers.get('Content-Disposition')).toBe('attachment; filename="lesson-plans.csv"');
  expect(answer.text).toBe(
    [
      HEAD,
      `Rolls,2026-09-14,Squad,bars,Higher.,'=Cartwheel,,new${','.repeat(31)}`,
      `,,,,,,,,Floor,apparatus,15,stations,1,One at a time.,no,side-by-side,floor,Wedge,floor,1,"Wedge,\nmat",yes,,,vault,2,raise,yes,,,,3,turns,1,no,,core,'-Rock,`,
      ',,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,3,turns,1,no,,core,"Tuck, roll",',
      ',,,,,,,,,,,,,,,,,Wall,floor,1,"One wedge to slope, one mat to land on",no,,,,,,,,,,,,,,,,,',
      '',
    ].join('\r\n'),
  );
  // What is left out in a file is left to its default, and columns may stand in any order.
  const text = [
    'week of,plan,programme 1,block,minutes,station,station on,drill 1 name,dose',
    '2026-09-21,Later,squad,Floor,10,Wedge,Floor,-rock,5',
  ].join('\n');
  const refused = (await imported(lead, 'csv', text)).body;
  expect(refused.faults.map(({ line, column, detail }) => [line, column, detail])).toEqual([
    [2, 'dose unit', 'Send an amount with its unit, or neither.'],
  ]);
  const mended = text.replace('dose', 'dose,dose unit').replace(/5$/, '5,turns');
  expect((await imported(lead, 'csv', mended)).body).toEqual({ ...whole, rows: 1, added: 1 });
  const [, later] = await allPlans(lead);
  const draft = (await lead.get<WholePlanVersion>(`/lesson-plans/${later?.id}/draft`)).body;
  expect(draft).toMatchObject({ number: 1, state: 'draft', focus: [] });
  expect(draft.blocks).toEqual([
    {
      ...aBlock([]),
      id: expect.any(String),
      minutes: 10,
      apparatusIds: [],
      classRule: '',
      stations: [
        {
          ...lessons.aStation([rock]),
          id: expect.any(String),
          spotting: null,
          setUp: { words: '', pieces: [], staysUp: false, diagram: null },
          steps: [aStep([rock], { dose: { amount: 5, unit: 'turns', sets: 1, eachSide: false, note: null } })],
        },
      ],
    },
  ]);
  // It is a draft like any other: what is missing the check says.
  const check = (await lead.get<PlanCheck>(`/lesson-plans/${later?.id}/draft/check`)).body;
  expect(check.faults.map(({ pointer }) => pointer)).toEqual([
    '/blocks/0/stations/0/apparatusId',
    '/blocks/0/stations/0/setUp',
  ]);
});

test('good plans go in; the others are reported by row, line and column, with the mend', async () => {
  const { lead } = await aSchool();
  const text = [
    'plan,week of,programme 1,block,minutes,station,station on,stays up,piece,piece job,or instead 2 piece,drill 1 name,drill 3 name,choose by,from programme,from level,dose note',
    'A,2026-09-14,Squad,Floor,10,Wedge,Flor',
    ',,,,,,,,,,,Tuck rol,,,,,Slowly',
    'B,2026-09-15,Squad,Floor,many',
    ',,,Beam,5,Low,beam,perhaps,Flor,landing,vualt',
    'C,2026-09-14,Squad,Floor,10,Wedge,floor,yes,,,,"Tuck, roll",-Rock,,,,Slowly',
    ',,,,,,,,,,,"Tuck, roll",,,Squad,,Slowly',
    ',,,,,,,,,,,"Tuck, roll",,,,,,more',
    'D,2026-09-14,Squads',
    'E,2026-09-14,Squad,Floor,10,Wedge,floor,no,vault,landing,vault',
    'F,2026-09-14,Squad,Floor,10',
    'G,2026-09-14,Squad,,,Wedge,floor',
  ].join('\n');
  const { status, body } = await imported(lead, 'csv', text);
  expect(status).toBe(200);
  expect(body).toMatchObject({ rows: 7, added: 1, refused: 6 });
  expect(body.faults.map(({ row: at, line, column }) => `${at} ${line} ${column}`)).toEqual([
    '1 2 station on',
    '2 4 week of',
    '2 4 minutes',
    '2 5 stays up',
    '3 7 from level',
    '3 8 dose',
    '3 6 column 18',
    '4 9 programme 1',
    '5 10 or instead 2 piece',
    '7 12 block',
    '7 12 minutes',
  ]);
  const said = body.faults.map(({ detail }) => detail);
  expect(said[0]).toBe('There is no apparatus called "Flor". Did you mean "floor"?');
  expect(said[1]).toBe('Expected the Monday of the week.');
  expect(said[7]).toBe('There is no programme called "Squads". Did you mean "Squad"?');
  expect(said[8]).toBe('Name each apparatus once here.');
  expect((await allPlans(lead)).map(({ title }) => title)).toEqual(['F']);

  const step = (more: object) => ({
    blocks: [
      {
        title: 'Floor',
        minutes: 10,
        stations: [{ name: 'Wedge', apparatus: 'floor', steps: [{ dose: { note: 'Slowly' }, ...more }] }],
      },
    ],
  });
  const drill = (...names: string[]) => ({ drills: names.map((name) => ({ drill: name })) });
  const names = lines(
    row('1', step(drill('Tuck rol'))),
    row('2', step(drill('Handstand "kick"'))),
    row('3', step({ drills: [{ drill: 'Handstand "kick"', apparatus: 'beam' }] })),
    row('4', step(drill('-Rock', 'Tuck, roll'))),
    row('5', step({ ...drill('-Rock', '-rock'), chooseBy: 'By height' })),
    row('6', step({ ...drill('-Rock'), from: { programme: 'Squad', level: 'Elm' } })),
    row('7', { focus: [{ apparatus: 'beam', skills: [{ skill: 'Forward roll', standing: 'new' }] }] }),
    row('8', { focus: [{ apparatus: 'bars' }, { apparatus: 'Bars' }] }),
    row('9', { programmes: ['Squad', 'squad'] }),
    row('10', { price: 3 }),
    row('f'),
    row('11'),
    row('11', { weekOf: '2026-09-21' }),
    row('11'),
  );
  const report = (await imported(lead, 'jsonl', names)).body;
  expect([report.added, report.refused]).toEqual([3, 11]);
  expect(report.faults.map(({ row: at, column }) => `${at} ${column}`)).toEqual([
    '1 /blocks/0/stations/0/steps/0/drills/0/drill',
    '2 /blocks/0/stations/0/steps/0/drills/0/drill',
    '4 /blocks/0/stations/0/steps/0/chooseBy',
    '5 /blocks/0/stations/0/steps/0/drills/1/drill',
    '6 /blocks/0/stations/0/steps/0/from/level',
    '7 /focus/0/skills/0/skill',
    '8 /focus/1/apparatus',
    '9 /programmes/1',
    '10 /price',
    '11 /title',
    '14 /title',
  ]);
});

test('with all or nothing, one fault keeps every plan out; asked as a question, nothing goes in', async () => {
  const { lead } = await aSchool();
  const text = lines(row('A'), row('B', { programmes: ['Circus'] }));
  const report = (await imported(lead, 'jsonl', text, { allOrNothing: true })).body;
  expect(report).toMatchObject({ rows: 2, added: 0, refused: 2 });
  expect(report.faults).toEqual([
    {
      row: 2,
      line: 2,
      column: '/programmes/0',
      detail: 'There is no programme called "Circus". Add it first, or name another.',
    },
  ]);
  const asked = await lead.post<ImportReport>('/lesson-plan-imports', { format: 'jsonl', text }, { dryRun: true });
  expect(asked.body).toMatchObject({ added: 1, refused: 1 });
  expect(await allPlans(lead)).toEqual([]);
});

test('a plan that is there is refused, skipped, or gets what the file says as its draft', async () => {
  const { f, lead, programmes, drillIds } = await aSchool();
  const lessons = writing(f, lead);
  const plan = await lessons.aDraft(programmes[1]?.id);
  const first = content(aBlock([lessons.aStation(drillIds.slice(0, 1))]));
  const { revision } = await lessons.write(plan.id, 1, first);
  const text = lines(row('rolls', { blocks: [{ title: 'Shapes', minutes: 5 }] }));

  const refused = (await imported(lead, 'jsonl', text)).body;
  expect(refused).toMatchObject({ added: 0, refused: 1, faults: [{ row: 1, column: '/title' }] });
  expect((await imported(lead, 'jsonl', text, { existing: 'skip' })).body).toEqual({ ...whole, rows: 1, skipped: 1 });
  const at = async () => (await lead.get<WholePlanVersion>(`/lesson-plans/${plan.id}/draft`)).body;
  expect(await at()).toMatchObject({ number: 1, revision, blocks: [{ title: 'Floor' }] });

  const replaced = { ...whole, rows: 1, changed: 1 };
  expect((await imported(lead, 'jsonl', text, { existing: 'replace' })).body).toEqual(replaced);
  expect(await at()).toMatchObject({ number: 1, revision: revision + 1, blocks: [{ title: 'Shapes', stations: [] }] });

  await lessons.publish(plan.id, (await lessons.write(plan.id, revision + 1, first)).revision);
  expect((await imported(lead, 'jsonl', text, { existing: 'replace' })).body).toEqual(replaced);
  expect(await at()).toMatchObject({ number: 2, blocks: [{ title: 'Shapes' }] });
  // Coaches read what is published, and so does their export; who writes plans has the draft.
  expect(await exported(api.as(f.coachOf(f.gym)), 'jsonl')).toContain('"title":"Floor"');
  expect(await exported(lead, 'jsonl')).toContain('"title":"Shapes"');

  const other = lines(row('Rolls', { programmes: ['Squad', '-Recreational'] }));
  expect((await imported(lead, 'jsonl', other, { existing: 'replace' })).body.faults[0]?.column).toBe('/programmes');
  await lead.post('/lesson-plans', { title: 'ROLLS', weekOf: '2026-09-14', programmeIds: [programmes[1]?.id] });
  const twins = (await imported(lead, 'jsonl', text, { existing: 'replace' })).body;
  expect(twins.faults[0]?.detail).toBe('That week has 2 plans of that title: name them apart first.');
});

test('a file that is none is refused as a whole', async () => {
  const { lead } = await aSchool();
  const at = async (format: Format, text: string) => (await imported(lead, format, text)).body;
  const detail = (body: unknown) => (body as { errors: { detail: string }[] }).errors[0]?.detail;
  expect(detail(await at('csv', 'plan,price\nA,3'))).toBe('There is no column "price": take the names from an export.');
  expect(detail(await at('csv', 'plan,plan\nA,B'))).toBe('The column "plan" is there twice: leave one out.');
  expect(detail(await at('jsonl', '{}\n{'))).toBe('Line 2 is no JSON: each line is one whole value.');
  const many = lines(...Array.from({ length: 101 }, (_, n) => row(`${n}`)));
  expect(detail(await at('jsonl', many))).toBe('It has 101 plans: send at most 100 at a time.');
});

test('a long year is exported part by part, of one programme where only that is asked for', async () => {
  const { f, lead } = await aSchool();
  const all = Array.from({ length: 23 }, (_, n) => row(`Plan ${n}`));
  await imported(lead, 'jsonl', lines(...all, row('Other', { programmes: ['-Recreational'] })));
  const [{ id = '' } = {}] = (await lead.get<{ items: Programme[] }>('/programmes')).body.items.filter(
    ({ name }) => name === 'Squad',
  );
  const seen: string[][] = [];
  let path: string | undefined = `/lesson-plan-export.jsonl?programmeId=${id}`;
  while (path) {
    const answer: Answer<string> = await lead.get<string>(path);
    const titles = answer.text
      .trim()
      .split('\n')
      .map((one) => JSON.parse(one).title);
    seen.push(titles);
    path = /^<\/v1(.*)>; rel="next"$/.exec(answer.headers.get('Link') ?? '')?.[1];
  }
  expect(seen.map(({ length }) => length)).toEqual([10, 10, 3]);
  expect(seen.flat()).toEqual(all.map(({ title }) => title));
  const coach = api.as(f.coachOf(f.gym));
  expect((await imported(coach, 'jsonl', lines(row('A')))).status).toBe(403);
  expect(await exported(coach, 'jsonl')).toBe('');
});
