import { eq, sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { WholeSession } from '../../src/features/schedule/schema.ts';
import type { StepDown } from '../../src/features/staffing/step-down.ts';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, content, writing } from '../support/a-draft.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

type Per = Adaptation['per'];
type Answer<T> = T & { type: string; detail: string; findings: { code: string }[] };
const adapt = (lesson: Lesson, per: Per, change: Adaptation['change']) =>
  lesson.manager.post<Answer<Adaptation>>(`${lesson.gym}/adaptations`, {
    per,
    unitId: {
      gym: lesson.f.gym.id,
      class: lesson.session.class.id,
      session: lesson.session.id,
      block: lesson.block.id,
    }[per],
    stationId: lesson.stationId,
    change,
    reason: `For the ${per}.`,
  });
const toDo = ({ id }: { id: string }): Adaptation['change'] => ({ kind: 'drill', drillId: id });
const undo = ({ gym, manager }: Lesson, { id }: { id: string }) =>
  manager.post<Answer<Adaptation>>(`${gym}/adaptations/${id}/undo`);
const listed = async ({ gym, manager }: Lesson) =>
  (await manager.get<{ items: Adaptation[] }>(`${gym}/adaptations`)).body.items;
const doneIn = async ({ gym, manager }: Lesson, sessionId: string) => {
  const { body } = await manager.get<LessonSheet>(`${gym}/sessions/${sessionId}/sheet`);
  return body.parts.flatMap(({ stations }) => stations)[0]?.steps[0]?.drills[0]?.name;
};
const doneNow = (lesson: Lesson) => doneIn(lesson, lesson.session.id);

/** Of a coach who may spot it, without sign-offs. */
async function aLessonToStepUp(grade = 2): Promise<Lesson> {
  const lesson = await aLesson(api, { grade });
  await lesson.f.arrange((tx) => tx.delete(t.drillSkills).where(eq(t.drillSkills.drillId, lesson.drills.cast.id)));
  return lesson;
}
const withoutCoach = ({ f }: Lesson) =>
  f.arrange((tx) => tx.delete(t.assignments).where(eq(t.assignments.franchiseId, f.id)));
const withCoach = ({ f, block, coachId }: Lesson) => anAssignment(f, block, coachId);

describe('an adaptation that is taken back', () => {
  test('brings no step up of a wider unit back to where nobody may spot it', async () => {
    const lesson = await aLessonToStepUp();
    const { cast, hang } = lesson.drills;
    expect((await adapt(lesson, 'class', toDo(cast))).status).toBe(201);
    const narrow = (await adapt(lesson, 'session', toDo(hang))).body;
    await withoutCoach(lesson);
    const { status, body } = await undo(lesson, narrow);
    expect([status, body.type, body.findings.map(({ code }) => code)]).toEqual([
      422,
      '/problems/not-covered',
      ['spotting'],
    ]);
    expect(await doneNow(lesson)).toBe('Long hang');
    await withCoach(lesson);
    expect((await undo(lesson, narrow)).status).toBe(200);
    expect(await doneNow(lesson)).toBe('Cast to horizontal');
  });

  test('gives way to the plan, whoever is there by now', async () => {
    const lesson = await aLessonToStepUp();
    const narrow = (await adapt(lesson, 'session', toDo(lesson.drills.hang))).body;
    await withoutCoach(lesson);
    expect((await undo(lesson, narrow)).status).toBe(200);
    expect(await doneNow(lesson)).toBe('Tuck hang');
  });
});

test('another adaptation brings nobody a step up that was not asked for again', async () => {
  const lesson = await aLessonToStepUp();
  await adapt(lesson, 'class', toDo(lesson.drills.cast));
  const later = await aSession(lesson.f, { plan: lesson.plan, class: lesson.session.class, day: '2026-09-21' });
  const { status, body } = await adapt(lesson, 'gym', toDo(lesson.drills.hang));
  expect([status, body.blockIds]).toEqual([201, []]);
  expect([await doneNow(lesson), await doneIn(lesson, later.id)]).toEqual(['Cast to horizontal', 'Tuck hang']);
});

