import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { CoverTrial, TriedCover } from '../../src/features/ratios/trial-schema.ts';
import reference from '../reference/ratio-standards.json' with { type: 'json' };
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
let owner: Caller;

beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
  owner = api.as(f.owner);
});
afterAll(() => api.close());

/** What a trial needs said. */
type Trial = Partial<Record<keyof CoverTrial, unknown>>;

async function tried(trial: Trial, as: Caller = owner): Promise<TriedCover> {
  const answer = await as.post<TriedCover>('/cover-trials', { day: '2026-09-14', ...trial });
  expect(answer.status, answer.text).toBe(200);
  return answer.body;
}

const refused = async (trial: Trial) => {
  const answer = await owner.post('/cover-trials', { day: '2026-09-14', ...trial });
  expect(answer.status).toBe(422);
  return answer.body.errors;
};

const aged = (children: { age_years: number; count: number }[]) =>
  children.map(({ age_years, count }) => ({ ageMonths: age_years * 12, count }));
const adults = (count: number) => (count === 0 ? [] : [{ ageYears: 30, count }]);

/** Where a value comes from, to stand in the test's name. */
const cited = ({ source, edition, provenance, derived }: (typeof reference)['worked_examples'][number]) =>
  `${source}, ${edition}${provenance === 'memory' ? ', from memory' : ''}${derived ? ', derived' : ''}`;

describe('the worked answers of the published tables', () => {
  const simple = reference.worked_examples.filter(({ standard }) => standard === 'nspcc-cpsu');
  test.each(simple.map((one) => [`${one.id} (${cited(one)})`, one] as const))('%s', async (_, one) => {
    const rules = [{ standard: one.standard }];
    const athletes = aged(one.children);
    expect((await tried({ rules, athletes, staff: adults(one.required_adults) })).covered).toBe(true);
    expect((await tried({ rules, athletes, staff: adults(one.required_adults - 1) })).covered).toBe(false);
  });

  const coached = reference.worked_examples.filter(({ standard }) => standard === 'bg-general');
  /** One lead coach, the rest supervised assistants, three or more stations so that eight are on each apparatus. */
  const led = (people: number) => [
    { ageYears: 30, duty: 'lead', qualifications: [{ kind: 'lead-coach' }] },
    ...(people > 1
      ? [{ ageYears: 25, count: people - 1, duty: 'assist', qualifications: [{ kind: 'assistant-coach' }] }]
      : []),
  ];
  const stations = ['vault', 'bars', 'beam', 'floor'].map((apparatus) => ({ apparatus }));
  test.each(coached.map((one) => [`${one.id} (${cited(one)})`, one] as const))('%s', async (_, one) => {
    const trial = { rules: [{ standard: one.standard }], athletes: aged(one.children), stations };
    expect((await tried({ ...trial, staff: led(one.required_adults) })).covered).toBe(true);
    expect((await tried({ ...trial, staff: led(one.required_adults - 1) })).covered).toBe(false);
  });

  test('none is left out', () => {
    expect(simple.length + coached.length).toBe(reference.worked_examples.length);
  });
});

describe('one class, one table, five ways with mixed ages (cpsu, derived)', () => {
  const { children, results, table } = reference.mixed_age_comparison;
  const methods = {
    'youngest-governs': 'youngest',
    'per-band ceiling then sum': 'each-band',
    'sum of fractions then ceiling': 'proportional',
    'youngest-first fill': 'fill',
    'largest band governs': 'majority',
  } as const;
  const isMethod = (method: string): method is keyof typeof methods => method in methods;
  test.each(results.map(({ method, adults: answer }) => [method, answer] as const))(
    '%s: %i',
    async (method, answer) => {
      if (!isMethod(method)) throw new Error(`no such method: ${method}`);
      const rules = [{ standard: table, mixed: { method: methods[method] } }];
      const athletes = aged(children);
      const enough = await tried({ rules, athletes, staff: adults(answer) });
      expect([enough.covered, enough.needed]).toEqual([true, answer]);
      expect((await tried({ rules, athletes, staff: adults(answer - 1) })).covered).toBe(false);
    },
  );
  test('the answers are 4, 4, 3, 3 and 2', () => {
    expect(results.map((one) => one.adults)).toEqual([4, 4, 3, 3, 2]);
  });
});

