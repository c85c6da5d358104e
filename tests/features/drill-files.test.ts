import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DrillImportReport, DrillRow } from '../../src/features/curriculum/drill-file-schema.ts';
import type { Drill, Programme, SentDrill } from '../../src/features/curriculum/schema.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Answer, type Api, type Caller, openApi } from '../support/api.ts';
import { aDrill } from '../support/drills.ts';
import { aQualificationKind } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

const SKILLS = ['Forward roll', '=Cartwheel', 'Équilibre'];
const LEVELS = ['Acorn', 'Sapling, tall', '"Oak"'];

interface Gymnastics {
  f: Franchise;
  lead: Caller;
  kindId: string;
  programme: Programme;
  skillIds: string[];
}

/** A franchise with a vocabulary that is the same in each, and no drill. */
async function emptyFranchise(): Promise<Gymnastics> {
  const f = await aFranchise(api);
  const lead = api.as(f.lead);
  const kind = await aQualificationKind(f, { name: '+Spotting', grades: ['basic', 'full'] });
  const levels = LEVELS.map((name) => ({ name }));
  const programme = (await lead.post<Programme>('/programmes', { name: '-Recreational', levels })).body;
  const skillIds: string[] = [];
  for (const name of SKILLS)
    skillIds.push((await lead.post('/skills', { name, apparatusId: f.apparatus.bars })).body.id);
  return { f, lead, kindId: kind.id, programme, skillIds };
}

type Format = 'csv' | 'jsonl';
const exported = async (as: Caller, format: Format) => {
  const answer = await as.get<string>(`/drill-export.${format}`);
  expect(answer.status).toBe(200);
  return answer.text;
};
const imported = (as: Caller, format: Format, text: string, more: object = {}): Promise<Answer<DrillImportReport>> =>
  as.post<DrillImportReport>('/drill-imports', { format, text, ...more });
const lines = (...rows: object[]) => rows.map((row) => `${JSON.stringify(row)}\n`).join('');
const row = (name: string, more: object = {}) => ({
  apparatus: 'floor',
  name,
  sayFirst: 'Chin in.',
  spotting: 'none' as const,
  ...more,
});
const allDrills = async (as: Caller) => (await as.get<{ items: Drill[] }>('/drills?limit=200')).body.items;
const whole = {
  added: 0,
  changed: 0,
  restored: 0,
  skipped: 0,
  refused: 0,
  faults: [],
  faultsLeftOut: 0,
  lessSpotting: [],
};

