import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { ruleSet, standards } from '../../src/cover/index.ts';
import { ruleOf, storedOf } from '../../src/enforcement/rule-codec.ts';
import { nothingSettled } from '../../src/enforcement/undated-fact.ts';
import { faultsInRule } from '../../src/features/ratios/rule-check.ts';
import type { RatioRule, RatioStandard, WholeRatioRule } from '../../src/features/ratios/schema.ts';
import { ruleOnWire } from '../../src/features/ratios/written.ts';
import { events } from '../../src/platform/events/table.ts';
import { newId } from '../../src/platform/ids.ts';
import { memberships } from '../../src/tables/index.ts';
import reference from '../reference/ratio-standards.json' with { type: 'json' };
import { aFranchise, aMember, type Franchise } from '../support/a-franchise.ts';
import { aProgramme } from '../support/a-plan.ts';
import { ruleBody } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
let f: Franchise;
let owner: Caller;
let manager: Caller;

beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** A franchise of its own: rules are the whole franchise's. */
async function begin(gyms = 1): Promise<void> {
  f = await aFranchise(api, { gyms });
  owner = api.as(f.owner);
  manager = api.as(f.managerOf(f.gym));
}

const eventsOf = (subjectId: string) =>
  f.arrange((tx) =>
    tx
      .select({ name: events.name, gymId: events.gymId, data: events.data })
      .from(events)
      .where(sql`franchise_id = ${f.id} AND subject_id = ${subjectId}`)
      .orderBy(events.id),
  );

interface Settled {
  released: unknown[];
  unconfirmed: { blockId: string; findings: { code: string; sentence: string }[] }[];
}
type Added = { rules: RatioRule[]; settled: Settled };
type Changed = RatioRule & { settled: Settled };
const nothing = nothingSettled();

const anybody = { who: { test: 'all', of: [] }, share: '1', maxOf: null };
const perCoach = (athletes: number, more: Record<string, unknown> = {}) => ({
  bands: [{ id: 'any age', limits: [{ athletesPerCoach: `${athletes}` }] }],
  counts: [anybody],
  ...more,
});
const aRule = (athletes: number, more: Record<string, unknown> = {}) => ({
  name: `One to ${athletes}`,
  rule: perCoach(athletes, more),
  from: '2026-09-07',
});
const aCoachingKind = () => aQualificationKind(f, { countsFor: ['leading', 'assisting'] });
const add = async (body: unknown): Promise<RatioRule> => {
  const answer = await owner.post<Added>('/ratio-rules', body);
  expect(answer.status, answer.text).toBe(201);
  const [rule] = answer.body.rules;
  if (!rule) throw new Error('a rule was added');
  return rule;
};

test('every published table of the reference can be read, with its source and what it is silent on', async () => {
  await begin();
  const { items } = (await owner.get<{ items: RatioStandard[] }>('/ratio-standards')).body;
  expect(items.map(({ id }) => id).sort()).toEqual(reference.standards.map(({ id }) => id).sort());
  for (const one of items) {
    const published = reference.standards.find(({ id }) => id === one.id);
    expect([one.edition, one.provenance, one.kind]).toEqual([
      published?.edition,
      published?.provenance,
      published?.kind,
    ]);
  }
  const coach = api.as(f.coachOf(f.gym));
  const one = (await coach.get<RatioStandard>('/ratio-standards/bg-general')).body;
  expect(one).toEqual(items.find(({ id }) => id === 'bg-general'));
  expect(one.slots.map(({ slot, required }) => [slot, required])).toEqual([
    ['lead-coach', true],
    ['assistant-coach', true],
  ]);
  expect((await coach.get('/ratio-standards/nowhere')).status).toBe(404);
});

test.each(standards.map(({ id }) => id))(
  'the rules of %s are kept and read back exactly, and are without fault',
  (id) => {
    const slots = standards.find((one) => one.id === id)?.slots ?? [];
    const kinds = Object.fromEntries(slots.map(({ slot }) => [slot, { kind: slot, grade: 1 }]));
    for (const rule of ruleSet(id, { inForceFrom: '2026-01-01', kinds })) {
      const { id: _, version: __, owner: ___, inForce: ____, ...body } = rule;
      const kept = JSON.parse(JSON.stringify(storedOf(rule)));
      expect(ruleOf(kept)).toEqual(body);
      expect(faultsInRule(kept, '')).toEqual([]);
    }
  },
);

