import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type {
  DraftContent,
  LessonPlan,
  PlanCheck,
  WholePlanVersion,
} from '../../src/features/curriculum/plan-schema.ts';
import type { Drill, NewDrill, Programme } from '../../src/features/curriculum/schema.ts';
import { events } from '../../src/platform/events/table.ts';
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

beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api);
  lead = api.as(f.lead);
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

let made = 0;
function unique(name: string): string {
  made += 1;
  return `${name} ${made}`;
}

async function aProgramme(name = unique('Recreational')): Promise<Programme> {
  const levels = [{ name: 'Bronze' }, { name: 'Silver' }];
  return (await lead.post<Programme>('/programmes', { name, levels })).body;
}

const drillBody = (more: Partial<NewDrill> = {}): NewDrill => ({
  name: unique('Forward roll down the wedge'),
  apparatusId: f.apparatus.floor,
  sayFirst: 'Chin to chest, hands flat.',
  spotting: { mode: 'none' },
  skills: [],
  secondsATurn: 20,
  places: 2,
  ...more,
});
async function aDrill(more: Partial<NewDrill> = {}): Promise<Drill> {
  const answer = await lead.post<Drill>('/drills', drillBody(more));
  expect(answer.status).toBe(201);
  return answer.body;
}

async function aSkill(): Promise<string> {
  const answer = await lead.post('/skills', { name: unique('Cast'), apparatusId: f.apparatus.bars });
  expect(answer.status).toBe(201);
  return answer.body.id;
}

async function aDraft(programmeId?: string): Promise<LessonPlan & { draft: NonNullable<LessonPlan['draft']> }> {
  const programmeIds = [programmeId ?? (await aProgramme()).id];
  const answer = await lead.post<LessonPlan>('/lesson-plans', { title: 'Rolls', weekOf: '2026-09-14', programmeIds });
  expect(answer.status).toBe(201);
  const { draft } = answer.body;
  if (draft === null) throw new Error('a new plan has a draft');
  return { ...answer.body, draft };
}

type Station = DraftContent['blocks'][number]['stations'][number];
const stationWith = (drillIds: string[], more: Partial<Station> = {}): Station => ({
  name: 'Wedge',
  setUp: 'One wedge to slope, one mat to land on',
  apparatusId: f.apparatus.floor,
  items: 1,
  steps: drillIds.map((drillId) => ({ drillId, fromLevelId: null, dose: 'three turns', weight: 'core' })),
  ...more,
});
const contentWith = (...stations: Station[]): DraftContent => ({
  blocks: [
    {
      title: 'Floor',
      activity: 'apparatus',
      minutes: 15,
      classRule: 'One at a time.',
      stationsRun: 'side-by-side',
      stations,
    },
  ],
});

async function aWholeDraft(content?: DraftContent) {
  const plan = await aDraft();
  const draft = await lead.put<WholePlanVersion>(
    `/lesson-plans/${plan.id}/draft`,
    content ?? contentWith(stationWith([(await aDrill()).id])),
    { ifMatch: plan.draft.revision },
  );
  expect(draft.status).toBe(200);
  return { plan, draft: draft.body };
}

