import { and, eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aStep } from '../support/a-draft.ts';
import { aLesson, aSpotter, type Lesson } from '../support/a-lesson.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi, type Sending } from '../support/api.ts';
import { aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

type Sent = Partial<Pick<Adaptation, 'per' | 'unitId' | 'stationId' | 'change' | 'reason'>>;
const send = (lesson: Lesson, as: Caller, sent: Sent, sending?: Sending) =>
  as.post<Adaptation & { detail: string; type: string; findings: { code: string }[]; remedies: unknown[] }>(
    `${lesson.gym}/adaptations`,
    { per: 'block', unitId: lesson.block.id, stationId: lesson.stationId, reason: 'They are tired.', ...sent },
    sending,
  );
const drill = (one: { id: string }): Adaptation['change'] => ({ kind: 'drill', drillId: one.id });
const stationNow = async ({ manager, gym, session }: Lesson) =>
  (await manager.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`)).body.parts.flatMap(
    ({ stations }) => stations,
  );
const signOff = ({ f, coachId, skills }: Lesson, level: 'watched' | 'helped' | 'alone', until: string | null = null) =>
  f.arrange((tx) =>
    tx.insert(t.signOffs).values({
      franchiseId: f.id,
      id: newId(),
      personId: coachId,
      skillId: skills.cast,
      level,
      from: '2026-01-01',
      until,
    }),
  );

describe('an easier drill', () => {
  test('is for the coach whose block it is, and asks less of the spotter; undone, the plan stands again', async () => {
    const lesson = await aLesson(api);
    const { status, body } = await send(lesson, lesson.coach, { change: drill(lesson.drills.hang) });
    expect([status, body.direction]).toEqual([201, 'easier']);
    expect(await stationNow(lesson)).toMatchObject([{ spotting: { mode: 'none' }, adapted: [{ by: 'Ciara Doyle' }] }]);
    expect((await lesson.manager.get(`${lesson.gym}/adaptations?stationId=${lesson.stationId}`)).body.items).toEqual([
      { ...body },
    ]);
    const undo = `${lesson.gym}/adaptations/${body.id}/undo`;
    expect((await lesson.coach.post(undo)).status).toBe(200);
    expect(await stationNow(lesson)).toMatchObject([{ spotting: { mode: 'stand-by' }, adapted: [] }]);
    expect((await lesson.coach.post(undo)).status).toBe(409);
  });

  test('lets go whoever cannot spot the plan’s drill; going back to it is then refused', async () => {
    const lesson = await aLesson(api, { grade: 0 });
    const { body } = await send(lesson, lesson.coach, { change: drill(lesson.drills.hang) });
    await lesson.f.arrange((tx) =>
      tx
        .update(t.blocks)
        .set({ confirmedAt: new Date('2026-09-14T08:00:00Z') })
        .where(eq(t.blocks.id, lesson.block.id)),
    );
    const undone = await lesson.coach.post(`${lesson.gym}/adaptations/${body.id}/undo`);
    expect([undone.status, undone.body.type]).toEqual([422, '/problems/cover-broken']);
    expect(undone.body.findings.map(({ code }) => code)).toEqual(['spotting']);
    expect(await stationNow(lesson)).toMatchObject([{ spotting: { mode: 'none' } }]);
  });

  test('another in its place is the one that is done', async () => {
    const lesson = await aLesson(api, { says: ({ cast, hang }) => ({ steps: [aStep([cast.id]), aStep([hang.id])] }) });
    await send(lesson, lesson.manager, { change: drill(lesson.drills.tuck) });
    const { body } = await send(lesson, lesson.manager, { change: drill(lesson.drills.hang) });
    expect(body.direction).toBe('easier');
    const [station] = await stationNow(lesson);
    expect(station?.steps.map(({ drills }) => drills.map(({ name }) => name))).toEqual([['Long hang'], ['Long hang']]);
    expect(station?.spotting.mode).toBe('none');
  });
});

describe('a harder drill', () => {
  test('is within the levels of the class', async () => {
    const lesson = await aLesson(api, { grade: 2 });
    await signOff(lesson, 'alone');
    const silver = lesson.plan.programme.levels[1];
    const { f } = lesson;
    await f.arrange((tx) =>
      tx.update(t.classLevels).set({ levelId: silver }).where(eq(t.classLevels.franchiseId, f.id)),
    );
    const refused = await send(lesson, lesson.manager, { change: drill(lesson.drills.cast) });
    expect([refused.status, refused.body.detail]).toEqual([
      422,
      '“Cast to horizontal” is for none of the levels of Monday tumblers.',
    ]);
  });

  test('is for a coach with their own sign-offs, that hold on the day and go far enough', async () => {
    const lesson = await aLesson(api, { grade: 2 });
    const up = () => send(lesson, lesson.coach, { change: drill(lesson.drills.cast) });
    expect([(await up()).status, (await up()).body.type]).toEqual([403, '/problems/not-allowed']);
    await signOff(lesson, 'helped');
    expect((await up()).status).toBe(403);
    await signOff(lesson, 'alone', '2026-09-14');
    expect((await up()).status).toBe(403);
    await signOff(lesson, 'alone', '2026-09-15');
    const { status, body } = await up();
    expect([status, body.direction]).toEqual([201, 'harder']);
    expect(await stationNow(lesson)).toMatchObject([{ spotting: { mode: 'hands-on', by: 'Hand spotting, full' } }]);
  });

  test('is refused where nobody there may spot it, confirmed or not', async () => {
    const lesson = await aLesson(api, { grade: 1 });
    await signOff(lesson, 'alone');
    const planned = await send(lesson, lesson.coach, { change: drill(lesson.drills.cast) });
    expect([planned.status, planned.body.type]).toEqual([422, '/problems/not-covered']);
    expect(planned.body.findings.map(({ code }) => code)).toEqual(['spotting']);
    const confirmed = await aLesson(api, { grade: 1, confirmed: true });
    await signOff(confirmed, 'alone');
    const broken = await send(confirmed, confirmed.coach, { change: drill(confirmed.drills.cast) });
    expect([broken.status, broken.body.type]).toEqual([422, '/problems/cover-broken']);
    expect(await stationNow(confirmed)).toMatchObject([{ spotting: { mode: 'stand-by' }, adapted: [] }]);
  });

  test('somebody who plans may step up with another’s sign-offs', async () => {
    const lesson = await aLesson(api, { grade: 2 });
    await signOff(lesson, 'alone');
    expect((await send(lesson, lesson.lead, { change: drill(lesson.drills.cast) })).status).toBe(201);
  });
});

describe('what is refused', () => {
  test('a drill that does not hang together with what is done there, is retired, or of another apparatus', async () => {
    const lesson = await aLesson(api);
    const at = { spottingMode: 'none' as const, secondsATurn: 20, places: 1, sayFirst: '' };
    const [stray, onFloor] = [newId(), newId()];
    const { f, drills } = lesson;
    await f.arrange(async (tx) => {
      const ours = { franchiseId: f.id, ...at };
      await tx.insert(t.drills).values({ ...ours, id: stray, name: 'Glide', apparatusId: f.apparatus.bars });
      await tx.insert(t.drills).values({ ...ours, id: onFloor, name: 'Roll', apparatusId: f.apparatus.floor });
      await tx.update(t.drills).set({ retiredAt: new Date() }).where(eq(t.drills.id, drills.cast.id));
    });
    const said = async (id: string) => (await send(lesson, lesson.manager, { change: drill({ id }) })).body.detail;
    expect(await said(stray)).toMatch(/neither leads to/);
    expect(await said(onFloor)).toMatch(/another apparatus/);
    expect(await said(drills.cast.id)).toMatch(/no such drill/);
    expect(await said(newId())).toMatch(/no such drill/);
  });

  test('a step that is not if-time, a step, piece or choice that is not there', async () => {
    const lesson = await aLesson(api);
    const said = async (change: Adaptation['change']) => {
      const { status, body } = await send(lesson, lesson.coach, { change });
      return [status, body.detail];
    };
    expect(await said({ kind: 'drop-step', step: 1 })).toEqual([
      422,
      'Only an if-time step can be left out; that is core.',
    ]);
    expect(await said({ kind: 'drop-step', step: 3 })).toEqual([422, 'That station has 2 step(s).']);
    expect(await said({ kind: 'set-up', piece: 2, choice: 1 })).toEqual([422, 'That set-up has 1 piece(s).']);
    expect((await said({ kind: 'set-up', piece: 1, choice: 2 }))[0]).toBe(422);
  });

  test('a coach beyond their own blocks; a unit or station that is not there', async () => {
    const lesson = await aLesson(api);
    const { f, session, manager, coach } = lesson;
    const change: Adaptation['change'] = { kind: 'drop-step', step: 2 };
    for (const sent of [
      { per: 'session' as const, unitId: session.id },
      { per: 'class' as const, unitId: session.class.id },
      { per: 'gym' as const, unitId: f.gym.id },
    ]) {
      expect((await send(lesson, coach, { ...sent, change })).status).toBe(403);
      expect((await send(lesson, manager, { ...sent, change })).status).toBe(201);
    }
    const other = await aSession(f, { plan: lesson.plan, class: session.class, day: '2026-09-21' });
    expect((await send(lesson, coach, { unitId: other.blocks[0]?.id ?? '', change })).status).toBe(403);
    expect((await send(lesson, manager, { unitId: newId(), change })).status).toBe(422);
    expect((await send(lesson, manager, { stationId: newId(), change })).status).toBe(404);
  });

  test('another drill where no block is ahead', async () => {
    const lesson = await aLesson(api);
    api.clock.set('2026-09-14T18:00:00Z');
    const late = await send(lesson, lesson.coach, { change: drill(lesson.drills.hang) });
    api.clock.set('2026-09-14T08:00:00Z');
    expect([late.status, late.body.type]).toEqual([409, '/problems/conflict']);
  });
});

test('a coach reads what they said themselves, and what was said for their blocks, and may take it back', async () => {
  const lesson = await aLesson(api);
  const { f, gym, manager, coach, block, coachId } = lesson;
  type List = { items: { id: string }[]; next: string | null };
  const list = async (as: typeof coach, query = '') => (await as.get<List>(`${gym}/adaptations${query}`)).body;
  const idsFor = async (as: typeof coach) => (await list(as)).items.map(({ id }) => id);
  const change: Adaptation['change'] = { kind: 'drop-step', step: 2 };
  const forGym = await send(lesson, manager, { per: 'gym', unitId: f.gym.id, change });
  const other = await aSession(f, { plan: lesson.plan, class: lesson.session.class, day: '2026-09-21' });
  const theirs = await send(lesson, manager, { unitId: other.blocks[0]?.id ?? '', change });
  expect(await idsFor(coach)).toEqual([]);

  const forBlock = await send(lesson, manager, { unitId: block.id, change });
  const own = await send(lesson, coach, { change: drill(lesson.drills.hang) });
  expect([forBlock.status, own.status]).toEqual([201, 201]);
  expect(await idsFor(coach)).toEqual([forBlock.body.id, own.body.id]);
  expect(await idsFor(manager)).toEqual([forGym, theirs, forBlock, own].map(({ body }) => body.id));
  const { items, next } = await list(coach, '?limit=1');
  const rest = await list(coach, `?limit=1&cursor=${next}`);
  expect([...items, ...rest.items].map(({ id }) => id)).toEqual([forBlock.body.id, own.body.id]);
  expect(rest.next).toBeNull();
  for (const { body } of [forBlock, own])
    expect((await coach.post(`${gym}/adaptations/${body.id}/undo`)).status).toBe(200);

  await f.arrange((tx) => tx.update(t.assignments).set({ duty: 'shadow' }).where(eq(t.assignments.personId, coachId)));
  expect(await idsFor(coach)).toEqual([own.body.id]);
});

test('for a class, it is done in all its blocks ahead, and in no other’s; asked dry, nothing changes', async () => {
  const lesson = await aLesson(api);
  const { f, session, plan, coachId } = lesson;
  const later = await aSession(f, { plan, class: session.class, day: '2026-09-21' });
  const [next] = later.blocks;
  if (!next) throw new Error('a session has a block');
  await anAssignment(f, next, coachId, { day: '2026-09-21' });
  const other = await aSession(f, {
    plan,
    class: await aClass(f, { programme: plan.programme, levels: [plan.programme.levels[0]], startsAt: '18:30' }),
  });
  const sent: Sent = { per: 'class', unitId: session.class.id, change: drill(lesson.drills.hang) };
  const dry = await send(lesson, lesson.manager, sent, { dryRun: true });
  expect([dry.status, dry.body.blockIds]).toEqual([201, [lesson.block.id, next.id]]);
  expect((await lesson.manager.get(`${lesson.gym}/adaptations`)).body.items).toEqual([]);
  const { body } = await send(lesson, lesson.manager, sent);
  expect(body.blockIds).toEqual([lesson.block.id, next.id]);
  const rows = await f.arrange((tx) =>
    tx
      .select()
      .from(t.blockStepDowns)
      .where(and(eq(t.blockStepDowns.franchiseId, f.id))),
  );
  expect(rows.map(({ blockId, spotting }) => [blockId, spotting])).toEqual(
    [lesson.block.id, next.id].map((id) => [id, { mode: 'none' }]),
  );
  const taughtIn = async (id: string) =>
    (await lesson.manager.get<LessonSheet>(`${lesson.gym}/sessions/${id}/sheet`)).body.parts.flatMap(({ stations }) =>
      stations.map(({ spotting, steps, adapted }) => [
        steps[0]?.drills.map(({ name }) => name),
        spotting.mode,
        adapted.length,
      ]),
    );
  expect(await taughtIn(later.id)).toEqual([[['Long hang'], 'none', 1]]);
  expect(await taughtIn(other.id), 'a second class keeps the plan').toEqual([[['Tuck hang'], 'stand-by', 0]]);
});

test('if a coach has to leave, whoever is free and may spot it steps in', async () => {
  const lesson = await aLesson(api);
  await aSpotter(lesson, 1, 'Orla');
  const sheet = await lesson.coach.get<LessonSheet>(`${lesson.gym}/sessions/${lesson.session.id}/sheet`);
  expect(sheet.body.parts[0]?.turns[0]?.standIns).toMatchObject([
    { personId: lesson.coachId, outcome: 'somebody', by: [{ name: 'Orla Byrne' }] },
  ]);
});

test('nobody steps in who is busy elsewhere then, or may not spot it; a block that holds without them needs nobody', async () => {
  const lesson = await aLesson(api);
  const { f, plan, session, coach, gym } = lesson;
  const orla = await aSpotter(lesson, 1);
  const of = await aClass(f, { programme: plan.programme, levels: [plan.programme.levels[0]], startsAt: '17:10' });
  const [elsewhere] = (await aSession(f, { plan, class: of })).blocks;
  if (elsewhere) await anAssignment(f, elsewhere, orla);
  await aStaffMember(f, { given: 'Niall' });
  const standIns = async () =>
    (await coach.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`)).body.parts[0]?.turns[0]?.standIns;
  expect(await standIns()).toMatchObject([{ outcome: 'nobody', by: [] }]);
  const second = await aSpotter(lesson, 2, 'Una');
  await anAssignment(f, lesson.block, second, { duty: 'assist' });
  expect(await standIns()).toMatchObject([{ outcome: 'still-covered', by: [] }]);
});