test('a published table is adopted by name, one rule a part, scoped to a programme', async () => {
  await begin();
  const [lead, assistant] = [await aCoachingKind(), await aCoachingKind()];
  const programme = await aProgramme(f);
  const adoption = {
    standard: 'bg-general',
    kinds: { 'lead-coach': { kindId: lead.id, grade: 2 }, 'assistant-coach': { kindId: assistant.id } },
    scope: { programme: [programme.id] },
    except: { activity: ['party'] },
    mixed: { method: 'fill' },
    from: '2026-09-07',
  };
  const answer = await owner.post<Added>('/ratio-rules', adoption);
  expect(answer.status, answer.text).toBe(201);
  expect(answer.body.settled).toEqual(nothing);
  const [ratio, posts] = answer.body.rules;
  expect([ratio?.name, posts?.name]).toEqual([
    'British Gymnastics general classes: ratio',
    'British Gymnastics general classes: two-adults',
  ]);
  expect(ratio).toMatchObject({
    gymId: null,
    version: 1,
    revision: 1,
    from: '2026-09-07',
    until: null,
    retired: false,
  });
  expect(ratio?.rule).toMatchObject({
    source: { standard: 'bg-general' },
    scope: { programme: [programme.id] },
    except: { activity: ['party'] },
    mixed: { method: 'fill' },
  });
  expect(ratio?.rule.source?.silentOn[0]).toBe("mixed ages: fill (the franchise's choice)");
  const coach = { test: 'holds', kind: lead.id, grade: 2 };
  expect(ratio?.rule.counts[0]?.who).toEqual({
    test: 'all',
    of: [coach, { test: 'duty', in: ['lead', 'assist', 'oversee'] }],
  });
  expect(posts?.rule.mixed).toEqual({ method: 'youngest' });
  const listed = (await manager.get<{ items: RatioRule[] }>('/ratio-rules')).body.items;
  expect(listed).toEqual([...answer.body.rules].sort((a, b) => (a.id < b.id ? -1 : 1)));
  expect(await eventsOf(ratio?.id ?? '')).toEqual([
    { name: 'ratios.rule-added', gymId: null, data: { ruleId: ratio?.id, version: 1, standard: 'bg-general' } },
  ]);

  const trial = await owner.post('/cover-trials', {
    rules: [{ ruleId: ratio?.id }],
    athletes: [{ ageMonths: 100, count: 16 }],
    staff: [{ ageYears: 30, qualifications: [{ kind: lead.id, grade: 1 }] }],
  });
  expect(trial.body).toMatchObject({ covered: false, needed: 1, counted: '0' });
});

test('an adoption names what is there, for the slots that the table speaks of', async () => {
  await begin();
  const kind = await aQualificationKind(f, { grades: ['one'], countsFor: ['leading'] });
  const at = async (body: Record<string, unknown>) => {
    const answer = await owner.post('/ratio-rules', { from: '2026-09-07', ...body });
    expect(answer.status).toBe(422);
    return answer.body.errors.map(({ pointer }) => pointer);
  };
  const lead = { kindId: kind.id };
  expect(await at({ standard: 'nowhere' })).toEqual(['/standard']);
  expect(await at({ standard: 'bg-general', kinds: { 'lead-coach': lead } })).toEqual(['/kinds/assistant-coach']);
  expect(await at({ standard: 'aca-day', kinds: { teacher: lead } })).toEqual(['/kinds/teacher']);
  expect(await at({ standard: 'gymbc-rec', kinds: { 'certified-coach': { kindId: f.id } } })).toEqual([
    '/kinds/certified-coach/kindId',
  ]);
  expect(await at({ standard: 'gymbc-rec', kinds: { 'certified-coach': { ...lead, grade: 2 } } })).toEqual([
    '/kinds/certified-coach/grade',
  ]);
  expect(await at({ standard: 'aca-day', parts: ['ratio', 'picnic'] })).toEqual(['/parts/1']);
  expect(await at({ standard: 'aca-day', scopes: { picnic: {} } })).toEqual(['/scopes/picnic']);
  expect(await at({ standard: 'aca-day', scope: { programme: [f.id] } })).toEqual(['/scope/programme/0']);
  expect(await at({ standard: 'aca-day', except: { level: [f.id] } })).toEqual(['/except/level/0']);
  expect(await at({ standard: 'aca-day', from: '2026-02-30' })).toEqual(['/from']);
  expect((await owner.get('/ratio-rules')).body.items).toEqual([]);
});

