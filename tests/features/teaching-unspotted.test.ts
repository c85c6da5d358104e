import { and, eq, gt } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Spotting } from '../../src/cover/index.ts';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aStep, writing } from '../support/a-draft.ts';
import { aLesson, aSpotter, type Lesson, type LessonOptions } from '../support/a-lesson.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

/** A second station in the lesson's block, beside the first. */
async function aStationBeside({ f, plan }: Lesson, spotting: Spotting): Promise<void> {
  const planBlockId = plan.blocks[0]?.id ?? '';
  const what = { position: 2, name: 'High bar', setUp: '', apparatusId: f.apparatus.bars, items: 1 };
  await f.arrange((tx) =>
    tx.insert(t.planStations).values({ franchiseId: f.id, id: newId(), planBlockId, ...what, spotting }),
  );
}

/** A drill that leads to the plan's, and is spotted at that grade all the same. */
async function anEasierOne({ f, lead, kind, drills }: Lesson, grade: number): Promise<string> {
  const easier = await writing(f, lead).aDrill({
    apparatusId: f.apparatus.bars,
    name: `Swing, grade ${grade}`,
    spotting: { mode: 'hands-on', kindId: kind.id, grade },
  });
  await lead.post('/progressions', { easierId: easier.id, harderId: drills.tuck.id });
  return easier.id;
}

const adapt = ({ manager, gym, block, stationId }: Lesson, drillId: string) =>
  manager.post<Adaptation & { type: string; findings: { code: string; sentence: string }[] }>(`${gym}/adaptations`, {
    per: 'block',
    unitId: block.id,
    stationId,
    change: { kind: 'drill', drillId },
    reason: 'They are tired.',
  });
const byHand = ({ kind }: Lesson, grade: number): Spotting => ({ mode: 'hands-on', kind: kind.id, grade, skills: [] });

test('a station that nobody may spot excuses no other in its block', async () => {
  const lesson = await aLesson(api);
  await aStationBeside(lesson, byHand(lesson, 3));
  const { status, body } = await adapt(lesson, await anEasierOne(lesson, 2));
  expect([status, body.type]).toEqual([422, '/problems/not-covered']);
  expect(body.findings.map(({ code }) => code)).toContain('spotting');
});

test('an easier drill that is spotted as well as before stands, whatever another station lacks', async () => {
  const lesson = await aLesson(api);
  await aStationBeside(lesson, byHand(lesson, 3));
  expect((await adapt(lesson, await anEasierOne(lesson, 1))).status).toBe(201);
});

test('where nobody could spot the plan’s drill either, an easier one stands', async () => {
  const lesson = await aLesson(api, { grade: 0 });
  expect((await adapt(lesson, await anEasierOne(lesson, 2))).status).toBe(201);
});

test('a step up is judged at its own station, whatever another lacks', async () => {
  const lesson = await aLesson(api, { grade: 2 });
  await lesson.f.arrange((tx) =>
    tx.insert(t.signOffs).values({
      franchiseId: lesson.f.id,
      id: newId(),
      personId: lesson.coachId,
      skillId: lesson.skills.cast,
      level: 'alone',
      from: '2026-01-01',
    }),
  );
  await aStationBeside(lesson, byHand(lesson, 3));
  expect((await adapt(lesson, lesson.drills.cast.id)).status).toBe(201);
});

test('one spotter for two stations lacks one at either: that is not worse than before, unless the second was not spotted', async () => {
  const lesson = await aLesson(api);
  await aStationBeside(lesson, byHand(lesson, 1));
  expect((await adapt(lesson, await anEasierOne(lesson, 1))).status).toBe(201);
  const plain = await aLesson(api, { says: ({ hang }) => ({ steps: [aStep([hang.id])] }) });
  await anAssignment(plain.f, plain.block, await aSpotter(plain, 0), { duty: 'assist' });
  await aStationBeside(plain, byHand(plain, 1));
  const before = await writing(plain.f, plain.lead).aDrill({
    apparatusId: plain.f.apparatus.bars,
    name: 'Swing',
    spotting: { mode: 'stand-by', kindId: plain.kind.id, grade: 1 },
  });
  await plain.lead.post('/progressions', { easierId: before.id, harderId: plain.drills.hang.id });
  expect((await adapt(plain, before.id)).status).toBe(422);
});

describe('in three weeks, of which one has its coach', () => {
  /** Nothing is read of a day on which nobody is placed when a change touches many days. */
  async function threeWeeks(options: LessonOptions): Promise<Lesson> {
    const lesson = await aLesson(api, options);
    const { f, plan, session, drills } = lesson;
    await f.arrange((tx) => tx.delete(t.drillSkills).where(eq(t.drillSkills.drillId, drills.cast.id)));
    for (const day of ['2026-09-21', '2026-09-28']) {
      await aSession(f, { plan, class: session.class, day, groups: [4] });
    }
    return lesson;
  }
  const adaptFor = (per: 'gym' | 'class', { manager, gym, f, session, stationId }: Lesson, drillId: string) =>
    manager.post<Adaptation & { type: string; findings: { code: string }[] }>(`${gym}/adaptations`, {
      per,
      unitId: per === 'gym' ? f.gym.id : session.class.id,
      stationId,
      change: { kind: 'drill', drillId },
      reason: 'They are ready.',
    });

  test('a step up is refused where nobody is there to spot it', async () => {
    const lesson = await threeWeeks({ grade: 2 });
    const { status, body } = await adaptFor('class', lesson, lesson.drills.cast.id);
    expect([status, body.type]).toEqual([422, '/problems/not-covered']);
    expect(body.findings.map(({ code }) => code)).toContain('spotting');
  });

  test('so is an easier drill that has to be spotted, where the plan asks for nobody', async () => {
    const lesson = await threeWeeks({ says: ({ hang }) => ({ steps: [aStep([hang.id])] }) });
    const before = await writing(lesson.f, lesson.lead).aDrill({
      apparatusId: lesson.f.apparatus.bars,
      name: 'Swing',
      spotting: { mode: 'stand-by', kindId: lesson.kind.id, grade: 1 },
    });
    await lesson.lead.post('/progressions', { easierId: before.id, harderId: lesson.drills.hang.id });
    expect((await adaptFor('class', lesson, before.id)).status).toBe(422);
  });

  test('an easier drill stands where nobody was there to spot the plan’s either', async () => {
    const lesson = await threeWeeks({ grade: 1 });
    const { status, body } = await adaptFor('class', lesson, await anEasierOne(lesson, 1));
    expect([status, body.blockIds?.length]).toEqual([201, 3]);
  });

  test('what a wider unit says comes back nowhere that nobody may spot it', async () => {
    const lesson = await threeWeeks({ grade: 2 });
    const { f, manager, gym, coachId, drills } = lesson;
    const later = (table: typeof t.blocks | typeof t.assignments) =>
      and(eq(table.franchiseId, f.id), gt(table.day, '2026-09-14'));
    const blocks = await f.arrange((tx) => tx.select().from(t.blocks).where(later(t.blocks)));
    for (const block of blocks) await anAssignment(f, block, coachId, { day: block.day });
    expect((await adaptFor('gym', lesson, drills.cast.id)).status).toBe(201);
    const narrow = (await adaptFor('class', lesson, drills.hang.id)).body;
    await f.arrange((tx) => tx.delete(t.assignments).where(later(t.assignments)));
    expect((await manager.post(`${gym}/adaptations/${narrow.id}/undo`)).status).toBe(422);
  });
});