describe('two adults, one child of two, the rest older (eyfs-forum, as it stood before Sept 2023)', () => {
  const methods = { 'youngest-first fill': 'fill', 'sum of fractions': 'proportional' } as const;
  const isMethod = (method: string): method is keyof typeof methods => method in methods;
  test.each(reference.mixed_age_capacity_comparison.results.map((one) => [one.method, one.max_children] as const))(
    '%s: %i children at most',
    async (method, most) => {
      if (!isMethod(method)) throw new Error(`no such method: ${method}`);
      const answer = await tried({
        rules: [{ standard: 'eyfs-pre-2023', mixed: { method: methods[method] } }],
        athletes: [{ ageMonths: 24 }],
        staff: adults(2),
        oneMore: { ageMonths: 36 },
      });
      expect(answer.headroom).toMatchObject({ more: most - 1, ageMonths: 36 });
    },
  );
});

test('the answer tells who counts, why not, and in words what is missing', async () => {
  const answer = await tried({
    rules: [{ standard: 'nspcc-cpsu' }],
    athletes: [{ ageMonths: 75, count: 13 }],
    staff: [
      { id: 'Bo', ageYears: 31 },
      { id: 'Cy', ageYears: 17, duty: 'assist' },
      { id: 'Di', ageYears: 40, ownChildren: ['athlete 1, 3'] },
    ],
  });
  expect(answer).toMatchObject({ covered: false, needed: 3, counted: '1', bindingRuleId: 'nspcc-cpsu/ratio' });
  expect(answer.headroom).toMatchObject({ more: 0, bindingRuleId: 'nspcc-cpsu/ratio', ageMonths: 75 });
  const block = answer.covers.find(({ unit }) => unit.per === 'block');
  expect(block?.counts[0]).toMatchObject({ load: '13/6', needed: 3, counted: '1', met: false, band: '4 to 8' });
  expect(block?.counts[0]?.people).toEqual([
    { personId: 'Bo', name: 'Bo', share: '1', why: null },
    { personId: 'Cy', name: 'Cy', share: '0', why: 'counts only somebody who is at least 18' },
    {
      personId: 'Di',
      name: 'Di',
      share: '0',
      why: 'counts only somebody who has no child of their own there or holds screened, valid for the whole block',
    },
  ]);
  expect(block?.findings.map(({ code }) => code).sort()).toEqual(['floor', 'short']);
  expect(block?.findings.find(({ code }) => code === 'short')?.sentence).toBe(
    'The block, 12:00 to 13:00: 13 athletes with the youngest aged 6 need 3 coaches (NSPCC / CPSU recommended minimum, 4 to 8 at most 6); 1 counts.',
  );
});

test('a rule is written out in the request, with kinds of any name', async () => {
  const rule = {
    bands: [{ id: 'all', limits: [{ athletesPerCoach: '8' }] }],
    counts: [{ who: { test: 'holds', kind: 'club coach', grade: 2 }, share: '1', maxOf: null }],
  };
  const athletes = [{ born: '2018-03-01', count: 8 }];
  const staff = (grade: number) => [{ ageYears: 30, qualifications: [{ kind: 'club coach', grade }] }];
  const rules = [{ name: 'Club rule', rule }];
  expect((await tried({ rules, athletes, staff: staff(2) })).covered).toBe(true);
  const short = await tried({ rules, athletes, staff: staff(1) });
  expect(short.covered).toBe(false);
  expect(short.covers[0]?.counts[0]?.people[0]?.why).toBe(
    'counts only somebody who holds club coach, grade 2, valid for the whole block',
  );
});

test('side-by-side spotted stations need different spotters, and the finding names those that fall short', async () => {
  const spotting = { mode: 'hands-on', kind: 'spotting' };
  const trial = {
    rules: [{ standard: 'nspcc-cpsu' }],
    athletes: [{ ageMonths: 100, count: 4 }],
    stations: [
      { id: 'Vault', spotting },
      { id: 'Bars', spotting },
    ],
  };
  const able = { ageYears: 30, qualifications: [{ kind: 'spotting' }] };
  const one = await tried({
    ...trial,
    staff: [
      { id: 'Bo', ...able },
      { id: 'Cy', ageYears: 30 },
    ],
  });
  expect(one.covered).toBe(false);
  const finding = one.covers[0]?.findings.find(({ code }) => code === 'spotting');
  expect(finding?.subjects).toEqual([
    { what: 'staff', id: 'Bo' },
    { what: 'station', id: 'Bars' },
    { what: 'station', id: 'Vault' },
  ]);
  const both = await tried({
    ...trial,
    staff: [
      { id: 'Bo', ...able },
      { id: 'Cy', ...able },
    ],
  });
  expect(both.covered).toBe(true);
  expect(both.covers[0]?.spotters.map(({ stationId }) => stationId).sort()).toEqual(['Bars', 'Vault']);
});