describe('what is exported is imported again', () => {
  const unit = fc.constantFrom(
    'a',
    'É',
    '"',
    ',',
    ';',
    '=',
    '+',
    '-',
    '@',
    "'",
    '\t',
    '\n',
    '\r',
    ' ',
    '🤸',
    '0',
    '{',
    '\\',
  );
  const text = (maxLength: number) => fc.string({ unit, maxLength });
  const line = (maxLength: number) =>
    fc
      .string({
        unit: fc.constantFrom('a', 'É', '"', ',', '=', '+', '-', '@', "'", ' ', '🤸', '7'),
        minLength: 1,
        maxLength,
      })
      .filter((one) => /\S/.test(one));
  const lookFor = fc.record({ phase: line(6), right: line(12), wrong: line(12), say: line(12) });
  const diagram = fc.record({
    title: line(8),
    widthCm: fc.constant(300),
    depthCm: fc.constant(200),
    people: fc.array(
      fc.record({
        who: fc.constantFrom('coach', 'athlete'),
        x: fc.nat(200),
        y: fc.nat(200),
        label: fc.option(line(5)),
      }),
      { maxLength: 2 },
    ),
  });
  const shape = fc.record({
    sayFirst: text(20),
    ifItGoesWrong: text(20),
    lookFors: fc.array(lookFor, { maxLength: 3 }),
    level: fc.option(fc.tuple(fc.nat(2), fc.nat(2))),
    spotted: fc.option(fc.integer({ min: 1, max: 2 })),
    skills: fc.uniqueArray(fc.nat(2), { maxLength: 3 }),
    signOff: fc.constantFrom('watched', 'alone', null),
    equipment: fc.uniqueArray(fc.constantFrom('vault', 'beam', 'bars'), { maxLength: 3 }),
    fits: fc.boolean(),
    secondsATurn: fc.integer({ min: 1, max: 3600 }),
    places: fc.integer({ min: 1, max: 60 }),
    placesAre: fc.constantFrom('side-by-side', 'under-way'),
    height: fc.constantFrom('floor', 'low', 'full', null),
    demonstration: fc.constantFrom(null, 'https://example.org/a?b=1,2'),
    diagram: fc.option(diagram.map((drawn) => ({ ...drawn, pieces: [], arrows: [] }))),
    on: fc.constantFrom('floor', 'beam'),
  });
  const library = fc.record({
    drills: fc.uniqueArray(fc.tuple(line(10), shape), { maxLength: 5, selector: ([name]) => name.toLowerCase() }),
    steps: fc.array(fc.tuple(fc.nat(4), fc.nat(4)), { maxLength: 6 }),
  });

  function sent(
    { f, kindId, programme, skillIds }: Gymnastics,
    name: string,
    one: typeof shape extends fc.Arbitrary<infer T> ? T : never,
  ): SentDrill {
    const { level, spotted, skills, signOff, equipment, fits, on, ...said } = one;
    const at = (index: number) => programme.levels[index]?.id ?? '';
    const raise = { apparatusId: f.apparatus.floor, under: 'child' as const };
    return {
      ...said,
      name,
      apparatusId: f.apparatus[on === 'floor' ? 'floor' : 'beam'],
      levels: level
        ? [{ programmeId: programme.id, fromLevelId: at(Math.min(...level)), toLevelId: at(Math.max(...level)) }]
        : [],
      spotting: spotted === null ? { mode: 'none' } : { mode: 'hands-on', kindId, grade: spotted },
      skills: skills.map((index) => ({ skillId: skillIds[index] ?? '', signOff: spotted === null ? null : signOff })),
      equipment: equipment.map((piece) => ({
        apparatusId: f.apparatus[piece],
        amount: 2,
        fit: fits ? { measure: 'shoulder' as const, lowerByCm: 10, higherByCm: 0, raise } : null,
      })),
    };
  }

  test('into a franchise of the same vocabulary, and its export is the same to the letter', async () => {
    await fc.assert(
      fc.asyncProperty(library, fc.constantFrom<Format>('csv', 'jsonl'), async ({ drills, steps }, format) => {
        const [one, other] = [await emptyFranchise(), await emptyFranchise()];
        const made: Drill[] = [];
        for (const [name, content] of drills)
          made.push((await one.lead.post<Drill>('/drills', sent(one, name, content))).body);
        for (const [from, to] of steps) {
          const [easierId, harderId] = [made[from]?.id, made[to]?.id];
          if (easierId && harderId && from < to) await one.lead.post('/progressions', { easierId, harderId });
        }
        const before = { csv: await exported(one.lead, 'csv'), jsonl: await exported(one.lead, 'jsonl') };
        if (drills.length > 0) {
          const report = await imported(other.lead, format, before[format]);
          expect(report.body).toEqual({ ...whole, rows: drills.length, added: drills.length });
        }
        expect({ csv: await exported(other.lead, 'csv'), jsonl: await exported(other.lead, 'jsonl') }).toEqual(before);
        const cells = parse(before.csv).flat();
        expect(cells.filter((cell) => /^[=+\-@\t\r\n]/.test(cell))).toEqual([]);
      }),
      { numRuns: 20 },
    );
  });
});

