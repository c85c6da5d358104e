import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { SentContent } from '../../src/features/curriculum/plan-content-schema.ts';
import type { LessonPlan, PlanCheck, WholePlanVersion } from '../../src/features/curriculum/plan-schema.ts';
import { events } from '../../src/platform/events/table.ts';
import { aBlock, aStep, content, type Station, unique, writing } from '../support/a-draft.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aSession } from '../support/a-session.ts';
import { type Answer, type Api, type Caller, openApi } from '../support/api.ts';
import { aQualificationKind, type QualificationKind } from '../support/people.ts';

let api: Api;
let f: Franchise;
let lead: Caller;
let coach: Caller;
let spotting: QualificationKind;
let climbing: QualificationKind;
let lessons: ReturnType<typeof writing>;

beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
  lead = api.as(f.lead);
  lessons = writing(f, lead);
  coach = api.as(f.coachOf(f.gym));
  spotting = await aQualificationKind(f, { grades: ['basic', 'full'] });
  climbing = await aQualificationKind(f, { grades: ['basic'] });
});
afterAll(() => api.close());

const eventsOf = (subjectId: string) =>
  f.arrange((tx) =>
    tx
      .select({ name: events.name, data: events.data })
      .from(events)
      .where(sql`franchise_id = ${f.id} AND subject_id = ${subjectId}`)
      .orderBy(events.id),
  );

async function aSkill(): Promise<string> {
  const answer = await lead.post('/skills', { name: unique('Cast'), apparatusId: f.apparatus.bars });
  expect(answer.status).toBe(201);
  return answer.body.id;
}

const contentWith = (...stations: Station[]): SentContent => content(aBlock(stations));

async function aWholeDraft(said?: SentContent) {
  const plan = await lessons.aDraft();
  const draft = await lead.put<WholePlanVersion>(
    `/lesson-plans/${plan.id}/draft`,
    said ?? contentWith(lessons.aStation([(await lessons.aDrill()).id])),
    { ifMatch: plan.draft.revision },
  );
  expect(draft.status).toBe(200);
  return { plan, draft: draft.body };
}

async function aPublished(said?: SentContent) {
  const { plan, draft } = await aWholeDraft(said);
  const answer = await lead.post<WholePlanVersion>(
    `/lesson-plans/${plan.id}/draft/publish`,
    {},
    {
      ifMatch: draft.revision,
    },
  );
  expect(answer.status).toBe(200);
  return { plan, version: answer.body };
}