test('an adoption names kinds that are good for what their slots ask; a slot that asks for none takes any', async () => {
  await begin();
  const spotting = await aQualificationKind(f, { name: 'Spotting', countsFor: ['spotting', 'screening'] });
  const screening = await aQualificationKind(f, { name: 'Clear check', countsFor: ['screening'] });
  const assisting = await aQualificationKind(f, { countsFor: ['assisting'] });
  const adopting = (standard: string, kinds: Record<string, { id: string }>) =>
    owner.post<Added>('/ratio-rules', {
      standard,
      kinds: Object.fromEntries(Object.entries(kinds).map(([slot, { id }]) => [slot, { kindId: id }])),
      from: '2026-09-07',
    });
  const refused = await adopting('bg-general', { 'lead-coach': spotting, 'assistant-coach': screening });
  expect(refused.status).toBe(422);
  expect(refused.body).toMatchObject({
    errors: [
      {
        pointer: '/kinds/lead-coach/kindId',
        detail: '"Spotting" does not count for leading or assisting; name a kind that does.',
      },
      {
        pointer: '/kinds/assistant-coach/kindId',
        detail: '"Clear check" does not count for leading or assisting; name a kind that does.',
      },
    ],
  });
  expect((await adopting('gymbc-rec', { 'certified-coach': screening })).body).toMatchObject({
    errors: [{ pointer: '/kinds/certified-coach/kindId' }],
  });
  expect((await adopting('nspcc-cpsu', { screened: assisting })).body).toMatchObject({
    errors: [{ pointer: '/kinds/screened/kindId' }],
  });
  expect((await owner.get('/ratio-rules')).body.items).toEqual([]);
  for (const [standard, kinds] of [
    ['gymbc-rec', { 'certified-coach': assisting }],
    ['nspcc-cpsu', { screened: screening }],
    ['eyfs-2023', { 'level-6': spotting }],
  ] as const) {
    const adopted = await adopting(standard, kinds);
    expect(adopted.status, adopted.text).toBe(201);
  }
});

test('no new rule is in force in the past: not one of the franchise, nor a gym’s, nor a published table', async () => {
  await begin();
  const yesterday = '2026-09-06';
  const screened = await aQualificationKind(f, { countsFor: ['screening'] });
  const adoption = { standard: 'nspcc-cpsu', kinds: { screened: { kindId: screened.id } } };
  for (const ask of [
    (from: string) => owner.post('/ratio-rules', { ...aRule(8), from }),
    (from: string) => manager.post(`/gyms/${f.gym.id}/ratio-rules`, { ...aRule(4), from }),
    (from: string) => owner.post('/ratio-rules', { ...adoption, from }),
  ]) {
    const past = await ask(yesterday);
    expect(past.status).toBe(422);
    expect(past.body.errors).toEqual([
      {
        pointer: '/from',
        detail: 'Expected 2026-09-07 or later: what is past was judged by the rules in force then.',
      },
    ]);
    const today = await ask('2026-09-07');
    expect(today.status, today.text).toBe(201);
  }
});

test('a rule is taken back as it was answered, its source too', async () => {
  await begin();
  const kind = await aCoachingKind();
  const adopted = await add({
    standard: 'gymbc-rec',
    kinds: { 'certified-coach': { kindId: kind.id } },
    from: '2026-09-07',
  });
  expect(adopted.rule.source).not.toBeNull();
  for (const { id, name } of [adopted, await add(aRule(8))]) {
    const { rule } = (await owner.get<WholeRatioRule>(`/ratio-rules/${id}`)).body;
    const changed = { name, rule: { ...rule, plus: 1 }, from: '2026-10-01' };
    const answer = await owner.post<Changed>(`/ratio-rules/${id}/versions`, changed, { ifMatch: 1 });
    expect(answer.status, answer.text).toBe(201);
    expect(answer.body.rule).toEqual({ ...rule, plus: 1, source: null });
  }
});

test('a rule whose stored form is none is a fault, not an answer', () => {
  expect(ruleOnWire(ruleBody())).toEqual(ruleBody());
  const odd = { ...ruleBody(), scope: { activity: ['juggling'] } };
  expect(() => ruleOnWire(odd)).toThrow('activity');
});