describe('as a spreadsheet sees it', () => {
  test('a line a drill, groups of columns as many as needed, and no cell that runs', async () => {
    const { f, lead } = await emptyFranchise();
    await aDrill(lead, f, { name: '=HYPERLINK("http://x.example")', sayFirst: 'Look up,\nthen "go".', places: 3 });
    const answer = await lead.get<string>('/drill-export.csv');
    expect(answer.headers.get('Content-Type')).toBe('text/csv; charset=utf-8');
    expect(answer.headers.get('Content-Disposition')).toBe('attachment; filename="drills.csv"');
    expect(answer.text).toBe(
      [
        'apparatus,name,say first,if it goes wrong,height,spotting,spotting kind,spotting grade,seconds a turn,places,places are,demonstration,diagram',
        `floor,"'=HYPERLINK(""http://x.example"")","Look up,\nthen ""go"".",,,none,,,20,3,side-by-side,,`,
        '',
      ].join('\r\n'),
    );
  });

  test('a mark of UTF-8 stands before it, which is read past again', async () => {
    const { f, lead } = await emptyFranchise();
    await aDrill(lead, f, { name: 'Équilibre' });
    const headers = { Authorization: `Bearer ${api.tokens.issue(f.lead)}` };
    const bytes = await (await fetch(`${api.url}/v1/drill-export.csv`, { headers })).arrayBuffer();
    expect([...new Uint8Array(bytes).slice(0, 3)]).toEqual([0xef, 0xbb, 0xbf]);
    const text = new TextDecoder('utf-8', { ignoreBOM: true }).decode(bytes);
    expect((await imported(lead, 'csv', text, { existing: 'replace' })).body).toEqual({
      ...whole,
      rows: 1,
      changed: 1,
    });
  });

  test('columns may stand in any order, and what is not said is left to its default', async () => {
    const { lead } = await emptyFranchise();
    const text = [
      'Name,look-for 2 say,look-for 2 phase,look-for 2 right,look-for 2 wrong,apparatus,say first,spotting',
      'Rock and stand,Round,Rock,Round back,Flat back,Floor,Chin in.,none',
      '',
    ].join('\n');
    expect((await imported(lead, 'csv', text)).body).toEqual({ ...whole, rows: 1, added: 1 });
    const [drill] = await allDrills(lead);
    expect(drill).toMatchObject({
      name: 'Rock and stand',
      lookFors: [{ phase: 'Rock', right: 'Round back', wrong: 'Flat back', say: 'Round' }],
      secondsATurn: 20,
      places: 1,
      spotting: { mode: 'none' },
    });
  });
});