test('a plan begins as an empty draft, for a week that begins on a Monday', async () => {
  const { id: programmeId } = await lessons.aProgramme();
  const plan = await lessons.aDraft(programmeId);
  expect(plan).toEqual({
    id: plan.id,
    title: 'Rolls',
    weekOf: '2026-09-14',
    programmeIds: [programmeId],
    draft: { id: plan.draft.id, number: 1, revision: 1 },
    published: null,
    revision: 1,
  });
  expect((await lead.get(`/lesson-plans?programmeId=${programmeId}&weekOf=2026-09-14`)).body.items).toEqual([plan]);
  expect((await lead.get(`/lesson-plans?programmeId=${programmeId}&weekOf=2026-09-21`)).body.items).toEqual([]);
  const check = await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`);
  expect(check.body).toEqual({
    whole: false,
    faults: [{ pointer: '/blocks', detail: 'There is nothing in it yet: add a block.' }],
  });
  const tuesday = { title: 'Rolls', weekOf: '2026-09-15', programmeIds: [programmeId] };
  expect((await lead.post('/lesson-plans', tuesday)).body.errors).toEqual([
    { pointer: '/weekOf', detail: 'Expected the Monday of the week.' },
  ]);
  const stranger = { ...tuesday, weekOf: '2026-09-14', programmeIds: [f.id] };
  expect((await lead.post('/lesson-plans', stranger)).body.errors[0]?.pointer).toBe('/programmeIds/0');
});

test('a draft may be unfinished; the check says what is missing and where', async () => {
  const own = await lessons.aProgramme();
  const other = await lessons.aProgramme();
  const plan = await lessons.aDraft(own.id);
  const onBars = await lessons.aDrill({ apparatusId: f.apparatus.bars });
  const spotted = await lessons.aDrill({ spotting: { mode: 'hands-on', kindId: spotting.id, grade: 1 } });
  const climbed = await lessons.aDrill({ spotting: { mode: 'hands-on', kindId: climbing.id, grade: 1 } });
  const unsaid = { words: ' ', pieces: [], staysUp: false };
  const steps = [spotted.id, climbed.id].map((id) => aStep([id], { fromLevelId: other.levels[0]?.id ?? null }));
  const unfinished: SentContent = {
    focus: [],
    blocks: [
      aBlock([lessons.aStation([onBars.id], { setUp: unsaid })], { minutes: 0 }),
      aBlock([], { apparatusIds: [f.apparatus.floor] }),
      aBlock(
        [1, 2, 3].map(() => lessons.aStation([spotted.id])),
        { minutes: 2, stationsRun: 'in-turn' },
      ),
      aBlock([lessons.aStation([], { name: 'Bare' }), lessons.aStation([], { steps })], {
        apparatusIds: [f.apparatus.beam],
      }),
    ],
  };
  const put = await lead.put<WholePlanVersion>(`/lesson-plans/${plan.id}/draft`, unfinished, { ifMatch: 1 });
  expect(put.status).toBe(200);
  const { faults, whole } = (await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body;
  expect(whole).toBe(false);
  expect(faults.map(({ pointer }) => pointer)).toEqual([
    '/blocks/0/minutes',
    '/blocks/0/stations/0/setUp',
    '/blocks/0/stations/0/steps/0/drillIds/0',
    '/blocks/1/stations',
    '/blocks/2/minutes',
    '/blocks/3/stations/0/apparatusId',
    '/blocks/3/stations/1/apparatusId',
    '/blocks/3/apparatusIds/0',
    '/blocks/3/stations/0/steps',
    '/blocks/3/stations/1/steps/0/fromLevelId',
    '/blocks/3/stations/1/steps/1/fromLevelId',
    '/blocks/3/stations/1/steps',
  ]);

  const refused = await lead.post(`/lesson-plans/${plan.id}/draft/publish`, {}, { ifMatch: 2 });
  expect(refused.status).toBe(422);
  expect(refused.body.type).toBe('/problems/plan-not-whole');
  expect(refused.body.errors).toEqual(faults);
  expect((await lead.get(`/lesson-plans/${plan.id}/draft`)).body).toEqual(put.body);
});

test('a draft names nothing that is not there', async () => {
  const plan = await lessons.aDraft();
  const drill = await lessons.aDrill();
  const naming = {
    focus: [
      { apparatusId: f.id, skills: [{ skillId: f.id, standing: 'new' }], nextWeek: null },
      { apparatusId: f.apparatus.bars, skills: [], nextWeek: null },
      { apparatusId: f.apparatus.bars, skills: [], nextWeek: null },
    ],
    blocks: [
      aBlock(
        [
          lessons.aStation([drill.id, f.id], {
            apparatusId: f.id,
            setUp: {
              words: '',
              staysUp: false,
              pieces: [
                {
                  apparatusId: f.id,
                  amount: 1,
                  job: 'landing',
                  forMixedSizes: false,
                  orInstead: [{ apparatusId: f.id, amount: 2 }],
                },
              ],
            },
          }),
          lessons.aStation([], { steps: [aStep([drill.id, drill.id], { fromLevelId: f.id })] }),
        ],
        { apparatusIds: [f.apparatus.floor, f.apparatus.floor, f.id] },
      ),
    ],
  };
  const refused = await lead.put(`/lesson-plans/${plan.id}/draft`, naming, { ifMatch: 1 });
  expect(refused.status).toBe(422);
  expect(refused.body.errors.map(({ pointer, detail }) => `${pointer} ${detail}`).sort()).toEqual([
    '/blocks/0/apparatusIds/1 Name each apparatus once here.',
    '/blocks/0/apparatusIds/2 This is no apparatus of the franchise.',
    '/blocks/0/stations/0/apparatusId This is no apparatus of the franchise.',
    '/blocks/0/stations/0/setUp/pieces/0/apparatusId This is no apparatus of the franchise.',
    '/blocks/0/stations/0/setUp/pieces/0/orInstead/0/apparatusId Name each apparatus once here.',
    '/blocks/0/stations/0/setUp/pieces/0/orInstead/0/apparatusId This is no apparatus of the franchise.',
    '/blocks/0/stations/0/steps/1/drillIds/0 This is no drill of the franchise.',
    '/blocks/0/stations/1/steps/0/drillIds/1 Name each drill once here.',
    '/blocks/0/stations/1/steps/0/fromLevelId This is no level of the franchise.',
    '/focus/0/apparatusId This is no apparatus of the franchise.',
    '/focus/0/skills/0/skillId This is no skill of the franchise.',
    '/focus/2/apparatusId Name each apparatus once here.',
  ]);
  expect((await lead.get(`/lesson-plans/${plan.id}/draft`)).body.revision).toBe(1);
});

test('published, a station asks the strictest of what its drills ask, and stays so when they change', async () => {
  const [cast, hang] = [await aSkill(), await aSkill()];
  const standBy = await lessons.aDrill({
    spotting: { mode: 'stand-by', kindId: spotting.id, grade: 2 },
    skills: [{ skillId: cast, signOff: 'alone' }],
  });
  const handsOn = await lessons.aDrill({
    spotting: { mode: 'hands-on', kindId: spotting.id, grade: 1 },
    skills: [
      { skillId: cast, signOff: 'watched' },
      { skillId: hang, signOff: null },
    ],
  });
  const { plan, draft } = await aWholeDraft(
    contentWith(lessons.aStation([standBy.id, handsOn.id, (await lessons.aDrill()).id])),
  );
  expect((await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body).toEqual({ whole: true, faults: [] });
  expect(draft.blocks[0]?.stations[0]?.spotting).toBeNull();

  const asked = await lead.post<WholePlanVersion>(
    `/lesson-plans/${plan.id}/draft/publish`,
    {},
    {
      ifMatch: draft.revision,
      dryRun: true,
    },
  );
  expect(asked.status).toBe(200);
  expect((await lead.get(`/lesson-plans/${plan.id}/versions/1`)).body.state).toBe('draft');

  const published = await lead.post<WholePlanVersion>(
    `/lesson-plans/${plan.id}/draft/publish`,
    {},
    {
      ifMatch: draft.revision,
    },
  );
  expect(published.body).toEqual(asked.body);
  expect(published.body.state).toBe('published');
  expect(published.body.blocks[0]?.stations[0]?.spotting).toEqual({
    mode: 'hands-on',
    kindId: spotting.id,
    grade: 2,
    skills: [{ skillId: cast, level: 'alone' }],
  });
  await lead.patch(`/drills/${handsOn.id}`, { spotting: { mode: 'none' }, skills: [] }, { ifMatch: 1 });
  expect(published.body).toMatchObject((await coach.get<WholePlanVersion>(`/lesson-plans/${plan.id}/versions/1`)).body);
  expect((await eventsOf(draft.id)).map(({ name }) => name)).toEqual([
    'curriculum.plan-changed',
    'curriculum.plan-published',
  ]);
});

test('a plan is renamed at any time; it moves to another week or programme until it is published', async () => {
  const plan = await lessons.aDraft();
  const [other, third] = [await lessons.aProgramme(), await lessons.aProgramme()];
  const path = `/lesson-plans/${plan.id}`;
  const moved = { title: 'Rolls and landings', weekOf: '2026-09-21', programmeIds: [other.id, third.id] };
  const changed = await lead.patch<LessonPlan>(path, moved, { ifMatch: 1 });
  expect(changed.status, changed.text).toBe(200);
  expect(changed.body).toEqual({ ...plan, ...moved, programmeIds: [other.id, third.id].sort(), revision: 2 });
  expect(changed.headers.get('ETag')).toBe('"r2"');
  expect((await lead.get(path)).body).toEqual(changed.body);
  expect(await eventsOf(plan.id)).toEqual([
    { name: 'curriculum.plan-drafted', data: { planId: plan.id, number: 1 } },
    { name: 'curriculum.plan-edited', data: { planId: plan.id, fields: ['programmeIds', 'title', 'weekOf'] } },
  ]);
  expect((await lead.patch(path, { title: 'Late' }, { ifMatch: 1 })).status).toBe(412);
  expect((await lead.patch(path, { title: 'Late' })).status).toBe(428);
  expect((await coach.patch(path, { title: 'Mine' }, { ifMatch: 2 })).status).toBe(403);
  const at = async (changes: Record<string, unknown>) =>
    (await lead.patch(path, changes, { ifMatch: 2 })).body.errors[0]?.pointer;
  expect(await at({ weekOf: '2026-09-22' })).toBe('/weekOf');
  expect(await at({ programmeIds: [other.id, f.id] })).toBe('/programmeIds/1');
  expect(await at({ programmeIds: [other.id, other.id] })).toBe('/programmeIds/1');

  const published = await aPublished();
  await lead.post(`/lesson-plans/${published.plan.id}/versions`);
  for (const move of [{ weekOf: '2026-09-21' }, { title: 'Moved', programmeIds: [other.id] }]) {
    const refused = await lead.patch(`/lesson-plans/${published.plan.id}`, move, { ifMatch: 1 });
    expect([refused.status, refused.body.type]).toEqual([409, '/problems/plan-frozen']);
  }
  const renamed = await lead.patch<LessonPlan>(
    `/lesson-plans/${published.plan.id}`,
    { title: 'Swings' },
    { ifMatch: 1 },
  );
  expect(renamed.body).toMatchObject({ title: 'Swings', weekOf: published.plan.weekOf, revision: 2 });
});

test('a plan does not move while somebody publishes it, and no longer when they have', async () => {
  const { plan, draft } = await aWholeDraft();
  const programmeIds = [(await lessons.aProgramme()).id];
  let moving: Promise<Answer> | undefined;
  await f.arrange(async (tx) => {
    await tx.execute(sql`UPDATE plan_versions SET state = 'published', published_at = now() WHERE id = ${draft.id}`);
    let moved = false;
    moving = lead.patch(`/lesson-plans/${plan.id}`, { programmeIds }, { ifMatch: 1 }).finally(() => {
      moved = true;
    });
    while (!moved && !(await somebodyWaits()));
  });
  const answer = await moving;
  expect([answer?.status, answer?.body.type]).toEqual([409, '/problems/plan-frozen']);
  expect((await lead.get(`/lesson-plans/${plan.id}`)).body.programmeIds).toEqual(plan.programmeIds);
});
async function somebodyWaits(): Promise<boolean> {
  const { rows } = await api.database.ownerPool.query(
    `SELECT FROM pg_locks JOIN pg_stat_activity USING (pid)
     WHERE NOT granted AND datname = current_database()`,
  );
  return rows.length > 0;
}

test('a published version is frozen; a change is a new version', async () => {
  const { plan, version } = await aPublished();
  const frozen = await lead.put(`/lesson-plans/${plan.id}/draft`, contentWith(), { ifMatch: version.revision });
  expect(frozen.status).toBe(409);
  expect(frozen.body.type).toBe('/problems/plan-frozen');

  const started = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/versions`);
  expect(started.status).toBe(201);
  expect(started.body.number).toBe(2);
  const plainly = (whole: WholePlanVersion) =>
    whole.blocks.map(({ id: _, ...block }) => ({
      ...block,
      stations: block.stations.map(({ id: __, spotting: ___, ...station }) => station),
    }));
  expect(plainly(started.body)).toEqual(plainly(version));
  expect(started.body.blocks[0]?.stations[0]?.spotting).toBeNull();
  expect((await lead.post(`/lesson-plans/${plan.id}/versions`)).status).toBe(409);

  const seen = (await lead.get<LessonPlan>(`/lesson-plans/${plan.id}`)).body;
  expect([seen.draft?.number, seen.published?.number]).toEqual([2, 1]);
  const versions = await lead.get(`/lesson-plans/${plan.id}/versions?limit=1`);
  expect(versions.body.items.map((one) => one.number)).toEqual([2]);
  const next = await lead.get(`/lesson-plans/${plan.id}/versions?limit=1&cursor=${versions.body.next}`);
  expect(next.body.items.map((one) => one.number)).toEqual([1]);
});