describe('a step down of one block', () => {
  const stepDownsIn = async ({ gym, manager, session }: Lesson) =>
    (await manager.get<WholeSession>(`${gym}/sessions/${session.id}`)).body.blocks.flatMap(
      ({ stepDowns }) => stepDowns,
    );
  const undoStepDown = ({ gym, block }: Lesson, as: Caller, id: string) =>
    as.post<Answer<StepDown>>(`${gym}/blocks/${block.id}/step-downs/${id}/undo`);

  test.each<Per>(['class', 'block'])('that is done for an adaptation of a %s is not undone without it', async (per) => {
    const lesson = await aLesson(api);
    const { body } = await adapt(lesson, per, toDo(lesson.drills.hang));
    const [done] = await stepDownsIn(lesson);
    expect(done?.adaptationId).toBe(body.id);
    for (const as of [lesson.coach, lesson.manager]) {
      const refused = await undoStepDown(lesson, as, done?.id ?? '');
      expect([refused.status, refused.body.type]).toEqual([409, '/problems/conflict']);
      expect(refused.body.detail).toContain(body.id);
    }
    expect(await doneNow(lesson)).toBe('Long hang');
    expect(await listed(lesson)).toEqual([body]);
  });

  test('that was chosen by hand leaves behind what stands for the class, where somebody may spot it', async () => {
    const lesson = await aLessonToStepUp();
    const { gym, block, stationId, drills, manager } = lesson;
    const up = (await adapt(lesson, 'class', toDo(drills.cast))).body;
    await withoutCoach(lesson);
    const stepped = await manager.post<{ stepDown: StepDown }>(`${gym}/blocks/${block.id}/step-downs`, {
      stationId,
      drillId: drills.hang.id,
      reason: 'Nobody is here to spot.',
    });
    const { id, adaptationId } = stepped.body.stepDown;
    expect(adaptationId).toBeNull();
    expect((await listed(lesson))[0]?.blockIds).toEqual([]);
    const refused = await undoStepDown(lesson, manager, id);
    expect([refused.status, refused.body.type]).toEqual([422, '/problems/not-covered']);
    await withCoach(lesson);
    expect((await undoStepDown(lesson, manager, id)).status).toBe(200);
    expect([await doneNow(lesson), (await listed(lesson))[0]?.blockIds]).toEqual(['Cast to horizontal', [block.id]]);
    expect((await stepDownsIn(lesson)).map((one) => one.adaptationId)).toEqual([up.id]);
  });
});

test('those that stand are listed without those that were taken back, and the other way round', async () => {
  const lesson = await aLesson(api);
  const { gym, manager } = lesson;
  const first = (await adapt(lesson, 'class', toDo(lesson.drills.hang))).body;
  const second = (await adapt(lesson, 'class', toDo(lesson.drills.hang))).body;
  const idsOf = async (standing: boolean) =>
    (await manager.get<{ items: Adaptation[] }>(`${gym}/adaptations?standing=${standing}`)).body.items?.map(
      ({ id }) => id,
    );
  expect([await idsOf(true), await idsOf(false)]).toEqual([[second.id], [first.id]]);
});

test('the blocks of an adaptation are five hundred at the most, and the others are counted', async () => {
  const lesson = await aLesson(api);
  const { f, block } = lesson;
  const { id } = (await adapt(lesson, 'class', toDo(lesson.drills.hang))).body;
  await f.arrange(async (tx) => {
    await tx.execute(sql`INSERT INTO blocks (franchise_id, id, gym_id, session_id, group_id, plan_version_id, plan_block_id,
        day, starts_at, ends_at)
      SELECT franchise_id, gen_random_uuid(), gym_id, session_id, group_id, plan_version_id, plan_block_id, day,
        starts_at + make_interval(hours => n), ends_at + make_interval(hours => n)
      FROM blocks, generate_series(1, 502) n WHERE franchise_id = ${f.id} AND id = ${block.id}`);
    await tx.execute(sql`INSERT INTO block_step_downs (franchise_id, id, gym_id, block_id, station_id, drill_id, spotting,
        reason, adaptation_id)
      SELECT d.franchise_id, gen_random_uuid(), d.gym_id, b.id, d.station_id, d.drill_id, d.spotting, d.reason, d.adaptation_id
      FROM block_step_downs d JOIN blocks b ON b.franchise_id = d.franchise_id AND b.id <> d.block_id
      WHERE d.franchise_id = ${f.id}`);
  });
  const [one] = await listed(lesson);
  expect([one?.id, one?.blockIds.length, one?.blockIds[0], one?.moreBlocks]).toEqual([id, 500, block.id, 3]);
});