test('a rule that makes no sense is refused, each fault with its pointer', async () => {
  await begin();
  const at = async (rule: Record<string, unknown>) => {
    const answer = await owner.post('/ratio-rules', { name: 'Odd', rule, from: '2026-09-07' });
    expect(answer.status).toBe(422);
    return answer.body.errors.map(({ pointer }) => pointer);
  };
  const limits = [{ athletesPerCoach: '8' }];
  const band = { id: 'a', limits };
  expect(await at({})).toEqual(['/rule']);
  expect(await at({ bands: [band] })).toEqual(['/rule/counts']);
  expect(await at(perCoach(8, { bands: [band, band] }))).toEqual(['/rule/bands/1/id']);
  const older = { id: 'older', from: { months: 60 }, limits };
  expect(await at(perCoach(8, { bands: [older, { ...band, from: { months: 24 }, to: { months: 60 } }] }))).toEqual([
    '/rule/bands/1',
  ]);
  expect(await at(perCoach(8, { bands: [{ ...older, to: { months: 60 } }] }))).toEqual(['/rule/bands/0/to']);
  expect(
    await at(perCoach(8, { bands: [{ ...band, to: { firstOn: { month: 2, day: 30 }, afterBirthday: 5 } }] })),
  ).toEqual(['/rule/bands/0/to/firstOn']);
  expect(await at(perCoach(8, { bands: [{ ...band, from: { months: 'six' } }] }))).toEqual([
    '/rule/bands/0/from/months',
  ]);
  expect(await at(perCoach(8, { bands: [{ id: 'a', limits: [...limits, ...limits] }] }))).toEqual([
    '/rule/bands/0/limits/1',
  ]);
  expect(await at(perCoach(8, { counts: [{ ...anybody, share: '3/2' }] }))).toEqual(['/rule/counts/0/share']);
  expect(await at(perCoach(8, { counts: [{ ...anybody, maxOf: { share: '1', base: 'counted' } }] }))).toEqual([
    '/rule/counts/0/maxOf/share',
  ]);
  expect(await at(perCoach(8, { caps: [{ max: 8, of: 'group', bands: ['b'] }] }))).toEqual(['/rule/caps/0/bands/0']);
  expect(
    await at(
      perCoach(8, {
        mixed: { method: 'composition', rows: [{ ifBand: 'b', atLeast: { share: '2' }, use: 'any age' }] },
      }),
    ),
  ).toEqual(['/rule/mixed/rows/0/ifBand', '/rule/mixed/rows/0/atLeast/share']);
  const unlimited = { id: 'with their own helper', limits: [] };
  const rows = [{ ifBand: 'a', atLeast: { count: 1 }, use: unlimited.id }];
  const mixed = { method: 'composition', rows };
  expect(await at(perCoach(8, { bands: [{ id: 'a', limits }, unlimited], mixed }))).toEqual(['/rule/mixed/rows/0/use']);
  const posts = [{ people: 1, who: { test: 'all', of: [] } }];
  expect(await at({ floors: [{ fromAthletes: 5, toAthletes: 4, posts }] })).toEqual(['/rule/floors/0/toAthletes']);
  expect(await at(perCoach(8, { counts: [{ ...anybody, who: { test: 'holds', kind: f.id, grade: 1 } }] }))).toEqual([
    '/rule/counts/0/who/kind',
  ]);
  expect(await at(perCoach(8, { scope: { area: [f.id] } }))).toEqual(['/rule/scope/area/0']);
  expect(await at(perCoach(8, { lenient: true }))).toEqual(['/rule/lenient']);
});

