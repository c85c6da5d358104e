import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DEFAULT_LIMITS } from '../../src/features/curriculum/checks/limits.ts';
import type {
  CurriculumSettings,
  FindingOnWire,
  PlanChecks,
  TermChecks,
} from '../../src/features/curriculum/checks/schema.ts';
import type { SentContent } from '../../src/features/curriculum/plan-content-schema.ts';
import type { SentDrill } from '../../src/features/curriculum/schema.ts';
import type { Term } from '../../src/features/curriculum/term-schema.ts';
import type { Apparatus } from '../../src/features/gyms/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { inShort } from '../support/a-checked-plan.ts';
import { aBlock, aStep, content, type Station, unique, writing } from '../support/a-draft.ts';
import { aFranchise, type Franchise, type TestGym } from '../support/a-franchise.ts';
import { aProgramme, aPublishedPlan, type Programme } from '../support/a-plan.ts';
import { aClass, aSession, type ClassOptions, type TestClass } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember, athletes } from '../support/people.ts';

const MONDAY = '2026-09-14';

let api: Api;
let f: Franchise;
let lead: Caller;
let lessons: ReturnType<typeof writing>;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 3 });
  lead = api.as(f.lead);
  lessons = writing(f, lead);
});
afterAll(() => api.close());

const gymAt = (index: number): TestGym => f.gyms[index] ?? f.gym;

/** A class of so many children born on that day, or of nobody. */
async function classOf(
  programme: Programme,
  count: number,
  { born = '2018-06-10', ...options }: ClassOptions & { born?: string } = {},
): Promise<TestClass> {
  const one = await aClass(f, { programme, ...options });
  if (count === 0) return one;
  const ids = await athletes(f, count, { gym: one.gym, born });
  await f.arrange((tx) =>
    tx.insert(t.enrolments).values(
      ids.map((athleteId) => ({
        franchiseId: f.id,
        id: newId(),
        gymId: one.gym.id,
        classId: one.id,
        athleteId,
        from: '2026-08-31',
      })),
    ),
  );
  return one;
}

interface Written {
  planId: string;
  revision: number;
  checks: () => Promise<PlanChecks>;
}

async function written(programme: Programme, said: SentContent): Promise<Written> {
  const plan = await lessons.aDraft(programme.id, MONDAY);
  const { revision } = await lessons.write(plan.id, plan.draft.revision, said);
  const checks = async () => {
    const answer = await lead.get<PlanChecks>(`/lesson-plans/${plan.id}/versions/1/checks`);
    expect(answer.status, answer.text).toBe(200);
    return answer.body;
  };
  return { planId: plan.id, revision, checks };
}

const shortOf = ({ findings }: Pick<PlanChecks, 'findings'>, check: FindingOnWire['check']) =>
  findings.filter((one) => one.check === check).map(inShort);
const only = ({ findings }: Pick<PlanChecks, 'findings'>, about: FindingOnWire['about']) => {
  const found = findings.filter((one) => one.about === about);
  expect(found).toHaveLength(1);
  return found[0] as FindingOnWire;
};

/** One station of one drill; eight may be on it at once. */
async function aStation(drill: Partial<SentDrill> = {}, more: Partial<Station> = {}): Promise<Station> {
  const { id, apparatusId } = await lessons.aDrill({ places: 8, ...drill });
  return lessons.aStation([id], { apparatusId, ...more });
}