test('a one-to-one helper counts for nobody else', async () => {
  const trial = {
    rules: [
      { name: 'Club rule', rule: { bands: [{ id: 'all', limits: [{ athletesPerCoach: '8' }] }], counts: [anybody] } },
    ],
    athletes: [
      { ageMonths: 100, count: 8 },
      { ageMonths: 100, helpers: ['Cy'] },
    ],
  };
  const helped = await tried({
    ...trial,
    staff: [
      { id: 'Bo', ageYears: 30 },
      { id: 'Cy', ageYears: 30, duty: 'assist' },
    ],
  });
  expect(helped.covered).toBe(true);
  expect(helped.counted).toBe('1');
  const alone = await tried({ ...trial, staff: [{ id: 'Cy', ageYears: 30 }] });
  expect(alone.covered).toBe(false);
});
const anybody = { who: { test: 'all', of: [] }, share: '1', maxOf: null };

test('an age in months is completed on the day, at the ends of months too', async () => {
  const rules = [
    {
      name: 'Two bands',
      rule: {
        bands: [
          { id: 'under one', to: { months: 1 }, limits: [{ athletesPerCoach: '1' }] },
          { id: 'older', from: { months: 1 }, limits: [{ athletesPerCoach: '2' }] },
        ],
        counts: [anybody],
      },
    },
  ];
  for (const day of ['2026-03-31', '2024-02-29', '2026-03-01']) {
    const answer = await tried({ day, rules, athletes: [{ ageMonths: 1, count: 2 }] });
    expect(answer.headroom?.ageMonths).toBe(1);
    expect(answer.needed).toBe(1);
  }
});

test('an unknown birth date is of no age that a rule allows', async () => {
  const answer = await tried({ rules: [{ standard: 'nspcc-cpsu' }], athletes: [{ born: null }], staff: adults(2) });
  expect(answer.covered).toBe(false);
  expect(answer.covers[0]?.findings.map(({ code }) => code)).toEqual(['no-band']);
});

test('what cannot be tried is refused with where and why', async () => {
  const rules = [{ standard: 'nspcc-cpsu' }];
  const pointers = async (trial: Trial) => (await refused(trial)).map(({ pointer }) => pointer);
  expect(await pointers({ rules: [{ standard: 'nowhere' }], athletes: [] })).toEqual(['/rules/0/standard']);
  expect(await pointers({ rules: [{ standard: 'gymbc-party', parts: ['picnic'] }], athletes: [] })).toEqual([
    '/rules/0/parts/0',
  ]);
  expect(await pointers({ rules: [{ ruleId: f.id }], athletes: [] })).toEqual(['/rules/0/ruleId']);
  expect(await pointers({ rules: [...rules, ...rules], athletes: [] })).toEqual(['/rules']);
  expect(await pointers({ rules, athletes: [{ count: 3 }] })).toEqual(['/athletes/0']);
  expect(
    await pointers({
      rules,
      athletes: [
        { ageMonths: 60, count: 150 },
        { ageMonths: 70, count: 51 },
      ],
    }),
  ).toEqual(['/athletes']);
  expect(await pointers({ rules, athletes: [], staff: [{ ageYears: 30, count: 61 }] })).toEqual(['/staff/0/count']);
  expect(await pointers({ rules, athletes: [{ ageMonths: 60, helpers: ['Bo'] }] })).toEqual(['/athletes/0/helpers/0']);
  const backwards = {
    bands: [{ id: 'b', from: { months: 60 }, to: { months: 48 }, limits: [{ athletesPerCoach: '0' }] }],
  };
  expect(await pointers({ rules: [{ name: 'Odd', rule: backwards }], athletes: [] })).toEqual([
    '/rules/0/rule/bands/0/to',
    '/rules/0/rule/bands/0/limits/0/athletesPerCoach',
    '/rules/0/rule/counts',
  ]);
  const deep = (depth: number): unknown =>
    depth === 0 ? { test: 'all', of: [] } : { test: 'all', of: [deep(depth - 1)] };
  const endless = { ...backwards, counts: [{ who: deep(500), share: '1', maxOf: null }] };
  expect((await refused({ rules: [{ name: 'Deep', rule: endless }], athletes: [] })).length).toBeGreaterThan(0);
});