test('a written rule is answered whole, and stands from its day', async () => {
  await begin();
  const kind = await aQualificationKind(f);
  const who = { test: 'supervised', by: { test: 'holds', kind: kind.id, grade: 3 } };
  const rule = perCoach(8, { counts: [anybody, { who, share: '1/2', maxOf: { share: '1/3', base: 'required' } }] });
  const added = await add({ name: 'Club rule', rule, from: '2026-10-01', until: '2027-07-01' });
  expect(added).toEqual({
    id: added.id,
    gymId: null,
    version: 1,
    name: 'Club rule',
    from: '2026-10-01',
    until: '2027-07-01',
    retired: false,
    createdAt: added.createdAt,
    rule: {
      source: null,
      strength: 'refuse',
      overridable: true,
      scope: {},
      except: null,
      per: 'block',
      agesOf: 'present',
      bands: [
        {
          id: 'any age',
          from: null,
          to: null,
          category: null,
          trait: null,
          countBy: 'athlete',
          limits: [{ upToGroup: null, athletesPerCoach: '8', when: null }],
          largestGroup: null,
          mixes: 'in',
        },
      ],
      mixed: { method: 'youngest' },
      plus: 0,
      floors: [],
      caps: [],
      counts: rule.counts,
      whileSpotting: 'counts',
      supervision: [],
      staffBelowYearsAreAthletes: null,
    },
    revision: 1,
  });
  const { versions, ...whole } = (await owner.get<WholeRatioRule>(`/ratio-rules/${added.id}`)).body;
  expect(whole).toEqual(added);
  expect(versions).toHaveLength(1);
  const on = async (day: string) => (await owner.get(`/ratio-rules?on=${day}`)).body.items.length;
  expect([await on('2026-09-30'), await on('2026-10-01'), await on('2027-06-30'), await on('2027-07-01')]).toEqual([
    0, 1, 1, 0,
  ]);
  const ends = await owner.post('/ratio-rules', { ...aRule(8), until: '2026-09-07' });
  expect(ends.body.errors[0]?.pointer).toBe('/until');
});

test('a new version takes over on its day; what was in force stays on record', async () => {
  await begin();
  const { id } = await add(aRule(8));
  const path = `/ratio-rules/${id}/versions`;
  const past = await owner.post(path, { ...aRule(6), from: '2026-09-06' }, { ifMatch: 1 });
  expect(past.status).toBe(422);
  expect(past.body.errors[0]?.pointer).toBe('/from');

  const changed = await owner.post<Changed>(path, { ...aRule(6), from: '2026-10-01' }, { ifMatch: 1 });
  expect(changed.status).toBe(201);
  expect(changed.body).toMatchObject({ version: 2, name: 'One to 6', from: '2026-10-01', settled: nothing });
  expect(changed.headers.get('ETag')).toBe('"r2"');
  expect((await owner.post(path, { ...aRule(5), from: '2026-10-01' }, { ifMatch: 1 })).status).toBe(412);
  const named = async (day: string) => (await owner.get(`/ratio-rules?on=${day}`)).body.items.map(({ name }) => name);
  expect([await named('2026-09-30'), await named('2026-10-01')]).toEqual([['One to 8'], ['One to 6']]);

  const retired = await owner.post<Changed>(`/ratio-rules/${id}/retire`, { from: '2026-12-01' }, { ifMatch: 2 });
  expect(retired.body).toMatchObject({ version: 3, retired: true, from: '2026-12-01', until: null });
  expect([await named('2026-11-30'), await named('2026-12-01')]).toEqual([['One to 6'], []]);
  const { versions } = (await owner.get<WholeRatioRule>(`/ratio-rules/${id}`)).body;
  expect(versions.map(({ version, from, until, retired }) => [version, from, until, retired])).toEqual([
    [3, '2026-12-01', null, true],
    [2, '2026-10-01', '2026-12-01', false],
    [1, '2026-09-07', '2026-10-01', false],
  ]);
  expect((await owner.post(path, { ...aRule(6), from: '2027-01-01' }, { ifMatch: 3 })).status).toBe(409);
  expect((await eventsOf(id)).map(({ name }) => name)).toEqual([
    'ratios.rule-added',
    'ratios.rule-changed',
    'ratios.rule-retired',
  ]);
});

test('a rule that uncovers a confirmed block stands, and the block loses its confirmation; a dry run only tells', async () => {
  await begin();
  const coach = await aStaffMember(f);
  const session = await aSession(f, { groups: [9], confirmed: true });
  const [block] = session.blocks;
  if (!block) throw new Error('a session has a block');
  await anAssignment(f, block, coach);

  const asked = await owner.post<Added>('/ratio-rules', aRule(8), { dryRun: true });
  expect(asked.status).toBe(201);
  expect(asked.body.settled.unconfirmed.map(({ blockId }) => blockId)).toEqual([block.id]);
  expect((await owner.get('/ratio-rules')).body.items).toEqual([]);
  expect(await eventsOf(block.id)).toEqual([]);

  const kept = await owner.post<Added>('/ratio-rules', { ...aRule(8), from: '2026-09-15' });
  expect(kept.body.settled).toEqual(nothing);
  const added = await owner.post<Added>('/ratio-rules', aRule(8));
  expect(added.body.settled.released).toEqual([]);
  const [lost] = added.body.settled.unconfirmed;
  expect(lost?.findings.map(({ code }) => code)).toEqual(['short']);
  expect(lost?.findings[0]?.sentence).toContain('9 athletes');
  expect((await eventsOf(block.id)).map(({ name }) => name)).toEqual(['staffing.confirmation-lost']);
});