describe('who sees a sheet', () => {
  test('a coach their own and no other; those who plan, the whole session; no alerts before the day', async () => {
    const lesson = await aLesson(api);
    const { f, gym, session, children } = lesson;
    const [first = ''] = children;
    await f.arrange((tx) => tx.insert(t.personHealth).values({ franchiseId: f.id, personId: first, alerts: 'Asthma' }));
    const at = `${gym}/sessions/${session.id}/sheet`;
    const alertsFor = async (as: Caller) => (await as.get<LessonSheet>(at)).body.alerts.map(({ alerts }) => alerts);
    expect(await alertsFor(lesson.coach)).toEqual(['Asthma']);
    expect(await alertsFor(lesson.manager)).toEqual(['Asthma']);
    expect(await alertsFor(lesson.lead)).toEqual([]);
    api.clock.set('2026-09-13T08:00:00Z');
    expect(await alertsFor(lesson.coach)).toEqual([]);
    api.clock.set('2026-09-14T08:00:00Z');
    const names = async (as: Caller) =>
      (await as.get<LessonSheet>(at)).body.parts.flatMap(({ turns }) =>
        turns.flatMap((one) => one.notYetShown[0]?.names),
      );
    expect(await names(lesson.coach)).toHaveLength(4);
    expect(await names(lesson.lead)).toEqual([]);
    const orla = await aSpotter(lesson, 1);
    expect((await lesson.coach.get(`${at}?personId=${orla}`)).status).toBe(404);
    expect((await lesson.manager.get(`${at}?personId=${orla}`)).status).toBe(404);
    expect((await lesson.manager.get<LessonSheet>(`${at}?personId=${lesson.coachId}`)).body.coach?.personId).toBe(
      lesson.coachId,
    );
    const other = await aSession(f, { plan: lesson.plan, class: session.class, day: '2026-09-21' });
    expect((await lesson.coach.get(`${gym}/sessions/${other.id}/sheet`)).status).toBe(404);
    await f.arrange((tx) => tx.update(t.sessions).set({ cancelledAt: new Date(), cancelledWhy: 'storm' }));
    expect((await lesson.manager.get(at)).status).toBe(404);
  });
});