test('the blocks of a session that is called off are not among them', async () => {
  const lesson = await aLesson(api);
  const { gym, manager, session, f, plan } = lesson;
  const later = await aSession(f, { plan, class: session.class, day: '2026-09-21' });
  const { body } = await adapt(lesson, 'class', toDo(lesson.drills.hang));
  expect(body.blockIds).toEqual([lesson.block.id, later.blocks[0]?.id]);
  const off = await manager.post(`${gym}/sessions/${later.id}/cancel`, { reason: 'storm' }, { ifMatch: 1 });
  expect(off.status, off.text).toBe(200);
  const [one] = await listed(lesson);
  expect([one?.blockIds, one?.moreBlocks]).toEqual([[lesson.block.id], 0]);
});

describe('whether sessions laid out later have it too', () => {
  test.each<[string, Per, (lesson: Lesson) => Adaptation['change'], boolean]>([
    ['an easier drill for a class', 'class', ({ drills }) => toDo(drills.hang), true],
    ['an easier drill for a block', 'block', ({ drills }) => toDo(drills.hang), false],
    ['a step up for a class', 'class', ({ drills }) => toDo(drills.cast), false],
    ['a step left out for a class', 'class', () => ({ kind: 'drop-step', step: 2 }), true],
    ['a step left out in a block', 'block', () => ({ kind: 'drop-step', step: 2 }), false],
  ])('%s', async (_name, per, change, has) => {
    const lesson = await aLessonToStepUp();
    const { status, body } = await adapt(lesson, per, change(lesson));
    expect([status, body.laterToo]).toEqual([201, has]);
    expect((await undo(lesson, body)).body.laterToo).toBe(false);
  });

  test('not an easier drill that has to be spotted, where the plan asks for nobody', async () => {
    const lesson = await aLesson(api, {
      says: ({ hang }) => ({ steps: [{ ...aHold, drillIds: [hang.id] }] }),
    });
    const spotted = await writing(lesson.f, lesson.lead).aDrill({
      apparatusId: lesson.f.apparatus.bars,
      name: 'Swing',
      spotting: { mode: 'stand-by', kindId: lesson.kind.id, grade: 1 },
    });
    await lesson.lead.post('/progressions', { easierId: spotted.id, harderId: lesson.drills.hang.id });
    const { status, body } = await adapt(lesson, 'class', toDo(spotted));
    expect([status, body.direction, body.laterToo]).toEqual([201, 'easier', false]);
  });
});

const aHold = {
  chooseBy: null,
  fromLevelId: null,
  dose: { amount: 3, unit: 'turns', sets: 1, eachSide: false, note: null },
  weight: 'core',
} as const;

test('a block that comes back to a version has what stands for it there, as its class and gym have', async () => {
  const lesson = await aLesson(api);
  const { f, lead, manager, gym, session, plan, drills } = lesson;
  const { id } = (await adapt(lesson, 'block', toDo(drills.hang))).body;
  const write = writing(f, lead);
  const station = write.aStation([drills.tuck.id], { name: 'Low bar', apparatusId: f.apparatus.bars });
  const next = await write.publishNext(plan.id, content(aBlock([station], { title: 'Bars', minutes: 20 })));
  const take = async (planVersionId: string) => {
    const { revision } = (await manager.get<WholeSession>(`${gym}/sessions/${session.id}`)).body;
    const path = `${gym}/sessions/${session.id}/take-plan-version`;
    expect((await manager.post(path, { planVersionId }, { ifMatch: revision })).status).toBe(200);
  };
  await take(next.id);
  expect(await doneNow(lesson)).toBe('Tuck hang');
  await take(plan.versionId);
  expect([await doneNow(lesson), (await listed(lesson)).map(({ blockIds }) => [id, blockIds])]).toEqual([
    'Long hang',
    [[id, [lesson.block.id]]],
  ]);
});