test('everybody who belongs to the franchise may try, and nothing is kept', async () => {
  const trial = { rules: [{ standard: 'nspcc-cpsu' }], athletes: [{ ageMonths: 60 }] };
  for (const member of [f.lead, f.managerOf(f.gym), f.deskOf(f.gym), f.coachOf(f.gym)]) {
    expect((await tried(trial, api.as(member))).covered).toBe(false);
  }
  expect((await owner.get('/ratio-rules')).body.items).toEqual([]);
  expect((await api.anyone.post('/cover-trials', trial)).status).toBe(401);
});

test('the largest trial is answered like any other', async () => {
  const spotting = { mode: 'hands-on', kind: 'spotting' };
  const standards = [...new Set(reference.standards.map(({ id }) => id))].filter((id) => !id.startsWith('bg-'));
  const answer = await tried({
    rules: [...standards.map((standard) => ({ standard })), { standard: 'bg-general' }],
    athletes: Array.from({ length: 200 }, (_, i) => ({ ageMonths: 24 + (i % 150) })),
    staff: Array.from({ length: 60 }, (_, i) => ({ ageYears: 20 + (i % 30), qualifications: [{ kind: 'spotting' }] })),
    stations: Array.from({ length: 20 }, () => ({ spotting })),
  });
  expect(answer.covers.flatMap(({ counts }) => counts)).not.toEqual([]);
});

test('a trial that would take for ever is refused', async () => {
  const rule = {
    bands: [{ id: 'all', limits: [{ athletesPerCoach: '1' }] }],
    counts: [anybody],
    whileSpotting: 'does-not-count',
  };
  const errors = await refused({
    rules: [{ name: 'Club rule', rule }],
    athletes: [{ ageMonths: 100, count: 200 }],
    staff: [{ ageYears: 30, count: 60, qualifications: [{ kind: 'spotting' }] }],
    stations: Array.from({ length: 20 }, () => ({ spotting: { mode: 'hands-on', kind: 'spotting' } })),
  });
  expect(errors).toEqual([
    { pointer: '', detail: 'That is too much to try at once: take fewer rules, tests, staff or stations.' },
  ]);
});

test('numbers whose fractions would outgrow every answer are refused as they come', async () => {
  // common practice, no source: primes, so that no two share a divisor
  const primes = [9973, 9967, 9949, 9941, 9931, 9929, 9923, 9907];
  const limited = (numbers: number[]) => ({
    name: 'By the month',
    rule: {
      bands: numbers.map((n, age) => ({
        id: `${age}`,
        from: { months: age },
        to: { months: age + 1 },
        limits: [{ athletesPerCoach: `${n}/1000` }],
      })),
      mixed: { method: 'proportional' },
      counts: [{ who: { test: 'duty', in: ['lead'] }, share: '1', maxOf: null }],
    },
  });
  const weights = Array.from({ length: 20 }, (_, i) => `${i + 21}/${i + 1}`);
  const athletes = primes.flatMap((_, ageMonths) => weights.map((countsAs) => ({ ageMonths, countsAs })));
  expect(await refused({ rules: [limited(primes)], athletes: [] })).toMatchObject([{ pointer: '/rules/0/rule' }]);
  const { covers } = await tried({ rules: [limited(primes.slice(0, 7))], athletes });
  const short = covers[0]!.findings.find(({ code }) => code === 'short')!;
  expect(short.short.length).toBeGreaterThan(60);
  const sixtieths = Array.from({ length: 30 }, (_, i) => i + 31);
  expect((await tried({ rules: [limited(sixtieths)], athletes })).covered).toBe(false);
  const twentyfirst = { rules: [limited([8])], athletes: [{ ageMonths: 0, countsAs: '22/21' }] };
  expect(await refused(twentyfirst)).toMatchObject([{ pointer: '/athletes/0/countsAs' }]);
});