test('coaches read what is published, and know nothing of drafts', async () => {
  const { plan } = await aWholeDraft();
  expect((await coach.get(`/lesson-plans/${plan.id}`)).status).toBe(404);
  expect((await coach.get(`/lesson-plans/${plan.id}/versions`)).status).toBe(404);
  expect((await coach.get(`/lesson-plans/${plan.id}/versions/1`)).status).toBe(404);
  expect((await coach.get(`/lesson-plans/${plan.id}/draft`)).status).toBe(403);
  expect((await coach.get(`/lesson-plans?programmeId=${plan.programmeIds[0]}`)).body.items).toEqual([]);

  const published = await aPublished();
  await lead.post(`/lesson-plans/${published.plan.id}/versions`);
  const seen = (await coach.get<LessonPlan>(`/lesson-plans/${published.plan.id}`)).body;
  expect([seen.draft, seen.published?.number]).toEqual([null, 1]);
  expect((await coach.get(`/lesson-plans/${published.plan.id}/versions`)).body.items).toHaveLength(1);
  expect((await coach.get(`/lesson-plans/${published.plan.id}/versions/2`)).status).toBe(404);
});

test('of two who publish at once, one wins', async () => {
  const { plan, draft } = await aWholeDraft();
  const publish = () => lead.post(`/lesson-plans/${plan.id}/draft/publish`, {}, { ifMatch: draft.revision });
  const answers = await Promise.all([publish(), publish()]);
  expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
  expect(answers.find(({ status }) => status === 409)?.body.type).toBe('/problems/plan-frozen');
  const names = (await eventsOf(draft.id)).map(({ name }) => name);
  expect(names.filter((name) => name === 'curriculum.plan-published')).toHaveLength(1);
});