test('a class that is added while a gym is adapted has the other drill too', async () => {
  const lesson = await aLesson(api);
  const { f, plan, manager, gym } = lesson;
  const first = (await adapt(lesson, 'gym', toDo(lesson.drills.hang))).body;
  const owner = await api.database.ownerPool.connect();
  const added = async () => {
    const answer = await manager.post<{ id: string }>(`${gym}/classes`, {
      name: 'Tuesday tumblers',
      programmeId: plan.programme.id,
      levelIds: [plan.programme.levels[0]],
      weekday: 2,
      time: '17:00',
      durationMinutes: 60,
      capacity: 12,
      from: '2026-09-14',
      until: null,
    });
    expect(answer.status, answer.text).toBe(201);
    return answer.body.id;
  };
  const laidOut = async (classId: string) => {
    const id = newId();
    const at = { startsAt: new Date('2026-09-15T16:00:00Z'), endsAt: new Date('2026-09-15T17:00:00Z') };
    const what = { gymId: f.gym.id, classId, originalStart: '2026-09-15T17:00', day: '2026-09-15', ...at };
    await f.arrange((tx) => tx.insert(t.sessions).values({ franchiseId: f.id, id, ...what }));
    const sent = { planVersionId: plan.versionId };
    const { status } = await manager.post(`${gym}/sessions/${id}/lay-out`, sent, { ifMatch: 1 });
    expect(status).toBe(200);
  };
  let adapting: ReturnType<typeof adapt> | undefined;
  let adding: Promise<string> | undefined;
  try {
    // Whoever adapts the gym anew waits here, with everything read that they read of its classes.
    await owner.query('BEGIN');
    await owner.query('SELECT FROM adaptations WHERE id = $1 FOR NO KEY UPDATE', [first.id]);
    adapting = adapt(lesson, 'gym', toDo(lesson.drills.hang));
    while ((await waiting()) < 1);
    let isAdded = false;
    adding = added().then((id) => {
      isAdded = true;
      return id;
    });
    while (!isAdded && (await waiting()) < 2);
    if (isAdded) await laidOut(await adding);
    await owner.query('COMMIT');
    if (!isAdded) await laidOut(await adding);
  } finally {
    owner.release();
  }
  await adapting;
  expect((await listed(lesson)).map(({ blockIds }) => blockIds.length)).toEqual([0, 2]);
});

test('a coach who is let go while they adapt or undo does neither', async () => {
  const lesson = await aLesson(api);
  const { f, coach, gym, block, stationId, session } = lesson;
  const released = (releasedAt: Date | null) =>
    f.arrange((tx) => tx.update(t.assignments).set({ releasedAt }).where(eq(t.assignments.franchiseId, f.id)));
  /** What it answers when it has to wait for the class, and they are let go meanwhile. */
  async function letGoDuring(send: () => Promise<{ status: number }>): Promise<number> {
    const owner = await api.database.ownerPool.connect();
    let sent: ReturnType<typeof send> | undefined;
    try {
      await owner.query('BEGIN');
      await owner.query('SELECT FROM classes WHERE id = $1 FOR NO KEY UPDATE', [session.class.id]);
      sent = send();
      while ((await waiting()) < 1);
      await released(new Date('2026-09-14T08:00:00Z'));
      await owner.query('COMMIT');
    } finally {
      owner.release();
    }
    const { status } = await sent;
    await released(null);
    return status;
  }
  const change = toDo(lesson.drills.hang);
  const adaptation = { per: 'block', unitId: block.id, stationId, change, reason: 'They are tired.' };
  expect(await letGoDuring(() => coach.post(`${gym}/adaptations`, adaptation))).toBe(403);
  const { body } = await coach.post<Adaptation>(`${gym}/adaptations`, adaptation);
  expect(await letGoDuring(() => coach.post(`${gym}/adaptations/${body.id}/undo`))).toBe(403);
});

async function waiting(): Promise<number> {
  const { rows } = await api.database.ownerPool.query(
    'SELECT FROM pg_locks JOIN pg_stat_activity USING (pid) WHERE NOT granted AND datname = current_database()',
  );
  return rows.length;
}