test('good rows go in; the others are reported by row, line and column, with the mend', async () => {
  const { lead } = await emptyFranchise();
  const text = [
    'apparatus,name,say first,places,spotting,spotting kind,look-for 3 phase,level 1 programme,level 1 from,level 1 to',
    'Floor,"Rock',
    'and stand",Chin in.,2',
    '',
    'Flor,Egg roll,Hug your knees.,2',
    'Floor,Log roll,Long arms.,many,hands-on',
    'Floor,Pencil roll,Long arms.,1,none,+Spotting,Start',
    'Floor,Bear walk,Long arms.,1,,,,-Recreational,Sapling,Acorn,too many',
    'Floor,Bridge,Push.,1,,,,-Recreational,"""Oak""",Acorn',
    'Floor,Candle,Point.,4,none',
  ].join('\r\n');
  const { status, body } = await imported(lead, 'csv', text);
  expect(status).toBe(200);
  expect(body).toMatchObject({ rows: 7, added: 1, changed: 0, skipped: 0, refused: 6, faultsLeftOut: 0 });
  expect(body.faults.map(({ row, line, column }) => `${row} ${line} ${column}`)).toEqual([
    '1 2 name',
    '2 5 apparatus',
    '3 6 places',
    '4 7 look-for 3 right',
    '4 7 look-for 3 wrong',
    '4 7 look-for 3 say',
    '5 8 column 11',
    '6 9 level 1 to',
  ]);
  const said = Object.fromEntries(body.faults.map(({ row, column, detail }) => [`${row} ${column}`, detail]));
  expect(said['1 name']).toBe('Expected one line of text, without control characters.');
  expect(said['2 apparatus']).toBe('There is no apparatus called "Flor". Did you mean "floor"?');
  expect(said['3 places']).toBe('Expected a number.');
  expect(said['4 look-for 3 right']).toBe('It is missing. Expected a text.');
  expect(said['5 column 11']).toBe('There is no such field; leave it out.');
  expect(said['6 level 1 to']).toBe('"Acorn" comes before ""Oak"": turn them round.');
  expect((await allDrills(lead)).map(({ name }) => name)).toEqual(['Candle']);

  const names = lines(
    row('A', { spotting: 'stand-by' }),
    row('B', { spotting: 'stand-by', spottingKind: 'Spoting', spottingGrade: 1 }),
    row('C', { spotting: 'hands-on', spottingKind: '+spotting', spottingGrade: 3 }),
    row('D', { spottingKind: '+Spotting', spottingGrade: 1 }),
    row('E', { skills: [{ apparatus: 'bars', skill: 'Backward somersault' }] }),
    row('F', { skills: [{ apparatus: 'bars', skill: 'Forward roll', signOff: 'alone' }] }),
    row('G', { skills: Array(2).fill({ apparatus: 'bars', skill: 'Forward roll' }) }),
    row('H', { equipment: [{ apparatus: 'beam', lowerByCm: 3 }] }),
    row('I', { equipment: [{ apparatus: 'beam', fits: 'hip', raise: 'vault' }] }),
    row('J', { equipment: [{ apparatus: 'beam' }, { apparatus: 'Beam' }] }),
    row('K', { levels: [{ programme: 'Recreational', from: 'Acorn', to: 'Acorn' }] }),
    row('L', { levels: [{ programme: '-recreational', from: 'Acorn', to: 'Elm' }] }),
    row('M', { levels: Array(2).fill({ programme: '-Recreational', from: 'Acorn', to: 'Acorn' }) }),
    row('candle'),
    row('N'),
    row('n'),
    { ...row('O'), price: 3 },
  );
  const report = (await imported(lead, 'jsonl', names, { allOrNothing: false })).body;
  expect([report.added, report.refused]).toEqual([1, 16]);
  expect(report.faults.map(({ row, column }) => `${row} ${column}`).sort()).toEqual(
    [
      '1 /spottingKind',
      '1 /spottingGrade',
      '2 /spottingKind',
      '3 /spottingGrade',
      '4 /spottingKind',
      '4 /spottingGrade',
      '5 /skills/0/skill',
      '6 /skills/0/signOff',
      '7 /skills/1/skill',
      '8 /equipment/0/lowerByCm',
      '9 /equipment/0/raiseUnder',
      '10 /equipment/1/apparatus',
      '11 /levels/0/programme',
      '12 /levels/0/to',
      '13 /levels/1/programme',
      '14 /name',
      '16 /name',
      '17 /price',
    ].sort(),
  );
});

test('with all or nothing, one fault keeps every row out; asked as a question, nothing goes in', async () => {
  const { lead } = await emptyFranchise();
  const text = lines(row('A'), row('B', { apparatus: 'Trapeze' }));
  const report = (await imported(lead, 'jsonl', text, { allOrNothing: true })).body;
  expect(report).toMatchObject({ rows: 2, added: 0, refused: 2 });
  expect(report.faults).toEqual([
    {
      row: 2,
      line: 2,
      column: '/apparatus',
      detail: 'There is no apparatus called "Trapeze". Add it first, or name another.',
    },
  ]);
  expect(await allDrills(lead)).toEqual([]);
  const asked = await lead.post<DrillImportReport>('/drill-imports', { format: 'jsonl', text }, { dryRun: true });
  expect(asked.body).toMatchObject({ added: 1, refused: 1 });
  expect(await allDrills(lead)).toEqual([]);
  expect((await imported(lead, 'jsonl', lines(row('A')), { allOrNothing: true })).body).toMatchObject({ added: 1 });
});