test('a version withdrawn for safety takes the confirmation of its blocks with it', async () => {
  const plan = await aPublishedPlan(f);
  const session = await aSession(f, { plan, groups: [2], confirmed: true });
  const [block] = session.blocks;
  const path = `/lesson-plans/${plan.id}/versions/1/withdraw`;
  const reason = 'The landing has a gap between the mats.';
  const asked = await lead.post(path, { reason }, { dryRun: true });
  expect(asked.status).toBe(200);
  expect((await coach.get(`/lesson-plans/${plan.id}/versions/1`)).body.state).toBe('published');

  const withdrawn = await lead.post<{
    version: WholePlanVersion;
    settled: { released: unknown[]; unconfirmed: { blockId: string; findings: { code: string }[] }[] };
  }>(path, { reason });
  expect(withdrawn.status).toBe(200);
  expect(withdrawn.body.version).toMatchObject({ state: 'withdrawn', withdrawnWhy: reason, revision: 2 });
  expect(withdrawn.body.settled.released).toEqual([]);
  const [lost] = withdrawn.body.settled.unconfirmed;
  expect(lost?.blockId).toBe(block?.id);
  expect(lost?.findings.map(({ code }) => code)).toEqual(['plan-withdrawn']);
  expect((await coach.get(`/lesson-plans/${plan.id}/versions/1`)).body).toMatchObject({ state: 'withdrawn' });
  expect((await coach.get<LessonPlan>(`/lesson-plans/${plan.id}`)).body.published).toBeNull();
  expect(await eventsOf(plan.versionId)).toEqual([
    { name: 'curriculum.plan-withdrawn', data: { planId: plan.id, number: 1 } },
  ]);
  expect((await eventsOf(block?.id ?? '')).map(({ name }) => name)).toEqual(['staffing.confirmation-lost']);
  expect((await lead.post(path, { reason })).status).toBe(409);
});