describe('what plans are measured by', () => {
  let g: Franchise;
  const path = '/curriculum-settings';
  beforeAll(async () => {
    g = await aFranchise(api);
  });

  test('is common practice until the franchise says otherwise, under If-Match', async () => {
    const ours = api.as(g.lead);
    const begun = await api.as(g.coachOf(g.gym)).get<CurriculumSettings>(path);
    expect([begun.body, begun.headers.get('ETag')]).toEqual([{ ...DEFAULT_LIMITS, revision: 1 }, '"r1"']);
    expect((await ours.put(path, DEFAULT_LIMITS, { ifMatch: 2 })).status).toBe(412);
    const limits = { ...DEFAULT_LIMITS, mostWaiting: 5 };
    const set = await ours.put<CurriculumSettings>(path, limits, { ifMatch: 1 });
    expect([set.status, set.body]).toEqual([200, { ...limits, revision: 2 }]);
    expect((await ours.put(path, DEFAULT_LIMITS, { ifMatch: 1 })).status).toBe(412);
    const again = await ours.put<CurriculumSettings>(path, { ...limits, mostWaiting: 4 }, { ifMatch: 2 });
    expect(again.body).toEqual({ ...limits, mostWaiting: 4, revision: 3 });
    expect((await api.as(g.owner).get(path)).body).toEqual(again.body);
    expect((await lead.get(path)).body).toEqual({ ...DEFAULT_LIMITS, revision: 1 });
    const { rows } = await api.database.ownerPool.query(
      "SELECT name, subject_revision AS revision FROM events WHERE franchise_id = $1 AND name LIKE 'curriculum.settings%' ORDER BY 2",
      [g.id],
    );
    expect(rows).toEqual([2, 3].map((revision) => ({ name: 'curriculum.settings-changed', revision })));
  });

  test('of two who are the first to set it, one wins', async () => {
    const h = await aFranchise(api);
    const set = () => api.as(h.lead).put(path, DEFAULT_LIMITS, { ifMatch: 1 });
    const answers = await Promise.all([set(), set()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
  });

  test('is set by those who write plans, in numbers that make sense', async () => {
    for (const member of [g.managerOf(g.gym), g.deskOf(g.gym), g.coachOf(g.gym)]) {
      expect((await api.as(member).put(path, DEFAULT_LIMITS, { ifMatch: 3 })).status).toBe(403);
    }
    const [first] = DEFAULT_LIMITS.ages;
    const wrong = { ...DEFAULT_LIMITS, newPercent: { from: 40, to: 30 }, ages: [first, first] };
    const refused = await api.as(g.lead).put(path, wrong, { ifMatch: 3 });
    expect([refused.status, refused.body.errors.map(({ pointer }) => pointer).sort()]).toEqual([
      422,
      ['/ages', '/newPercent/to'],
    ]);
  });
});

describe('who may ask', () => {
  test('those who write plans; and nobody of another franchise', async () => {
    const programme = await aProgramme(f);
    const { planId } = await written(programme, content());
    const path = `/lesson-plans/${planId}/versions/1/checks`;
    for (const member of [f.managerOf(f.gym), f.deskOf(f.gym), f.coachOf(f.gym)]) {
      expect((await api.as(member).get(path)).status).toBe(403);
    }
    expect((await api.as(f.owner).get(path)).status).toBe(200);
    expect((await api.as((await aFranchise(api)).lead).get(path)).status).toBe(404);
    expect((await lead.get(`/lesson-plans/${planId}/versions/2/checks`)).status).toBe(404);
  });

  test('without a class in that week there is nothing to hold it against, and that is said', async () => {
    const { checks } = await written(await aProgramme(f), content(aBlock([await aStation()])));
    const { findings, unchecked, turns } = await checks();
    expect([findings, turns, unchecked.map(({ sentence }) => sentence)]).toEqual([
      [],
      [],
      ['No class of its programmes is on in the week of 2026-09-14: nothing was checked against a class.'],
    ]);
  });
});

test('time: which class at which gym the blocks do not fit, and whose age they do not', async () => {
  const programme = await aProgramme(f);
  await classOf(programme, 4);
  const short = await classOf(programme, 4, { gym: gymAt(1), durationMinutes: 40, born: '2022-03-01', weekday: 3 });
  const ended = await classOf(programme, 4, { gym: gymAt(1), durationMinutes: 30 });
  await f.arrange((tx) => tx.execute(`UPDATE classes SET until_day = '2026-09-14' WHERE id = '${ended.id}'`));
  const on = (minutes: number) => aStation().then((station) => aBlock([station], { minutes }));
  const { checks } = await written(programme, content(await on(15), await on(15), await on(15)));
  const found = await checks();
  const length = only(found, 'lesson-length');
  expect(length).toMatchObject({
    number: '45',
    limit: { atLeast: null, atMost: '40' },
    unit: 'minutes',
    severity: 'warn',
  });
  expect(length.limitFrom).toBe('timetable');
  expect(length.classes).toEqual([
    {
      gymId: gymAt(1).id,
      gymName: 'Gym 2',
      classId: short.id,
      className: 'Monday tumblers',
      day: '2026-09-16',
      startsAt: '17:00',
    },
  ]);
  const blocks = only(found, 'block-length');
  expect([
    inShort(blocks),
    blocks.where.map(({ pointer }) => pointer),
    blocks.classes.map(({ classId }) => classId),
  ]).toEqual(['block-length 15, 8 to 10', ['/blocks/0', '/blocks/1', '/blocks/2'], [short.id]]);
});

test('turns and waiting: each station’s numbers for the largest group, and who waits too long', async () => {
  const programme = await aProgramme(f);
  const small = await classOf(programme, 3);
  const large = await classOf(programme, 8, { gym: gymAt(1) });
  const { id } = await lessons.aDrill({ places: 1, secondsATurn: 30 });
  const { checks } = await written(programme, content(aBlock([lessons.aStation([id])], { minutes: 10 })));
  const found = await checks();
  // As published for physical education: (8 / 1 − 1) × 30 s between turns; a minute of the ten is set-up.
  expect(found.turns).toEqual([
    {
      where: { pointer: '/blocks/0/stations/0', names: ['Floor', 'Wedge'] },
      athletes: 8,
      places: 1,
      secondsATurn: 30,
      seconds: 540,
      turnsEach: 2,
      waiting: 7,
      waitingShare: '7/8',
      waitSeconds: '210',
    },
  ]);
  const waiting = only(found, 'waiting');
  expect([inShort(waiting), waiting.classes.map(({ classId }) => classId)]).toEqual([
    'waiting 7, at most 3',
    [large.id],
  ]);

  const active = only(found, 'active-share');
  expect(active).toMatchObject({ number: '1', limitFrom: 'published', limit: { atLeast: '50', atMost: null } });
  expect(active.source).toMatch(/not of a gymnastics class.*CDC/);
  expect(active.classes.map(({ classId }) => classId).sort()).toEqual([small.id, large.id].sort());
});

test('a class that was laid out in groups comes group by group; one that nobody has joined counts its capacity', async () => {
  const plan = await aPublishedPlan(f, { weekOf: '2026-09-07' });
  const { programme } = plan;
  const one = await aClass(f, { programme, capacity: 30 });
  const { id } = await lessons.aDrill({ places: 1 });
  const { checks } = await written(programme, content(aBlock([lessons.aStation([id])])));
  expect((await checks()).turns.map((turns) => turns.athletes)).toEqual([30]);
  await aSession(f, { plan, class: one, day: '2026-09-07', groups: [4, 3] });
  expect((await checks()).turns.map((turns) => turns.athletes)).toEqual([4]);
});

describe('equipment in use', () => {
  test('against all classes at that hour; what is taken out of use leaves stock', async () => {
    const programme = await aProgramme(f);
    await classOf(programme, 4);
    const { checks } = await written(
      programme,
      content(aBlock([await aStation({ apparatusId: f.apparatus.beam }, { name: 'Two beams', items: 2 })])),
    );
    expect(shortOf(await checks(), 'equipment')).toEqual([]);

    const area = `/gyms/${f.gym.id}/areas/${f.gym.areas.beam}/out-of-use`;
    const manager = api.as(f.managerOf(f.gym));
    const out = (items: number) => manager.put(area, { apparatusId: f.apparatus.beam, items, why: 'A foot is loose.' });
    expect((await out(1)).status).toBe(200);
    const short = only(await checks(), 'stock');
    expect([inShort(short), short.limitFrom, short.where]).toEqual([
      'stock 2, at most 1',
      'gym-stock',
      [{ pointer: '/blocks/0/stations/0', names: ['Floor', 'Two beams'] }],
    ]);
    expect(short.sentence).toContain('Gym 1 has 1 in use and 1 out of use');
    expect((await out(0)).status).toBe(200);
    expect(shortOf(await checks(), 'equipment')).toEqual([]);

    const other = await aPublishedPlan(f, { weekOf: MONDAY, blocks: [{ stations: [{ apparatus: 'beam' }] }] });
    await aClass(f, { programme: other.programme, startsAt: '17:30' });
    await aClass(f, { programme: other.programme, startsAt: '18:00' });
    await aClass(f, { programme: other.programme, gym: gymAt(1) });
    const together = only(await checks(), 'stock');
    expect(inShort(together)).toBe('stock 3, at most 2');
    expect(together.sentence).toContain('with 1 other class');
  });

  test('a session that is laid out from another plan needs what that one asks; a class without a plan is named', async () => {
    const programme = await aProgramme(f);
    await classOf(programme, 4, { gym: gymAt(2), startsAt: '09:00' });
    const station = await aStation({ apparatusId: f.apparatus.vault }, { items: 2 });
    const { checks } = await written(programme, content(aBlock([station])));
    const other = await aPublishedPlan(f, { weekOf: '2026-06-01', blocks: [{ stations: [{ apparatus: 'vault' }] }] });
    const theirs = await aClass(f, { programme: other.programme, gym: gymAt(2), startsAt: '09:00' });
    const before = await checks();
    expect(shortOf(before, 'equipment')).toEqual([]);
    expect(before.unchecked.filter(({ check }) => check === 'equipment').map(({ sentence }) => sentence)).toEqual([
      '1 other class has no plan for that week at these gyms; what they use is not counted: “Monday tumblers” (Gym 3, Monday).',
    ]);
    await aSession(f, { plan: other, class: theirs, day: MONDAY, groups: [2] });
    const after = await checks();
    expect(shortOf(after, 'equipment')).toEqual(['stock 3, at most 2']);
    expect(after.unchecked.map(({ check }) => check)).not.toContain('equipment');
  });

  test('what will do instead makes up for it', async () => {
    const kind = async (name: string, items: number) => {
      const { body } = await lead.post<Apparatus>('/apparatus', { name: unique(name) });
      if (items > 0) {
        await f.arrange((tx) =>
          tx
            .insert(t.areaApparatus)
            .values({ franchiseId: f.id, areaId: gymAt(1).areas.floor, apparatusId: body.id, items }),
        );
      }
      return body.id;
    };
    const [thick, thin] = [await kind('Thick mat', 1), await kind('Thin mat', 4)];
    const programme = await aProgramme(f);
    await classOf(programme, 4, { gym: gymAt(1), startsAt: '07:00' });
    const station = (orInstead: { apparatusId: string; amount: number }[]) =>
      aStation(
        {},
        {
          setUp: {
            words: '',
            pieces: [{ apparatusId: thick, amount: 2, job: 'landing', forMixedSizes: false, orInstead }],
            staysUp: false,
            diagram: null,
          },
        },
      );
    const without = await written(programme, content(aBlock([await station([])])));
    expect(shortOf(await without.checks(), 'equipment')).toEqual(['stock 2, at most 1']);
    const instead = await written(programme, content(aBlock([await station([{ apparatusId: thin, amount: 4 }])])));
    expect(shortOf(await instead.checks(), 'equipment')).toEqual([]);
  });
});

test('size fit: a barrel against the published heights of the class, and the raise that bridges it', async () => {
  const sized = async (name: string, heightCm: number | null) =>
    (await lead.post<Apparatus>('/apparatus', { name: unique(name), heightCm })).body.id;
  const [barrel, mat, strange] = [await sized('Barrel', 85), await sized('Mat', 20), await sized('Roller', null)];
  const programme = await aProgramme(f);
  await classOf(programme, 2, { gym: gymAt(1), startsAt: '06:00' }); // Born in June 2018: 99 months.
  const fit = {
    measure: 'shoulder' as const,
    lowerByCm: 15,
    higherByCm: 5,
    raise: { apparatusId: mat, under: 'piece' as const },
  };
  const over = await lessons.aDrill({ equipment: [{ apparatusId: barrel, amount: 1, fit }] });
  const round = await lessons.aDrill({ equipment: [{ apparatusId: strange, amount: 1, fit }] });
  const pieces = (raise: boolean): Station['setUp']['pieces'] =>
    raise ? [{ apparatusId: mat, amount: 1, job: 'raise', forMixedSizes: true, orInstead: [] }] : [];
  const plan = (raise: boolean) => {
    const setUp = { words: 'A barrel', pieces: pieces(raise), staysUp: false, diagram: null };
    const station = lessons.aStation([], { setUp, places: 2, steps: [aStep([over.id]), aStep([round.id])] });
    return written(programme, content(aBlock([station])));
  };
  const bare = await (await plan(false)).checks();
  const size = only(bare, 'size');
  expect([size.number, size.limitFrom, size.where[0]?.pointer]).toEqual([
    '85',
    'published',
    '/blocks/0/stations/0/steps/0',
  ]);
  expect(size.source).toContain('CDC');
  expect(bare.unchecked.find(({ check }) => check === 'size-fit')?.sentence).toContain('Roller');
  expect(shortOf(await (await plan(true)).checks(), 'size-fit')).toEqual([]);

  await classOf(programme, 2, { gym: gymAt(1), startsAt: '05:00', born: '2022-06-10' });
  const small = (await (await plan(true)).checks()).findings.filter(({ about }) => about === 'size');
  expect(small.map(({ sentence }) => /overstates small children/.test(sentence))).toEqual([true]);
});

test('size fit: five or more who were measured lately count by their spread, and no longer by published heights', async () => {
  const { body: bar } = await lead.post<Apparatus>('/apparatus', { name: unique('Bar'), heightCm: 100 });
  const programme = await aProgramme(f);
  const one = await aClass(f, { programme, gym: gymAt(2), startsAt: '06:00' });
  const ids = await athletes(f, 5, { gym: gymAt(2) });
  const enrolment = { franchiseId: f.id, gymId: gymAt(2).id, classId: one.id, from: '2026-08-31' };
  await f.arrange((tx) =>
    tx.insert(t.enrolments).values(ids.map((athleteId) => ({ ...enrolment, id: newId(), athleteId }))),
  );
  const fit = { measure: 'stature' as const, lowerByCm: 10, higherByCm: 0, raise: null };
  const reach = await lessons.aDrill({ equipment: [{ apparatusId: bar.id, amount: 1, fit }] });
  const { checks } = await written(programme, content(aBlock([lessons.aStation([reach.id])])));
  const sizes = async () =>
    (await checks()).findings.filter(({ about }) => about === 'size').map((found) => [inShort(found), found.limitFrom]);
  const [[published, from] = []] = await sizes();
  expect([published, from]).toEqual([expect.stringMatching(/^size 100, 1[2-3]\d to 1[1-2]\d$/), 'published']);

  const paths = ids.map((id) => `/gyms/${gymAt(2).id}/athletes/${id}/stature`);
  const [path = ''] = paths;
  const manager = api.as(f.managerOf(gymAt(2)));
  expect((await manager.get(path)).body).toEqual({ stature: null });
  const lately = { stature: { cm: 131, on: '2026-09-01' } };
  expect((await manager.put(path, lately)).body).toEqual(lately);
  expect((await api.as(f.deskOf(gymAt(2))).get(path)).body).toEqual(lately);
  expect((await api.as(f.coachOf(gymAt(2))).get(path)).status).toBe(403);
  for (const other of paths.slice(1, 4)) await manager.put(other, lately);
  expect(await sizes()).toEqual([[published, 'published']]);
  await manager.put(paths[4] ?? '', lately);
  // All of 131 cm: told as 130 to 135.
  expect(await sizes()).toEqual([['size 100, 125 to 130', 'recorded']]);
  const [found] = (await checks()).findings.filter(({ about }) => about === 'size');
  expect(found?.sentence).toContain('(5 of 5 measured)');
  expect(JSON.stringify(found)).not.toContain('131');
  for (const each of paths) await manager.put(each, { stature: { cm: 108, on: '2026-09-01' } });
  expect(await sizes()).toEqual([]);
  const longAgo = { stature: { cm: 108, on: '2026-03-15' } };
  await manager.put(path, longAgo);
  expect((await sizes())[0]?.[1]).toBe('published');
  const ahead = await manager.put(path, { stature: { cm: 108, on: '2026-09-09' } });
  expect([ahead.status, ahead.body.errors[0]?.pointer]).toEqual([422, '/stature/on']);
  expect((await manager.put(path, { stature: null })).body).toEqual({ stature: null });
  expect((await manager.get(path)).body).toEqual({ stature: null });
});

describe('spotting demand', () => {
  test('before publishing: which of the gyms cannot spot it, on which day; and who is away does not count', async () => {
    const kind = await aQualificationKind(f);
    const programme = await aProgramme(f);
    for (const gym of f.gyms) await classOf(programme, 4, { gym, weekday: 2, startsAt: '10:00' });
    await aStaffMember(f, { gyms: [f.gym], holds: [{ kind, grade: 2 }] });
    const able = await aStaffMember(f, { gyms: [gymAt(1)], holds: [{ kind, grade: 2 }] });
    await aStaffMember(f, { gyms: [gymAt(2)], holds: [{ kind, grade: 1 }] });
    await aStaffMember(f, { gyms: [gymAt(2)], holds: [{ kind, grade: 2, until: '2026-09-15' }] });
    const spotted = { spotting: { mode: 'hands-on' as const, kindId: kind.id, grade: 2 } };
    const said = content(aBlock([await aStation(spotted, { name: 'Low bar' })]));
    const plan = await written(programme, said);
    const one = only(await plan.checks(), 'spotters');
    expect(one).toMatchObject({
      number: '0',
      limit: { atLeast: '1', atMost: null },
      severity: 'warn',
      limitFrom: 'gym-staff',
    });
    expect(one.sentence).toBe('1 of 3 gyms cannot spot “Low bar”: Gym 3 on Tuesday (0 able).');

    const away = { personId: able, startsAt: '2026-09-15T00:00:00Z', endsAt: '2026-09-16T00:00:00Z' };
    const manager = api.as(f.managerOf(gymAt(1)));
    const absence = await manager.post(`/gyms/${gymAt(1).id}/absences`, away);
    expect(absence.status, absence.text).toBe(201);
    const two = await plan.checks();
    expect(only(two, 'spotters').sentence).toMatch(/^2 of 3 gyms cannot spot “Low bar”/);
    expect(two.unchecked.find(({ check }) => check === 'spotting')?.sentence).toContain(
      'Who is available was not asked',
    );

    const path = `/lesson-plans/${plan.planId}/draft/publish`;
    const dry = await lead.post<PlanChecks>(path, {}, { ifMatch: plan.revision, dryRun: true });
    expect(only(dry.body, 'spotters').sentence).toMatch(/^2 of 3 gyms/);
    const published = await lead.post<PlanChecks>(path, {}, { ifMatch: plan.revision });
    expect([published.status, published.body.findings]).toEqual([200, dry.body.findings]);
    expect((await plan.checks()).findings).toEqual(published.body.findings);
  });

  test('side by side each needs somebody of its own; a sign-off counts; a class beside it wants its own too', async () => {
    const g = await aFranchise(api);
    const theirs = api.as(g.lead);
    const writer = writing(g, theirs);
    const kind = await aQualificationKind(g);
    const skillId = (await theirs.post('/skills', { name: 'Squat on', apparatusId: g.apparatus.vault })).body.id;
    const programme = await aProgramme(g);
    await aClass(g, { programme });
    const spotter = await aStaffMember(g, { holds: [{ kind }] });
    const drill = await writer.aDrill({
      spotting: { mode: 'hands-on', kindId: kind.id, grade: 1 },
      skills: [{ skillId, signOff: 'alone' }],
    });
    const plan = await writer.aDraft(programme.id, MONDAY);
    const path = `/lesson-plans/${plan.id}/versions/1/checks`;
    const found = async () => shortOf((await theirs.get<PlanChecks>(path)).body, 'spotting');
    const one = aBlock([writer.aStation([drill.id])]);
    const { revision } = await writer.write(plan.id, 1, content(one));
    expect(await found()).toEqual(['spotters 0, at least 1']);
    await g.arrange((tx) =>
      tx.insert(t.signOffs).values({
        franchiseId: g.id,
        id: newId(),
        personId: spotter,
        skillId,
        level: 'alone',
        from: '2026-01-01',
      }),
    );
    expect(await found()).toEqual([]);
    await aClass(g, { programme, startsAt: '17:30' });
    expect(await found()).toEqual(['spotters-of-classes-together 1, at least 2']);
    await writer.write(plan.id, revision, content(aBlock([writer.aStation([drill.id]), writer.aStation([drill.id])])));
    expect(await found()).toEqual(['spotters 1, at least 2']);
  });

  test('two kinds of spotter at one station: the one finding that refuses, as publishing does', async () => {
    const [a, b] = [await aQualificationKind(f), await aQualificationKind(f)];
    const drills = await Promise.all(
      [a, b].map(({ id }) => lessons.aDrill({ spotting: { mode: 'hands-on', kindId: id, grade: 1 } })),
    );
    const programme = await aProgramme(f);
    await classOf(programme, 2);
    const station = lessons.aStation(drills.map(({ id }) => id));
    const plan = await written(programme, content(aBlock([station])));
    const { findings } = await plan.checks();
    expect(findings.filter(({ severity }) => severity === 'refuse').map(inShort)).toEqual([
      'kinds-of-spotter 2, at most 1',
    ]);
    expect(findings[0]?.limitFrom).toBe('safety');
    const refused = await lead.post(`/lesson-plans/${plan.planId}/draft/publish`, {}, { ifMatch: plan.revision });
    expect([refused.status, refused.body.type]).toEqual([422, '/problems/plan-not-whole']);
  });
});

test('order and holds: stretches come warm and short enough, arm-heavy apparatus apart, the cool-down last', async () => {
  const g = await aFranchise(api);
  const theirs = api.as(g.lead);
  const writer = writing(g, theirs);
  const bars = await theirs.patch<Apparatus>(`/apparatus/${g.apparatus.bars}`, { armHeavy: true }, { ifMatch: 1 });
  expect(bars.body.armHeavy).toBe(true);
  const programme = await aProgramme(g);
  const one = await aClass(g, { programme });
  const [athleteId = ''] = await athletes(g, 1, { born: '2022-06-10' });
  const enrolment = { franchiseId: g.id, id: newId(), gymId: g.gym.id, classId: one.id, athleteId, from: '2026-08-31' };
  await g.arrange((tx) => tx.insert(t.enrolments).values(enrolment));
  const fold = await writer.aDrill();
  const swing = await writer.aDrill({ apparatusId: g.apparatus.bars });
  const held = aStep([fold.id], { dose: { amount: 20, unit: 'seconds', sets: 1, eachSide: false, note: null } });
  const onBars = aBlock([writer.aStation([swing.id], { apparatusId: g.apparatus.bars })], { title: 'Bars' });
  const plan = await writer.aDraft(programme.id, MONDAY);
  const floor = (title: string, activity: 'cool-down' | 'stretches', steps = [aStep([fold.id])]) =>
    aBlock([writer.aStation([], { steps })], { title, activity, minutes: 3, formation: 'circle' });
  const said = content(floor('Cool-down', 'cool-down'), floor('Stretches', 'stretches', [held]), onBars, {
    ...onBars,
    title: 'More bars',
  });
  await writer.write(plan.id, 1, said);
  const { body } = await theirs.get<PlanChecks>(`/lesson-plans/${plan.id}/versions/1/checks`);
  expect(shortOf(body, 'order')).toEqual([
    'pulse-raiser 0, 3 to 5',
    'arm-heavy-apart 0, at least 1',
    'cool-down-last 3, at most 0',
  ]);
  expect(shortOf(body, 'holds')).toEqual(['hold 20, 5 to 10']);
  const apart = only(body, 'arm-heavy-apart');
  expect(apart.where.map(({ pointer, names }) => [pointer, ...names])).toEqual([
    ['/blocks/2', 'Bars'],
    ['/blocks/3', 'More bars'],
  ]);
  expect(apart.source).toContain('common practice, no source');
});

test('coverage: a plan’s focus and a term’s weeks against what the drills teach, how much is new, and the tests', async () => {
  const skill = async (name: string) =>
    (await lead.post('/skills', { name: unique(name), apparatusId: f.apparatus.floor })).body.id;
  const [roll, stand] = [await skill('Roll'), await skill('Handstand')];
  const programme = await aProgramme(f);
  await classOf(programme, 2);
  const station = await aStation({ skills: [{ skillId: roll, signOff: null }] });
  const skills = [
    { skillId: roll, standing: 'new' as const },
    { skillId: stand, standing: 'continuing' as const },
  ];
  const plan = await written(programme, {
    focus: [{ apparatusId: f.apparatus.floor, skills, nextWeek: null }],
    blocks: [aBlock([station])],
  });
  const weeks = [
    { planId: plan.planId, note: null, skills },
    ...Array.from({ length: 13 }, () => ({
      planId: null,
      note: null,
      skills: [{ skillId: stand, standing: 'revise' }],
    })),
  ];
  const term = await lead.post<Term>('/terms', { programmeId: programme.id, title: 'Autumn', startsOn: MONDAY, weeks });
  expect(term.status, term.text).toBe(201);

  const found = await plan.checks();
  expect(
    found.findings
      .filter(({ check }) => check === 'coverage')
      .map(({ where, ...one }) => [where[0]?.pointer, inShort(one)]),
  ).toEqual([
    ['/focus/0/skills/1', 'taught 0, at least 1'],
    ['/focus', 'new-share 50, 15 to 35'],
    ['/weeks/0/skills/1', 'taught 0, at least 1'],
  ]);
  const path = `/terms/${term.body.id}/checks`;
  const whole = await lead.get<TermChecks>(path);
  expect(whole.body.findings.map(({ where, ...one }) => [where[0]?.pointer, inShort(one)])).toEqual([
    ['/weeks/0/skills/1', 'taught 0, at least 1'],
    ['/weeks', 'new-share 7, 15 to 35'],
    ['/weeks/13', 'test-interval 14, 8 to 12'],
  ]);
  expect((await api.as(f.coachOf(f.gym)).get(path)).status).toBe(403);
  expect((await api.as((await aFranchise(api)).lead).get(path)).status).toBe(404);
});

test('a franchise’s own settings count in the checks', async () => {
  const g = await aFranchise(api);
  const theirs = api.as(g.lead);
  const writer = writing(g, theirs);
  const programme = await aProgramme(g);
  await aClass(g, { programme, capacity: 8 });
  const { id } = await writer.aDrill({ places: 3 });
  const plan = await writer.aDraft(programme.id, MONDAY);
  await writer.write(plan.id, 1, content(aBlock([writer.aStation([id])])));
  const waiting = async () =>
    shortOf((await theirs.get<PlanChecks>(`/lesson-plans/${plan.id}/versions/1/checks`)).body, 'turns');
  expect(await waiting()).toEqual(['waiting 5, at most 3']);
  await theirs.put('/curriculum-settings', { ...DEFAULT_LIMITS, mostWaiting: 5 }, { ifMatch: 1 });
  expect(await waiting()).toEqual([]);
});