test('a gym adds a stricter rule; one that asks for less is refused with the first age', async () => {
  await begin(2);
  const franchise = await add({
    name: 'Ours',
    rule: perCoach(8, {
      bands: [
        { id: 'under 5', to: { months: 60 }, limits: [{ athletesPerCoach: '6' }] },
        { id: '5 and over', from: { months: 60 }, limits: [{ athletesPerCoach: '8' }] },
      ],
    }),
    from: '2026-09-07',
  });
  const path = `/gyms/${f.gym.id}/ratio-rules`;
  const looser = await manager.post(path, aRule(7));
  expect(looser.status).toBe(422);
  expect(looser.body).toMatchObject({
    type: '/problems/looser-rule',
    ageMonths: 0,
    franchiseRule: franchise.id,
    detail: 'At the age of 0 months, "One to 7" asks for less than the franchise\'s "Ours".',
  });
  const olderOnly = perCoach(9, { bands: [{ id: 'old', from: { months: 72 }, limits: [{ athletesPerCoach: '9' }] }] });
  const old = await manager.post(path, { name: 'Six and over', rule: olderOnly, from: '2026-09-07' });
  expect(old.body.ageMonths).toBe(72);

  const stricter = await manager.post<Changed>(path, aRule(5));
  expect(stricter.status).toBe(201);
  expect(stricter.body).toMatchObject({ gymId: f.gym.id, version: 1, settled: nothing });
  const { id } = stricter.body;
  expect(await eventsOf(id)).toEqual([
    { name: 'ratios.rule-added', gymId: f.gym.id, data: { ruleId: id, version: 1, standard: null } },
  ]);
  const weaker = { ...aRule(9), from: '2026-09-20' };
  expect((await manager.post(`${path}/${id}/versions`, weaker, { ifMatch: 1 })).body.type).toBe(
    '/problems/looser-rule',
  );
  const changed = await manager.post(`${path}/${id}/versions`, { ...aRule(4), from: '2026-09-20' }, { ifMatch: 1 });
  expect(changed.status).toBe(201);

  const [, other] = f.gyms;
  if (!other) throw new Error('there are two gyms');
  const applying = async (gymId: string) =>
    (await owner.get(`/ratio-rules?gymId=${gymId}&on=2026-09-14`)).body.items.map(({ name }) => name).sort();
  expect(await applying(f.gym.id)).toEqual(['One to 5', 'Ours']);
  expect(await applying(other.id)).toEqual(['Ours']);
  const retired = await manager.post(`${path}/${id}/retire`, { from: '2026-10-01' }, { ifMatch: 2 });
  expect(retired.status).toBe(200);
});

test('a gym’s rule is compared with the franchise’s where both count the same people, however that was written', async () => {
  await begin();
  const adults = {
    who: {
      test: 'all',
      of: [
        { test: 'age', atLeastYears: 18 },
        { test: 'duty', in: ['lead', 'assist'] },
      ],
    },
    share: '1',
    maxOf: null,
  };
  const franchise = await add(aRule(8, { counts: [adults] }));
  const looser = await manager.post(`/gyms/${f.gym.id}/ratio-rules`, aRule(9, { counts: [adults] }));
  expect(looser.body).toMatchObject({ type: '/problems/looser-rule', franchiseRule: franchise.id });
  const elder = { ...adults, who: { test: 'age', atLeastYears: 21 } };
  const beside = await manager.post(`/gyms/${f.gym.id}/ratio-rules`, aRule(9, { counts: [elder] }));
  expect(beside.status).toBe(201);
});