test('only the programme lead and the owner write; another franchise sees nothing', async () => {
  const { plan } = await aPublished();
  for (const member of [f.managerOf(f.gym), f.deskOf(f.gym), f.coachOf(f.gym)]) {
    expect((await api.as(member).post(`/lesson-plans/${plan.id}/versions`)).status).toBe(403);
    expect((await api.as(member).post('/drills', {})).status).toBe(403);
  }
  expect((await api.as(f.owner).post(`/lesson-plans/${plan.id}/versions`)).status).toBe(201);
  const other = await aFranchise(api, { name: 'Elsewhere' });
  expect((await api.as(other.lead).get(`/lesson-plans/${plan.id}`)).status).toBe(404);
  expect((await api.as(other.lead).get(`/lesson-plans/${plan.id}/versions/1`)).status).toBe(404);
});

test('a draft is kept whole: focus, pieces, places, doses, whom it is for and what to choose from', async () => {
  const programme = await lessons.aProgramme();
  const plan = await lessons.aDraft(programme.id);
  const { floor, bars, vault } = f.apparatus;
  const skillId = await aSkill();
  const [hang, tuck] = [await lessons.aDrill({ apparatusId: bars }), await lessons.aDrill({ apparatusId: bars })];
  const said: SentContent = {
    focus: [
      { apparatusId: bars, skills: [{ skillId, standing: 'returning' }], nextWeek: 'Next week from two feet.' },
      { apparatusId: floor, skills: [], nextWeek: null },
    ],
    blocks: [
      aBlock([lessons.aStation([(await lessons.aDrill()).id])], {
        title: 'Warm-up',
        activity: 'warm-up',
        formation: 'circle',
        importance: 3,
        waterFirst: true,
      }),
      aBlock(
        [
          lessons.aStation([], {
            name: 'Low bar',
            apparatusId: bars,
            items: 2,
            places: 2,
            setUp: {
              words: 'The bar at chest height.',
              staysUp: true,
              diagram: null,
              pieces: [
                {
                  apparatusId: floor,
                  amount: 2,
                  job: 'landing',
                  forMixedSizes: false,
                  orInstead: [{ apparatusId: vault, amount: 1 }],
                },
                { apparatusId: vault, amount: 1, job: 'raise', forMixedSizes: true, orInstead: [] },
              ],
            },
            steps: [
              aStep([hang.id, tuck.id], {
                dose: { amount: 20, unit: 'seconds', sets: 2, eachSide: true, note: 'toes pointed' },
                fromLevelId: programme.levels[1]?.id ?? null,
                weight: 'extend',
              }),
              aStep([hang.id], {
                dose: { amount: null, unit: null, sets: 1, eachSide: false, note: 'To finish' },
                weight: 'if-time',
              }),
            ],
          }),
        ],
        { title: 'Bars', formation: 'circuit', stationsRun: 'in-turn' },
      ),
    ],
  };
  const put = await lessons.write(plan.id, 1, said);
  const plainly = {
    focus: put.focus,
    blocks: put.blocks.map(({ id: _, ...block }) => ({
      ...block,
      stations: block.stations.map(({ id: __, spotting: ___, ...station }) => station),
    })),
  };
  expect(plainly).toEqual(said);
  expect((await lead.get(`/lesson-plans/${plan.id}/draft`)).body).toEqual(put);
  expect((await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body).toEqual({ whole: true, faults: [] });
});

test('what makes no sense in a draft is refused where it stands', async () => {
  const plan = await lessons.aDraft();
  const { id } = await lessons.aDrill();
  const dose = { amount: 3, unit: 'turns', sets: 1, eachSide: false, note: null };
  const at = async (station: Record<string, unknown>, block: Record<string, unknown> = {}) => {
    const body = {
      focus: [],
      blocks: [{ ...aBlock([]), ...block, stations: [{ ...lessons.aStation([id]), ...station }] }],
    };
    const answer = await lead.put(`/lesson-plans/${plan.id}/draft`, body, { ifMatch: 1 });
    expect(answer.status).toBe(422);
    return answer.body.errors.map(({ pointer }) => pointer?.replace('/blocks/0', '').replace('/stations/0', ''));
  };
  const step = (more: Record<string, unknown>) => ({ steps: [{ ...aStep([id]), ...more }] });
  const piece = { apparatusId: f.apparatus.vault, amount: 1, job: 'landing', forMixedSizes: false, orInstead: [] };
  const pieces = (more: Record<string, unknown>) => ({
    setUp: { words: '', staysUp: false, pieces: [{ ...piece, ...more }] },
  });

  expect(await at(step({ dose: { ...dose, unit: null } }))).toEqual(['/steps/0/dose/unit']);
  expect(await at(step({ dose: { ...dose, amount: null, unit: null } }))).toEqual(['/steps/0/dose/note']);
  expect(await at(step({ dose: { ...dose, amount: 10_000 } }))).toEqual(['/steps/0/dose/amount']);
  expect(await at(step({ chooseBy: 'By height' }))).toEqual(['/steps/0/chooseBy']);
  expect(await at(step({ drillIds: [id, crypto.randomUUID()] }))).toEqual(['/steps/0/chooseBy']);
  expect(await at(step({ drillIds: [] }))).toEqual(['/steps/0/drillIds']);
  expect(await at(pieces({ forMixedSizes: true }))).toEqual(['/setUp/pieces/0/forMixedSizes']);
  expect(await at(pieces({ job: 'decoration' }))).toEqual(['/setUp/pieces/0/job']);
  expect(await at(pieces({ orInstead: Array(5).fill({ apparatusId: id, amount: 1 }) }))).toEqual([
    '/setUp/pieces/0/orInstead',
  ]);
  expect(await at({ places: 61 })).toEqual(['/places']);
  expect(await at({}, { formation: 'heap' })).toEqual(['/formation']);
  expect(await at({}, { importance: 0 })).toEqual(['/importance']);
});

test('where a step has drills to choose from, its station asks for whoever can spot the strictest of them', async () => {
  const easy = await lessons.aDrill();
  const standBy = await lessons.aDrill({ spotting: { mode: 'stand-by', kindId: spotting.id, grade: 2 } });
  const handsOn = await lessons.aDrill({ spotting: { mode: 'hands-on', kindId: spotting.id, grade: 1 } });
  const { version } = await aPublished(
    contentWith(lessons.aStation([], { steps: [aStep([easy.id, standBy.id, handsOn.id])] })),
  );
  const need = { mode: 'hands-on', kindId: spotting.id, grade: 2, skills: [] };
  expect(version.blocks[0]?.stations[0]?.spotting).toEqual(need);

  const climbed = await lessons.aDrill({ spotting: { mode: 'hands-on', kindId: climbing.id, grade: 1 } });
  const { plan } = await aWholeDraft(contentWith(lessons.aStation([], { steps: [aStep([handsOn.id, climbed.id])] })));
  const { faults } = (await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body;
  expect(faults.map(({ pointer }) => pointer)).toEqual(['/blocks/0/stations/0/steps']);
});

test('one plan serves several programmes, and is found by each', async () => {
  const [one, other] = [await lessons.aProgramme(), await lessons.aProgramme()];
  const body = { title: 'Rolls for all', weekOf: '2026-09-14', programmeIds: [one.id, other.id] };
  const plan = (await lead.post<LessonPlan>('/lesson-plans', body)).body;
  for (const { id } of [one, other]) {
    expect((await lead.get(`/lesson-plans?programmeId=${id}`)).body.items).toEqual([plan]);
  }
  const levelOf = (programme: typeof one) => programme.levels[1]?.id ?? null;
  const { id: drillId } = await lessons.aDrill();
  const steps = [aStep([drillId], { fromLevelId: levelOf(one) }), aStep([drillId], { fromLevelId: levelOf(other) })];
  const { revision } = await lessons.write(plan.id, 1, contentWith(lessons.aStation([], { steps })));
  await lessons.publish(plan.id, revision);
});

test('a draft that names a retired drill is not whole, until another takes its place or it is brought back', async () => {
  const old = await lessons.aDrill({ name: unique('Old') });
  const { plan, draft } = await aWholeDraft(contentWith(lessons.aStation([old.id])));
  await lead.patch(`/drills/${old.id}`, { retired: true }, { ifMatch: old.revision });
  const fault = {
    pointer: '/blocks/0/stations/0/steps/0/drillIds/0',
    detail: `"${old.name}" is retired: name another drill in its place, or bring it back first.`,
  };
  const check = async () => (await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body;
  expect(await check()).toEqual({ whole: false, faults: [fault] });
  const publish = () => lead.post(`/lesson-plans/${plan.id}/draft/publish`, {}, { ifMatch: draft.revision });
  const refused = await publish();
  expect([refused.status, refused.body.type, refused.body.errors]).toEqual([422, '/problems/plan-not-whole', [fault]]);
  await lead.patch(`/drills/${old.id}`, { retired: false }, { ifMatch: old.revision + 1 });
  expect(await check()).toEqual({ whole: true, faults: [] });
  expect((await publish()).status).toBe(200);

  // What is published stays, and a new version of it says what has gone meanwhile.
  await lead.patch(`/drills/${old.id}`, { retired: true }, { ifMatch: old.revision + 2 });
  expect((await coach.get(`/lesson-plans/${plan.id}/versions/1`)).body.state).toBe('published');
  await lead.post(`/lesson-plans/${plan.id}/versions`);
  expect(await check()).toEqual({ whole: false, faults: [fault] });
});

test('a set-up may be drawn; the drawing is frozen with its version', async () => {
  const { id } = await lessons.aDrill();
  const drawn = (title: string) => ({
    title,
    widthCm: 400,
    depthCm: 300,
    pieces: [{ piece: 'wedge' as const, x: 200, y: 150, lengthCm: 180, widthCm: 90, turn: 0, label: 'Long <wedge>' }],
    arrows: [],
    people: [{ who: 'coach' as const, x: 60, y: 60, label: null }],
  });
  const setUp = { words: 'One wedge', pieces: [], staysUp: false };
  const said = (title: string) =>
    contentWith(
      lessons.aStation([id], { setUp: { ...setUp, diagram: drawn(title) } }),
      lessons.aStation([id], { name: 'Wall' }),
    );
  const { plan, draft } = await aWholeDraft(said('Roll down'));
  expect(draft.blocks[0]?.stations.map((station) => station.setUp.diagram)).toEqual([drawn('Roll down'), null]);
  const at = (version: WholePlanVersion, station = 0) =>
    `/lesson-plans/${plan.id}/versions/${version.number}/stations/${version.blocks[0]?.stations[station]?.id}/diagram.svg`;
  // While it is a draft, its drawings are for those who write plans.
  expect((await lead.get(at(draft))).status).toBe(200);
  expect((await coach.get(at(draft))).status).toBe(404);
  const first = await lessons.publish(plan.id, draft.revision);
  const svg = await coach.get<string>(at(first));
  expect([svg.status, svg.headers.get('Content-Type')]).toEqual([200, 'image/svg+xml; charset=utf-8']);
  expect(svg.text).toContain('<title id="diagram-title">Roll down</title>');
  expect(svg.text).toContain('Long &lt;wedge&gt;');
  expect((await coach.get(at(first, 1))).status).toBe(404);

  const begun = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/versions`);
  expect(begun.body.blocks[0]?.stations[0]?.setUp.diagram).toEqual(drawn('Roll down'));
  const written = await lessons.write(plan.id, begun.body.revision, said('Roll up'));
  const second = await lessons.publish(plan.id, written.revision);
  expect((await coach.get<string>(at(second))).text).toContain('Roll up');
  expect((await coach.get<string>(at(first))).text).toBe(svg.text);
  const astray = at(first).replace('/versions/1/', '/versions/2/');
  expect((await coach.get(astray)).status).toBe(404);
  const { body } = await coach.get(`/lesson-plans/${plan.id}/versions/2/briefing`);
  expect(JSON.stringify(body)).toContain(
    'the diagram is “Roll up”, with 1 piece, 0 arrows and 1 person now; it was “Roll down”',
  );

  const outside = { ...drawn('Out'), widthCm: 100 };
  const broken = contentWith(lessons.aStation([id], { setUp: { ...setUp, diagram: outside } }));
  const other = await lessons.aDraft();
  const refused = await lead.put(`/lesson-plans/${other.id}/draft`, broken, { ifMatch: 1 });
  expect(refused.body.errors.map(({ pointer }) => pointer)).toEqual(['/blocks/0/stations/0/setUp/diagram']);
  const many = { ...drawn('Many'), pieces: Array(41).fill(drawn('x').pieces[0]) };
  const full = contentWith(lessons.aStation([id], { setUp: { ...setUp, diagram: many } }));
  const tooMany = await lead.put(`/lesson-plans/${other.id}/draft`, full, { ifMatch: 1 });
  expect(tooMany.body.errors.map(({ pointer }) => pointer)).toEqual(['/blocks/0/stations/0/setUp/diagram/pieces']);
});
