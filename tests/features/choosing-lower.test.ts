import { afterAll, beforeAll, expect, test } from 'vitest';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { aStep } from '../support/a-draft.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { type Api, openApi } from '../support/api.ts';

// Choosing a lower rung of a height ladder, or the easier of what a step leaves to choose from, is never a failing.

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

/** Makes a height ladder of the lesson's first two drills: on the floor, and low. */
async function onALadder({ lead, drills: { hang, tuck } }: Lesson): Promise<void> {
  await lead.delete(`/progressions/${hang.id}/${tuck.id}`);
  await lead.patch(`/drills/${hang.id}`, { height: 'floor' }, { ifMatch: hang.revision });
  await lead.patch(`/drills/${tuck.id}`, { height: 'low' }, { ifMatch: tuck.revision });
  const step = { easierId: hang.id, harderId: tuck.id, kind: 'height' };
  const added = await lead.post('/progressions', step);
  expect(added.status, added.text).toBe(201);
}

/** The coach teaches the block, ticks its station as done, and everybody shows the skill alone. */
async function taughtAndTicked({ gym, coach, lead, block, stationId, skills, plan, children }: Lesson) {
  api.clock.set('2026-09-14T16:25:00Z');
  const at = `${gym}/blocks/${block.id}`;
  const ticked = await coach.put(`${at}/taught`, { stations: [{ stationId, outcome: 'done' }] });
  expect([ticked.status, ticked.body.stations], ticked.text).toEqual([
    200,
    [{ stationId, station: 'Low bar', outcome: 'done', why: null, tickedAt: expect.any(String) }],
  ]);
  await coach.put(`${at}/skills`, { skillId: skills.hang, everyone: 'alone' });
  const [child = ''] = children;
  const shown = await coach.get(`${gym}/athletes/${child}/skills`);
  const summary = await lead.get(`/lesson-plans/${plan.id}/versions/1/feedback`);
  expect(summary.status, summary.text).toBe(200);
  return { skills: shown.body.items, stations: summary.body.stations };
}

const asPlanned = { done: 1, skipped: 0, adapted: 0 };
const shownInFull = (skillId: string) => [{ skillId, best: 'alone', last: 'alone', daysAlone: 1 }];

test('the ladder names the rungs and holds none of them against anybody', async () => {
  const lesson = await aLesson(api);
  await onALadder(lesson);
  const { hang, tuck } = lesson.drills;
  const { body } = await lesson.coach.get(`/drills/${tuck.id}/height-ladder`);
  expect(body).toEqual({
    rungs: [hang, tuck].map(({ id, name, apparatusId }, at) => {
      const height = at === 0 ? 'floor' : 'low';
      return { height, drills: [{ id, name, apparatusId, height }] };
    }),
  });
});

test('a coach who chooses the lower of what a step leaves to choose from taught it as planned', async () => {
  api.clock.set('2026-09-14T08:00:00Z');
  const lesson = await aLesson(api, { says: ({ tuck, hang }) => ({ steps: [aStep([tuck.id, hang.id])] }) });
  await onALadder(lesson);
  const { coach, gym, session, skills } = lesson;
  const [station] = (await coach.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`)).body.parts[0]?.stations ?? [];
  expect(station).toMatchObject({
    steps: [{ drills: [{ name: 'Tuck hang' }, { name: 'Long hang' }], chooseBy: 'By who lands on their feet' }],
    adapted: [],
  });
  // Nobody asks which of them it was.
  const taught = await taughtAndTicked(lesson);
  expect(taught.stations).toMatchObject([asPlanned]);
  expect(taught.skills).toMatchObject(shownInFull(skills.hang));
});

test('a station that is taught a rung lower than its plan says is done, needs no excuse, and counts in full', async () => {
  api.clock.set('2026-09-14T08:00:00Z');
  const lesson = await aLesson(api, { confirmed: true });
  await onALadder(lesson);
  const { coach, gym, block, stationId, skills, drills } = lesson;
  const change = { kind: 'drill', drillId: drills.hang.id };
  const lower = { per: 'block', unitId: block.id, stationId, change, reason: 'Four are new.' };
  const adapted = await coach.post(`${gym}/adaptations`, lower);
  expect([adapted.status, adapted.body.direction], adapted.text).toEqual([201, 'easier']);
  const { rows } = await api.database.ownerPool.query('SELECT confirmed_at FROM blocks WHERE id = $1', [block.id]);
  expect(rows[0].confirmed_at).not.toBeNull();
  const taught = await taughtAndTicked(lesson);
  expect(taught.stations).toMatchObject([asPlanned]);
  expect(taught.skills).toMatchObject(shownInFull(skills.hang));
});