async function aPublished(content?: DraftContent) {
  const { plan, draft } = await aWholeDraft(content);
  const answer = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/draft/publish`, undefined, {
    ifMatch: draft.revision,
  });
  expect(answer.status).toBe(200);
  return { plan, version: answer.body };
}

test('a programme keeps its levels in order, and they are renamed, moved and added, never lost', async () => {
  const { id, name, levels } = await aProgramme();
  const [bronze, silver] = levels;
  const change = {
    name,
    levels: [{ id: null, name: 'Copper' }, { id: silver?.id, name: 'Silver plus' }, bronze],
  };
  const changed = await lead.put<Programme>(`/programmes/${id}`, change, { ifMatch: 1 });
  expect(changed.status).toBe(200);
  expect(changed.body.levels.map((level) => level.name)).toEqual(['Copper', 'Silver plus', 'Bronze']);
  expect(changed.headers.get('ETag')).toBe('"r2"');
  expect((await lead.get(`/programmes/${id}`)).body).toEqual(changed.body);
  expect((await eventsOf(id)).map((event) => event.name)).toEqual([
    'curriculum.programme-added',
    'curriculum.programme-changed',
  ]);

  const stale = await lead.put(`/programmes/${id}`, change, { ifMatch: 1 });
  expect(stale.status).toBe(412);
  const lost = await lead.put(`/programmes/${id}`, { name, levels: [bronze] }, { ifMatch: 2 });
  expect(lost.status).toBe(422);
  expect(lost.body.errors).toEqual([
    { pointer: '/levels', detail: 'Name every level: "Copper" is missing, and a level does not go away.' },
  ]);
  const foreign = await lead.put(`/programmes/${id}`, { name, levels: [{ id, name: 'Odd' }] }, { ifMatch: 2 });
  expect(foreign.body.errors[0]?.pointer).toBe('/levels/0/id');
  const again = await lead.post('/programmes', { name: name.toUpperCase(), levels: [{ name: 'One' }] });
  expect(again.status).toBe(409);
});

test('a drill says who may spot it, and what it names has to be there', async () => {
  const skillId = await aSkill();
  const body = drillBody({
    apparatusId: f.apparatus.bars,
    spotting: { mode: 'hands-on', kindId: spotting.id, grade: 2 },
    skills: [{ skillId, signOff: 'helped' }],
  });
  const added = await lead.post<Drill>('/drills', body);
  expect(added.status).toBe(201);
  expect(added.body).toEqual({ id: added.body.id, ...body, revision: 1 });
  expect((await coach.get(`/drills/${added.body.id}`)).body).toEqual(added.body);
  expect((await coach.get(`/drills?skillId=${skillId}`)).body.items).toEqual([added.body]);
  expect((await coach.get(`/skills?apparatusId=${f.apparatus.bars}`)).body.items.map(({ id }) => id)).toContain(
    skillId,
  );

  const at = async (more: Partial<NewDrill>) => {
    const answer = await lead.post('/drills', drillBody(more));
    expect(answer.status).toBe(422);
    return answer.body.errors[0]?.pointer;
  };
  expect(await at({ apparatusId: f.id })).toBe('/apparatusId');
  expect(await at({ spotting: { mode: 'stand-by', kindId: f.id, grade: 1 } })).toBe('/spotting/kindId');
  expect(await at({ spotting: { mode: 'stand-by', kindId: spotting.id, grade: 3 } })).toBe('/spotting/grade');
  const leading = await aQualificationKind(f, { name: 'Lead coach', countsFor: ['leading', 'first-aid'] });
  const unfit = { mode: 'stand-by', kindId: leading.id, grade: 1 } as const;
  expect(await at({ spotting: unfit })).toBe('/spotting/kindId');
  const later = await lead.patch(`/drills/${added.body.id}`, { spotting: unfit }, { ifMatch: 1 });
  expect([later.status, later.body.errors]).toEqual([
    422,
    [
      {
        pointer: '/spotting/kindId',
        detail: '"Lead coach" does not count for spotting; name a kind that does.',
      },
    ],
  ]);
  expect(await at({ skills: [{ skillId: f.id, signOff: null }] })).toBe('/skills/0/skillId');
  expect(await at({ skills: [{ skillId, signOff: 'alone' }] })).toBe('/skills/0/signOff');
  expect((await lead.post('/drills', body)).status).toBe(409);
});

test('a drill changes under If-Match', async () => {
  const drill = await aDrill();
  const changed = await lead.patch<Drill>(
    `/drills/${drill.id}`,
    { spotting: { mode: 'stand-by', kindId: spotting.id, grade: 1 } },
    { ifMatch: 1 },
  );
  expect(changed.body).toEqual({
    ...drill,
    spotting: { mode: 'stand-by', kindId: spotting.id, grade: 1 },
    revision: 2,
  });
  expect((await lead.patch(`/drills/${drill.id}`, { places: 3 }, { ifMatch: 1 })).status).toBe(412);
  expect((await lead.patch(`/drills/${drill.id}`, { places: 3 })).status).toBe(428);
  expect((await eventsOf(drill.id)).map(({ name }) => name)).toEqual([
    'curriculum.drill-added',
    'curriculum.drill-changed',
  ]);
});

test('progressions never go round in a circle, and the circle is named', async () => {
  const [low, middle, high] = [await aDrill(), await aDrill(), await aDrill()];
  const first = { easierId: low.id, harderId: middle.id };
  expect((await lead.post('/progressions', first)).status).toBe(201);
  expect((await lead.post('/progressions', { easierId: middle.id, harderId: high.id })).status).toBe(201);
  expect((await lead.post('/progressions', first)).status).toBe(409);

  const round = await lead.post('/progressions', { easierId: high.id, harderId: low.id });
  expect(round.status).toBe(422);
  expect(round.body.type).toBe('/problems/progression-cycle');
  expect(round.body.cycle).toEqual([low.id, middle.id, high.id]);
  const itself = await lead.post('/progressions', { easierId: low.id, harderId: low.id });
  expect(itself.body.cycle).toEqual([low.id]);
  expect((await coach.get(`/progressions?drillId=${low.id}`)).body.items).toEqual([first]);

  expect((await lead.delete(`/progressions/${low.id}/${middle.id}`)).status).toBe(204);
  expect((await lead.delete(`/progressions/${low.id}/${middle.id}`)).status).toBe(404);
  expect((await lead.post('/progressions', { easierId: high.id, harderId: low.id })).status).toBe(201);
});

test('of two progressions drawn at once that would close a circle together, one is refused', async () => {
  const [a, b, c, d] = [await aDrill(), await aDrill(), await aDrill(), await aDrill()];
  await lead.post('/progressions', { easierId: b.id, harderId: c.id });
  await lead.post('/progressions', { easierId: d.id, harderId: a.id });
  const both = await Promise.all([
    lead.post('/progressions', { easierId: a.id, harderId: b.id }),
    lead.post('/progressions', { easierId: c.id, harderId: d.id }),
  ]);
  expect(both.map(({ status }) => status).sort()).toEqual([201, 422]);
});

test('a plan begins as an empty draft, for a week that begins on a Monday', async () => {
  const { id: programmeId } = await aProgramme();
  const plan = await aDraft(programmeId);
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
  const own = await aProgramme();
  const other = await aProgramme();
  const plan = await aDraft(own.id);
  const onBars = await aDrill({ apparatusId: f.apparatus.bars });
  const spotted = await aDrill({ spotting: { mode: 'hands-on', kindId: spotting.id, grade: 1 } });
  const climbed = await aDrill({ spotting: { mode: 'hands-on', kindId: climbing.id, grade: 1 } });
  const [station] = contentWith(stationWith([onBars.id], { setUp: ' ' })).blocks;
  const steps = stationWith([spotted.id, climbed.id]).steps.map((step) => ({
    ...step,
    fromLevelId: other.levels[0]?.id ?? null,
  }));
  const empty = { ...station, stations: [] };
  const content = {
    blocks: [
      { ...station, minutes: 0 },
      empty,
      { ...station, minutes: 2, stationsRun: 'in-turn', stations: [1, 2, 3].map(() => stationWith([spotted.id])) },
      { ...station, stations: [stationWith([], { name: 'Bare' }), stationWith([], { steps })] },
    ],
  };
  const put = await lead.put<WholePlanVersion>(`/lesson-plans/${plan.id}/draft`, content, { ifMatch: 1 });
  expect(put.status).toBe(200);
  const { faults, whole } = (await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body;
  expect(whole).toBe(false);
  expect(faults.map(({ pointer }) => pointer)).toEqual([
    '/blocks/0/minutes',
    '/blocks/0/stations/0/setUp',
    '/blocks/0/stations/0/steps/0/drillId',
    '/blocks/1/stations',
    '/blocks/2/minutes',
    '/blocks/3/stations/0/steps',
    '/blocks/3/stations/1/steps/0/fromLevelId',
    '/blocks/3/stations/1/steps/1/fromLevelId',
    '/blocks/3/stations/1/steps',
  ]);

  const refused = await lead.post(`/lesson-plans/${plan.id}/draft/publish`, undefined, { ifMatch: 2 });
  expect(refused.status).toBe(422);
  expect(refused.body.type).toBe('/problems/plan-not-whole');
  expect(refused.body.errors).toEqual(faults);
  expect((await lead.get(`/lesson-plans/${plan.id}/draft`)).body).toEqual(put.body);
});

test('a draft names nothing that is not there', async () => {
  const plan = await aDraft();
  const drill = await aDrill();
  const station = stationWith([drill.id, f.id]);
  const content = contentWith({ ...station, apparatusId: f.id });
  const refused = await lead.put(`/lesson-plans/${plan.id}/draft`, content, { ifMatch: 1 });
  expect(refused.status).toBe(422);
  expect(refused.body.errors.map(({ pointer }) => pointer)).toEqual([
    '/blocks/0/stations/0/apparatusId',
    '/blocks/0/stations/0/steps/1/drillId',
  ]);
  expect((await lead.get(`/lesson-plans/${plan.id}/draft`)).body.revision).toBe(1);
});

test('published, a station asks the strictest of what its drills ask, and stays so when they change', async () => {
  const [cast, hang] = [await aSkill(), await aSkill()];
  const standBy = await aDrill({
    spotting: { mode: 'stand-by', kindId: spotting.id, grade: 2 },
    skills: [{ skillId: cast, signOff: 'alone' }],
  });
  const handsOn = await aDrill({
    spotting: { mode: 'hands-on', kindId: spotting.id, grade: 1 },
    skills: [
      { skillId: cast, signOff: 'watched' },
      { skillId: hang, signOff: null },
    ],
  });
  const { plan, draft } = await aWholeDraft(contentWith(stationWith([standBy.id, handsOn.id, (await aDrill()).id])));
  expect((await lead.get<PlanCheck>(`/lesson-plans/${plan.id}/draft/check`)).body).toEqual({ whole: true, faults: [] });
  expect(draft.blocks[0]?.stations[0]?.spotting).toBeNull();

  const asked = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/draft/publish`, undefined, {
    ifMatch: draft.revision,
    dryRun: true,
  });
  expect(asked.status).toBe(200);
  expect((await lead.get(`/lesson-plans/${plan.id}/versions/1`)).body.state).toBe('draft');

  const published = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/draft/publish`, undefined, {
    ifMatch: draft.revision,
  });
  expect(published.body).toEqual(asked.body);
  expect(published.body.state).toBe('published');
  expect(published.body.blocks[0]?.stations[0]?.spotting).toEqual({
    mode: 'hands-on',
    kindId: spotting.id,
    grade: 2,
    skills: [{ skillId: cast, level: 'alone' }],
  });
  await lead.patch(`/drills/${handsOn.id}`, { spotting: { mode: 'none' }, skills: [] }, { ifMatch: 1 });
  expect((await coach.get(`/lesson-plans/${plan.id}/versions/1`)).body).toEqual(published.body);
  expect((await eventsOf(draft.id)).map(({ name }) => name)).toEqual([
    'curriculum.plan-changed',
    'curriculum.plan-published',
  ]);
});

test('a plan is renamed at any time; it moves to another week or programme until it is published', async () => {
  const plan = await aDraft();
  const [other, third] = [await aProgramme(), await aProgramme()];
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
  const programmeIds = [(await aProgramme()).id];
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
  const publish = () => lead.post(`/lesson-plans/${plan.id}/draft/publish`, undefined, { ifMatch: draft.revision });
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
    expect((await api.as(member).post('/drills', drillBody())).status).toBe(403);
  }
  expect((await api.as(f.owner).post(`/lesson-plans/${plan.id}/versions`)).status).toBe(201);
  const other = await aFranchise(api, { name: 'Elsewhere' });
  expect((await api.as(other.lead).get(`/lesson-plans/${plan.id}`)).status).toBe(404);
  expect((await api.as(other.lead).get(`/lesson-plans/${plan.id}/versions/1`)).status).toBe(404);
});