test('what leads to what goes in with its drills, in any order; what cannot is refused, and what hangs on it', async () => {
  const { f, lead } = await emptyFranchise();
  const there = await aDrill(lead, f, { name: 'Rock', height: 'floor' });
  const gone = await aDrill(lead, f, { name: 'Old' });
  await lead.patch(`/drills/${gone.id}`, { retired: true }, { ifMatch: 1 });
  const from = (...drills: string[]) => ({ leadsFrom: drills.map((drill) => ({ apparatus: 'floor', drill })) });
  const up = (drill: string) => ({ leadsFrom: [{ apparatus: 'floor', drill, kind: 'height' }] });
  const text = lines(
    row('C', from('B')),
    row('B', from('rock', 'A')),
    row('A'),
    row('X', from('Y')),
    row('Y', from('X')),
    row('Lost', from('Nowhere')),
    row('Lost too', from('Lost')),
    row('Late', from('Old')),
    row('Twice', from('A', 'a')),
    row('High', { ...up('Rock'), height: 'full' }),
    row('Level', { ...up('High'), height: 'full' }),
  );
  const report = (await imported(lead, 'jsonl', text)).body;
  expect(report).toMatchObject({ rows: 11, added: 4, refused: 7 });
  const by = Object.fromEntries(report.faults.map(({ row, detail }) => [row, detail]));
  expect(by[5]).toBe('It would go round in a circle: "Y", then "X", then "Y". Take one of these steps away.');
  expect(by[4]).toMatch(/^There is no drill called "Y"/);
  expect(by[6]).toMatch(/^There is no drill called "Nowhere"/);
  expect(by[7]).toMatch(/^There is no drill called "Lost"/);
  expect(by[8]).toMatch(/^There is no drill called "Old"/);
  expect(by[9]).toBe('"a" is named twice: once will do.');
  expect(by[11]).toBe('"Level" is not on a higher rung than "High": give both their heights.');
  expect(report.faults.every(({ column }) => /^\/leadsFrom\/\d\/drill$/.test(column))).toBe(true);
  const idOf = new Map((await allDrills(lead)).map(({ name, id }) => [name, id]));
  const steps = (await lead.get<{ items: { easierId: string; harderId: string }[] }>('/progressions')).body.items;
  const byName = [...idOf].map(([name, id]) => [id, name] as const);
  const said = steps.map((step) => [step.easierId, step.harderId].map((id) => new Map(byName).get(id)).join(' → '));
  expect(said.sort()).toEqual(['A → B', 'B → C', 'Rock → B', 'Rock → High']);

  const lower = lines(row('Rock', { height: 'full' }));
  const stuck = (await imported(lead, 'jsonl', lower, { existing: 'replace' })).body;
  expect(stuck.faults).toEqual([
    {
      row: 1,
      line: 1,
      column: '/height',
      detail: '"High" stands above it on a height ladder: take that step away first.',
    },
  ]);
  expect((await lead.get<Drill>(`/drills/${there.id}`)).body.height).toBe('floor');
});

