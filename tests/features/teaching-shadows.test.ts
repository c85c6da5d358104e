import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Board } from '../../src/features/live/schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import * as t from '../../src/tables/index.ts';
import { aStep } from '../support/a-draft.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { anAthlete } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T16:05:00Z' });
});
afterAll(() => api.close());

const asShadow = ({ f, coachId }: Lesson) =>
  f.arrange((tx) => tx.update(t.assignments).set({ duty: 'shadow' }).where(eq(t.assignments.personId, coachId)));
const alert = ({ f }: Lesson, athleteIds: readonly string[]) =>
  f.arrange((tx) =>
    tx.insert(t.personHealth).values(athleteIds.map((personId) => ({ franchiseId: f.id, personId, alerts: 'Asthma' }))),
  );
const sheetOf = async ({ gym, session }: Lesson, as: Caller) =>
  (await as.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`)).body;

test('whoever only watches a block reads its sheet, without medical alerts and without the names of children', async () => {
  const lesson = await aLesson(api);
  await alert(lesson, lesson.children.slice(0, 1));
  const seen = async () => {
    const { parts, alerts } = await sheetOf(lesson, lesson.coach);
    const [turn] = parts.flatMap(({ turns }) => turns);
    return {
      block: turn?.blockId,
      alerts: alerts.length,
      missing: turn?.notYetShown[0]?.athletes,
      named: turn?.notYetShown[0]?.names.length,
    };
  };
  const asCoach = { block: lesson.block.id, alerts: 1, missing: 4, named: 4 };
  expect(await seen()).toEqual(asCoach);
  await asShadow(lesson);
  expect(await seen()).toEqual({ ...asCoach, alerts: 0, named: 0 });
});

test('who teaches one group and watches another reads the alerts of the first alone', async () => {
  const lesson = await aLesson(api);
  const { f, plan, coachId, coach, gym } = lesson;
  const [taught, watched] = [await anAthlete(f), await anAthlete(f)];
  await alert(lesson, [taught, watched]);
  const session = await aSession(f, {
    plan,
    class: lesson.session.class,
    startsAt: '19:00',
    groups: [[taught], [watched]],
  });
  const [first, second] = session.groups.map(({ blocks }) => blocks[0]);
  if (!first || !second) throw new Error('each group has a block');
  await anAssignment(f, first, coachId);
  // In two places at once is for the database to refuse: they come to watch when their own block is over.
  const after = { ...second, startsAt: first.endsAt, endsAt: new Date(first.endsAt.getTime() + 1200_000) };
  await f.arrange((tx) => tx.update(t.blocks).set(after).where(eq(t.blocks.id, second.id)));
  await anAssignment(f, after, coachId, { duty: 'shadow' });
  const { body } = await coach.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`);
  expect(body.parts.flatMap(({ turns }) => turns.map(({ blockId }) => blockId))).toEqual([first.id, second.id]);
  expect(body.alerts.map(({ athleteId }) => athleteId)).toEqual([taught]);
});

test('whoever only watches adapts nothing there and writes nothing down', async () => {
  const steps = ({ tuck }: Lesson['drills']) => [aStep([tuck.id]), aStep([tuck.id], { weight: 'if-time' })];
  const reason = 'They are tired.';
  const tried = async ({ coach, gym, block, stationId, drills, skills }: Lesson) => {
    const at = `${gym}/blocks/${block.id}`;
    const adaptation = { per: 'block', unitId: block.id, stationId, change: { kind: 'drop-step', step: 2 }, reason };
    return [
      await coach.post(`${gym}/adaptations`, adaptation),
      await coach.post(`${at}/step-downs`, { stationId, drillId: drills.hang.id, reason }),
      await coach.put(`${at}/taught`, { stations: [{ stationId, outcome: 'done', why: null }] }),
      await coach.get(`${at}/taught`),
      await coach.put(`${at}/skills`, { skillId: skills.hang, everyone: 'alone', shown: [] }),
      await coach.put(`${at}/feedback`, { stations: [{ stationId, answer: 'worked', line: null }] }),
    ].map(({ status }) => status);
  };
  const lesson = await aLesson(api, { says: (drills) => ({ steps: steps(drills) }) });
  expect(await tried(lesson)).toEqual([201, 201, 200, 200, 200, 200]);
  const { items } = (await lesson.manager.get<{ items: { id: string }[] }>(`${lesson.gym}/adaptations`)).body;
  await asShadow(lesson);
  expect(await tried(lesson)).toEqual([403, 403, 404, 404, 404, 404]);
  expect((await lesson.coach.post(`${lesson.gym}/adaptations/${items[0]?.id}/undo`)).status).toBe(403);
});

test('a coach who only watches today sees neither the athletes there nor their alerts', async () => {
  const lesson = await aLesson(api);
  await alert(lesson, lesson.children.slice(0, 1));
  const athletes = async () =>
    (await lesson.coach.get<{ items: { alerts: string | null }[] }>(`${lesson.gym}/athletes`)).body.items;
  expect(await athletes()).toHaveLength(4);
  await asShadow(lesson);
  expect(await athletes()).toEqual([]);
});

test('a coach who only watches has no roll there, and no names, on the board and in the session', async () => {
  const lesson = await aLesson(api);
  const { coach, gym, session } = lesson;
  const seen = async () => {
    const roll = await coach.get<{ items: unknown[] }>(`${gym}/sessions/${session.id}/attendance`);
    const board = (await coach.get<Board>(`${gym}/board`)).body.sessions.flatMap(({ blocks }) => blocks);
    const { groups } = (await coach.get<{ groups: { members: unknown[] | null }[] }>(`${gym}/sessions/${session.id}`))
      .body;
    return [roll.status, board[0]?.athletes?.length ?? null, groups[0]?.members?.length ?? null];
  };
  expect(await seen()).toEqual([200, 4, 4]);
  await asShadow(lesson);
  expect(await seen()).toEqual([404, null, null]);
});

test('every alert of a full hall is on the sheet', async () => {
  const lesson = await aLesson(api);
  const { f, plan } = lesson;
  const session = await aSession(f, { plan, class: lesson.session.class, startsAt: '19:00', groups: [250] });
  await alert(lesson, session.groups[0]?.athletes ?? []);
  const { body } = await lesson.manager.get<LessonSheet>(`${lesson.gym}/sessions/${session.id}/sheet`);
  expect(body.alerts).toHaveLength(250);
});