test('a gym’s rule is its own: no other gym changes it, and it names no area of another', async () => {
  await begin(2);
  const [, other] = f.gyms;
  if (!other) throw new Error('there are two gyms');
  const added = await manager.post(`/gyms/${f.gym.id}/ratio-rules`, aRule(5));
  const { id } = added.body;
  const elsewhere = api.as(f.managerOf(other));
  const newer = { ...aRule(4), from: '2026-09-20' };
  expect((await elsewhere.post(`/gyms/${other.id}/ratio-rules/${id}/versions`, newer, { ifMatch: 1 })).status).toBe(
    404,
  );
  expect((await elsewhere.post(`/gyms/${f.gym.id}/ratio-rules/${id}/versions`, newer, { ifMatch: 1 })).status).toBe(
    404,
  );
  expect((await manager.post(`/ratio-rules/${id}/versions`, newer, { ifMatch: 1 })).status).toBe(403);
  expect((await manager.post('/ratio-rules', aRule(5))).status).toBe(403);
  expect((await owner.post(`/ratio-rules/${id}/versions`, newer, { ifMatch: 1 })).status).toBe(201);

  const scope = { area: [f.gym.areas.vault, other.areas.vault] };
  const foreign = await manager.post(`/gyms/${f.gym.id}/ratio-rules`, aRule(5, { scope }));
  expect(foreign.body.errors).toEqual([{ pointer: '/rule/scope/area/1', detail: 'This is an area of another gym.' }]);
  const stranger = await aFranchise(api, { name: 'Elsewhere' });
  expect((await api.as(stranger.owner).get(`/ratio-rules/${id}`)).status).toBe(404);
  expect((await api.as(stranger.owner).get('/ratio-rules')).body.items).toEqual([]);
});

test('a gym’s rule is seen by those who belong there, and by nobody of another gym', async () => {
  await begin(2);
  const [, other] = f.gyms;
  if (!other) throw new Error('there are two gyms');
  const ours = await add(aRule(8));
  const { id } = (await manager.post<Changed>(`/gyms/${f.gym.id}/ratio-rules`, aRule(5))).body;
  const trial = { rules: [{ ruleId: id }], athletes: [{ ageMonths: 100 }] };
  const seenBy = async (who: Caller, at: string) => ({
    listed: (await who.get('/ratio-rules')).body.items.map((one) => one.id).sort(),
    listedAt: (await who.get(`/ratio-rules?gymId=${at}`)).body.items?.map((one) => one.id).sort(),
    read: (await who.get(`/ratio-rules/${id}`)).status,
    tried: (await who.post('/cover-trials', trial)).status,
  });
  const both = [ours.id, id].sort();
  const all = { listed: both, listedAt: both, read: 200, tried: 200 };
  const twoRoles = await aMember(f, { role: 'coach', gym: other });
  await f.arrange((tx) =>
    tx
      .insert(memberships)
      .values({ franchiseId: f.id, id: newId(), accountId: twoRoles.accountId, role: 'desk', gymId: f.gym.id }),
  );
  for (const who of [f.owner, f.lead, f.managerOf(f.gym), f.deskOf(f.gym), f.coachOf(f.gym), twoRoles]) {
    expect(await seenBy(api.as(who), f.gym.id)).toEqual(all);
  }
  const none = { listed: [ours.id], listedAt: undefined, read: 404, tried: 422 };
  for (const who of [f.managerOf(other), f.deskOf(other), f.coachOf(other)]) {
    expect(await seenBy(api.as(who), f.gym.id)).toEqual(none);
    expect((await api.as(who).get(`/ratio-rules?gymId=${f.gym.id}`)).status).toBe(404);
    expect((await api.as(who).get(`/ratio-rules?gymId=${other.id}`)).body.items.map((one) => one.id)).toEqual([
      ours.id,
    ]);
  }
});

test('rules come in pages', async () => {
  await begin();
  const ids = [];
  for (const most of [8, 7, 6]) ids.push((await add(aRule(most))).id);
  ids.sort();
  const first = await owner.get('/ratio-rules?limit=2');
  expect(first.body.items.map(({ id }) => id)).toEqual(ids.slice(0, 2));
  const next = await owner.get(`/ratio-rules?limit=2&cursor=${first.body.next}`);
  expect(next.body.items.map(({ id }) => id)).toEqual(ids.slice(2));
  expect(next.body.next).toBeNull();
});

test('a rule scoped to one programme leaves another programme’s class alone', async () => {
  await begin();
  const other = await aProgramme(f, 'Another');
  const session = await aSession(f, { class: await aClass(f), groups: [9], confirmed: true });
  const elsewhere = await owner.post<Added>('/ratio-rules', aRule(8, { scope: { programme: [other.id] } }));
  expect(elsewhere.body.settled).toEqual(nothing);
  const here = await owner.post<Added>(
    '/ratio-rules',
    aRule(8, { scope: { programme: [session.class.programme.id] } }),
  );
  expect(here.body.settled.unconfirmed).toHaveLength(1);
});