test('a drill that is there already is refused, left as it is, or replaced, as asked', async () => {
  const { f, lead } = await emptyFranchise();
  const drill = await aDrill(lead, f, { name: 'Rock and stand', places: 3 });
  await lead.patch(`/drills/${drill.id}`, { retired: true }, { ifMatch: 1 });
  const text = lines(row('ROCK and stand', { places: 5, sayFirst: 'Tuck.' }), row('New'));
  const refused = (await imported(lead, 'jsonl', text)).body;
  expect(refused).toMatchObject({ added: 1, refused: 1 });
  expect(refused.faults).toEqual([
    {
      row: 1,
      line: 1,
      column: '/name',
      detail: 'There is such a drill already. It is retired. Name it otherwise, or skip or replace what is there.',
    },
  ]);
  expect((await imported(lead, 'jsonl', text, { existing: 'skip' })).body).toEqual({ ...whole, rows: 2, skipped: 2 });
  expect((await lead.get<Drill>(`/drills/${drill.id}`)).body.places).toBe(3);
  const replaced = (await imported(lead, 'jsonl', text, { existing: 'replace' })).body;
  expect(replaced).toEqual({ ...whole, rows: 2, changed: 2, restored: 1 });
  expect((await lead.get<Drill>(`/drills/${drill.id}`)).body).toEqual({
    ...drill,
    name: 'ROCK and stand',
    sayFirst: 'Tuck.',
    places: 5,
    revision: 3,
  });
  const { rows } = await api.database.ownerPool.query(
    'SELECT name, data FROM events WHERE franchise_id = $1 AND subject_id IN ($1, $2) ORDER BY id',
    [f.id, drill.id],
  );
  expect(rows.map(({ name }) => name)).toEqual([
    'curriculum.drill-added',
    'curriculum.drill-retired',
    'curriculum.drills-imported',
    'curriculum.drill-restored',
    'curriculum.drills-imported',
  ]);
  expect(rows.at(-1)?.data).toEqual({ added: 0, changed: 2 });
});

describe('how a drill is spotted', () => {
  const spotted = (kindId: string) => ({ mode: 'hands-on' as const, kindId, grade: 2 });

  test('has to be said of a new one, and stays where a file that replaces it says nothing', async () => {
    const { f, lead, kindId, skillIds } = await emptyFranchise();
    const skills = [{ skillId: skillIds[0] ?? '', signOff: 'alone' as const }];
    const drill = await aDrill(lead, f, { name: 'Vault over', spotting: spotted(kindId), skills, places: 3 });
    const before = await aDrill(lead, f, { name: 'Before' });
    await lead.post('/progressions', { easierId: before.id, harderId: drill.id });
    for (const [format, text] of [
      ['jsonl', lines({ apparatus: 'floor', name: 'Vault over', sayFirst: 'Look up.' })],
      ['csv', 'apparatus,name,say first\nfloor,Vault over,Look up.\n'],
    ] as const) {
      const report = await imported(lead, format, text, { existing: 'replace' });
      expect(report.body).toEqual({ ...whole, rows: 1, changed: 1 });
      expect((await lead.get<Drill>(`/drills/${drill.id}`)).body).toMatchObject({
        sayFirst: 'Look up.',
        spotting: spotted(kindId),
        skills,
        places: 3,
      });
    }
    const { items } = (await lead.get<{ items: object[] }>('/progressions')).body;
    expect(items).toEqual([{ easierId: before.id, harderId: drill.id, kind: 'skill' }]);

    const silent = lines({ apparatus: 'floor', name: 'New', sayFirst: 'Look up.' });
    const unsaid = (await imported(lead, 'jsonl', silent, { existing: 'replace' })).body;
    expect(unsaid.faults).toMatchObject([{ row: 1, column: '/spotting' }]);
    const empty = 'apparatus,name,say first,spotting\nfloor,Vault over,Look up.,\n';
    const blank = (await imported(lead, 'csv', empty, { existing: 'replace' })).body;
    expect(blank.faults).toMatchObject([{ row: 1, column: 'spotting' }]);
    const kept = (await imported(lead, 'jsonl', lines(row('Vault over')), { existing: 'replace' })).body;
    expect(kept.faults).toMatchObject([{ row: 1, column: '/spotting' }]);
    expect((await lead.get<Drill>(`/drills/${drill.id}`)).body.spotting).toEqual(spotted(kindId));
  });

  test('every row that asks less of a spotter than the drill did is named', async () => {
    const { f, lead, kindId, skillIds } = await emptyFranchise();
    const skills = [{ skillId: skillIds[0] ?? '', signOff: 'alone' as const }];
    for (const name of ['A', 'B', 'C', 'D', 'E']) await aDrill(lead, f, { name, spotting: spotted(kindId), skills });
    const how = { spotting: 'hands-on', spottingKind: '+Spotting', spottingGrade: 2 };
    const signedOff = { skills: [{ apparatus: 'bars', skill: 'Forward roll', signOff: 'alone' }] };
    const text = lines(
      row('A', { ...how, ...signedOff }),
      row('B', { skills: [] }),
      row('C', { ...how, ...signedOff, spottingGrade: 1 }),
      row('D', { ...how, ...signedOff, spotting: 'stand-by' }),
      row('E', { ...how, skills: [{ apparatus: 'bars', skill: 'Forward roll', signOff: 'helped' }] }),
    );
    const report = (await imported(lead, 'jsonl', text, { existing: 'replace' })).body;
    expect(report).toMatchObject({ changed: 5, refused: 0 });
    expect(report.lessSpotting.map((one) => `${one.row} ${one.line} ${one.column}`)).toEqual([
      '2 2 /spotting',
      '3 3 /spotting',
      '4 4 /spotting',
      '5 5 /spotting',
    ]);
  });
});

test('whatever is replaced and refused, the library goes round in no circle', async () => {
  const names = ['A', 'B', 'C', 'D'];
  const pairs = fc.array(fc.tuple(fc.nat(3), fc.nat(3)), { maxLength: 5 });
  const rows = fc.uniqueArray(fc.tuple(fc.nat(3), fc.option(fc.uniqueArray(fc.nat(4), { maxLength: 3 }))), {
    minLength: 1,
    maxLength: 4,
    selector: ([at]) => at,
  });
  const { f, lead } = await emptyFranchise();
  const ids = new Map<string, string>();
  for (const name of names) ids.set(name, (await aDrill(lead, f, { name })).id);
  const idOf = (at: number) => ids.get(names[at] ?? '') ?? '';
  const stepsNow = async () =>
    (await lead.get<{ items: { easierId: string; harderId: string }[] }>('/progressions')).body.items;
  await fc.assert(
    fc.asyncProperty(pairs, rows, async (steps, file) => {
      for (const { easierId, harderId } of await stepsNow()) await lead.delete(`/progressions/${easierId}/${harderId}`);
      for (const [from, to] of steps) {
        if (from < to) await lead.post('/progressions', { easierId: idOf(from), harderId: idOf(to) });
      }
      const before = await stepsNow();
      const text = lines(
        ...file.map(([at, from]) =>
          row(names[at] ?? '', {
            ...(from && { leadsFrom: from.map((one) => ({ apparatus: 'floor', drill: names[one] ?? 'Nowhere' })) }),
          }),
        ),
      );
      const report = (await imported(lead, 'jsonl', text, { existing: 'replace' })).body;
      const after = await stepsNow();
      expect(goesRound(after)).toBe(false);
      const out = new Set(report.faults.map((one) => one.row));
      const key = ({ easierId, harderId }: { easierId: string; harderId: string }) => `${easierId} ${harderId}`;
      for (const [index, [at, from]] of file.entries()) {
        const to = ({ harderId }: { harderId: string }) => harderId === idOf(at);
        const wanted = (from ?? []).map((one) => key({ easierId: idOf(one), harderId: idOf(at) }));
        const kept = out.has(index + 1) || from === null;
        expect(after.filter(to).map(key).sort()).toEqual((kept ? before.filter(to).map(key) : wanted).sort());
      }
    }),
    {
      numRuns: 60,
      examples: [
        [
          [[0, 1]],
          [
            [0, [1]],
            [1, [1]],
          ],
        ],
      ],
    },
  );
});

/** By taking away, over and over, what nothing leads to. */
function goesRound(steps: { easierId: string; harderId: string }[]): boolean {
  const left = steps.filter(({ easierId }) => steps.some(({ harderId }) => harderId === easierId));
  return left.length === steps.length ? left.length > 0 : goesRound(left);
}

test('a file that cannot be read is refused as a whole, with where it breaks', async () => {
  const { lead } = await emptyFranchise();
  const refusal = async (format: Format, text: string) => {
    const { status, body } = await lead.post('/drill-imports', { format, text });
    expect([status, body.errors[0]?.pointer]).toEqual([422, '/text']);
    return body.errors[0]?.detail;
  };
  expect(await refusal('csv', 'apparatus,name\nfloor,"Roll')).toMatch(/^It is no CSV: Quote Not Closed.*line 2/);
  expect(await refusal('csv', 'apparatus,nam\nfloor,Roll')).toBe(
    'There is no column "nam": take the names from an export.',
  );
  expect(await refusal('csv', 'name,apparatus,NAME\n')).toBe('The column "name" is there twice: leave one out.');
  expect(await refusal('jsonl', '{"apparatus":"floor"}\n{')).toBe('Line 2 is no JSON: each line is one whole value.');
  expect(await refusal('jsonl', '{}\n'.repeat(1001))).toBe('It has 1001 drills: send at most 1000 at a time.');
});

test('what hangs on one faulty row goes with it, however long the chain; too many steps are refused', async () => {
  const { lead } = await emptyFranchise();
  const chain = Array.from({ length: 1000 }, (_, at) =>
    row(`D${at}`, { leadsFrom: [{ apparatus: 'floor', drill: `D${at + 1}` }] }),
  );
  const report = (await imported(lead, 'jsonl', lines(...chain))).body;
  expect([report.added, report.refused, report.faults.length]).toEqual([0, 1000, 1000]);
  const many = Array.from({ length: 40 }, (_, at) => ({ apparatus: 'floor', drill: `D${at}` }));
  const text = lines(...Array.from({ length: 76 }, (_, at) => row(`E${at}`, { leadsFrom: many })));
  const refused = await lead.post('/drill-imports', { format: 'jsonl', text });
  expect(refused.body.errors).toEqual([
    { pointer: '/text', detail: 'It has 3040 steps from drill to drill: send at most 3000 at a time.' },
  ]);
});

test('a long library is exported part by part, and a thousand rows go in at once', async () => {
  const { f, lead } = await emptyFranchise();
  const rows: Partial<DrillRow>[] = Array.from({ length: 1000 }, (_, at) =>
    row(`Drill ${String(at).padStart(4, '0')}`, {
      ...(at > 0 && { leadsFrom: [{ apparatus: 'floor', drill: `Drill ${String(at - 1).padStart(4, '0')}` }] }),
    }),
  );
  expect((await imported(lead, 'jsonl', lines(...rows))).body).toEqual({ ...whole, rows: 1000, added: 1000 });
  await aDrill(lead, f, { apparatusId: f.apparatus.vault, name: 'Elsewhere' });
  const seen: string[] = [];
  const sizes: number[] = [];
  let path: string | undefined = `/drill-export.jsonl?apparatusId=${f.apparatus.floor}`;
  while (path) {
    const answer: Answer<string> = await lead.get<string>(path);
    const names = answer.text
      .trim()
      .split('\n')
      .map((one) => JSON.parse(one).name);
    seen.push(...names);
    sizes.push(names.length);
    path = /^<\/v1(.*)>; rel="next"$/.exec(answer.headers.get('Link') ?? '')?.[1];
  }
  expect(sizes).toEqual([400, 400, 200]);
  expect(seen).toEqual(rows.map(({ name }) => name));
});

test('only who writes the curriculum imports; whoever reads it exports', async () => {
  const { f } = await emptyFranchise();
  const coach = api.as(f.coachOf(f.gym));
  expect((await imported(coach, 'jsonl', lines(row('A')))).status).toBe(403);
  expect(await exported(coach, 'jsonl')).toBe('');
});
