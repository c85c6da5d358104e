import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { PlanDifferences } from '../../src/features/curriculum/briefing-schema.ts';
import type { WholePlanVersion } from '../../src/features/curriculum/plan-schema.ts';
import type { Programme } from '../../src/features/curriculum/schema.ts';
import type { WholeSession } from '../../src/features/schedule/schema.ts';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { events } from '../../src/platform/events/table.ts';
import * as t from '../../src/tables/index.ts';
import { aStep } from '../support/a-draft.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { type Api, openApi, type Sending } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

type Level = Programme['levels'][number];
const whatSpots = async ({ manager, gym, session }: Lesson) =>
  (await manager.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`)).body.parts.flatMap(({ stations }) =>
    stations.map(({ spotting }) => spotting),
  );
const doInstead = (lesson: Lesson, drillId: string) =>
  lesson.manager.post<Adaptation>(`${lesson.gym}/adaptations`, {
    per: 'block',
    unitId: lesson.block.id,
    stationId: lesson.stationId,
    reason: 'They are tired.',
    change: { kind: 'drill', drillId },
  });
/** Publishes the same plan again, and gives the answer. */
async function publishAgain({ lead, plan }: Lesson, dryRun = false) {
  const begun = (await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/versions`)).body;
  const publishing: Sending = { ifMatch: begun.revision, ...(dryRun && { dryRun }) };
  return (
    await lead.post<WholePlanVersion & Pick<PlanDifferences, 'differences'> & { spottingChanges: unknown[] }>(
      `/lesson-plans/${plan.id}/draft/publish`,
      {},
      publishing,
    )
  ).body;
}

test('what stays at a station when another drill is done there is spotted as it was published', async () => {
  const lesson = await aLesson(api, {
    says: ({ cast, tuck }) => ({ steps: [aStep([cast.id]), aStep([tuck.id])] }),
  });
  const { lead, drills, kind } = lesson;
  await lead.post('/progressions', { easierId: drills.hang.id, harderId: drills.cast.id });
  await lead.delete(`/progressions/${drills.hang.id}/${drills.tuck.id}`);
  await lead.delete(`/progressions/${drills.tuck.id}/${drills.cast.id}`);
  await lead.patch(`/drills/${drills.tuck.id}`, { spotting: { mode: 'none' } }, { ifMatch: 1 });
  const { status } = await doInstead(lesson, drills.hang.id);
  expect(status).toBe(201);
  expect(await whatSpots(lesson)).toMatchObject([{ mode: 'stand-by' }]);
  expect(
    await lesson.f.arrange((tx) =>
      tx
        .select({ spotting: t.blockStepDowns.spotting })
        .from(t.blockStepDowns)
        .where(eq(t.blockStepDowns.franchiseId, lesson.f.id)),
    ),
  ).toEqual([{ spotting: { mode: 'stand-by', kind: kind.id, grade: 1, skills: [] } }]);
});

test('another drill at a station goes with the version that it was done in place of, and comes back with it', async () => {
  const lesson = await aLesson(api);
  const { manager, gym, session, version, f } = lesson;
  const at = `${gym}/sessions/${session.id}`;
  await doInstead(lesson, lesson.drills.hang.id);
  expect(await whatSpots(lesson)).toMatchObject([{ mode: 'none' }]);
  const next = await publishAgain(lesson);
  const take = async (planVersionId: string) => {
    const { revision } = (await manager.get<WholeSession>(at)).body;
    const taken = await manager.post(`${at}/take-plan-version`, { planVersionId }, { ifMatch: revision });
    expect(taken.status, taken.text).toBe(200);
  };
  await take(next.id);
  expect(await whatSpots(lesson)).toMatchObject([{ mode: 'stand-by' }]);
  await take(version.id);
  expect(await whatSpots(lesson)).toMatchObject([{ mode: 'none' }]);
  const happened = await f.arrange((tx) =>
    tx.select({ data: events.data }).from(events).where(eq(events.subjectId, session.id)).orderBy(events.id),
  );
  expect(happened.map(({ data }) => data).filter((data) => 'steppedBack' in Object(data))).toEqual([
    { sessionId: session.id, planVersionId: next.id, steppedBack: [lesson.block.id] },
    { sessionId: session.id, planVersionId: version.id, steppedBack: [] },
  ]);
});

test('a version whose stations ask less of a spotter says so when it is published, and in the briefing', async () => {
  const lesson = await aLesson(api);
  const { lead, drills, plan, coach } = lesson;
  await lead.patch(`/drills/${drills.tuck.id}`, { spotting: { mode: 'none' } }, { ifMatch: 1 });
  const said = {
    kind: 'changed',
    what: 'station',
    field: 'spotting',
    pointer: '/blocks/0/stations/0/spotting',
    sentence:
      '“Bars”, station “Low bar”: who spots it is nobody now; it was stand-by, Hand spotting of grade 1 or higher. That is less than it was, or another qualification.',
  };
  const asked = await publishAgain(lesson, true);
  expect(asked.spottingChanges).toEqual([said]);
  const draft = (await lead.get<WholePlanVersion>(`/lesson-plans/${plan.id}/draft`)).body;
  const { body } = await lead.post(`/lesson-plans/${plan.id}/draft/publish`, {}, { ifMatch: draft.revision });
  expect(body.spottingChanges).toEqual([said]);
  const briefing = await coach.get<PlanDifferences>(`/lesson-plans/${plan.id}/versions/2/briefing`);
  expect(briefing.body.differences).toEqual([said]);
  const drafted = await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/versions`);
  expect(drafted.body.number).toBe(3);
  const unfixed = await lead.get<PlanDifferences>(`/lesson-plans/${plan.id}/versions/3/differences`);
  expect(unfixed.body.differences).toEqual([]);

  await lead.patch(`/drills/${drills.tuck.id}`, { spotting: drills.tuck.spotting }, { ifMatch: 2 });
  const back = await lead.post(`/lesson-plans/${plan.id}/draft/publish`, {}, { ifMatch: drafted.body.revision });
  expect(back.body.spottingChanges).toMatchObject([
    {
      sentence:
        '“Bars”, station “Low bar”: who spots it is stand-by, Hand spotting of grade 1 or higher now; it was nobody.',
    },
  ]);
});

test('publishing waits for a drill that somebody is changing, and fixes what it asks then', async () => {
  const lesson = await aLesson(api);
  const { lead, drills, plan } = lesson;
  const begun = (await lead.post<WholePlanVersion>(`/lesson-plans/${plan.id}/versions`)).body;
  const other = await api.database.ownerPool.connect();
  try {
    await other.query('BEGIN');
    await other.query("UPDATE drills SET spotting_mode = 'hands-on' WHERE id = $1", [drills.tuck.id]);
    const publishing = lead.post<WholePlanVersion>(
      `/lesson-plans/${plan.id}/draft/publish`,
      {},
      { ifMatch: begun.revision },
    );
    const waits = async () => {
      for (;;) {
        const { rowCount } = await api.database.ownerPool.query(
          `SELECT FROM pg_locks JOIN pg_stat_activity USING (pid)
           WHERE NOT granted AND datname = current_database()`,
        );
        if (rowCount) return;
      }
    };
    await Promise.race([publishing, waits()]);
    await other.query('COMMIT');
    const { body } = await publishing;
    expect(body.blocks[0]?.stations[0]?.spotting).toMatchObject({ mode: 'hands-on' });
  } finally {
    other.release();
  }
});

test('a drill whose levels have been put in another order since can still be changed', async () => {
  const { lead, plan, drills } = await aLesson(api);
  const { id, name, levels, revision } = (await lead.get<Programme>(`/programmes/${plan.programme.id}`)).body;
  const [bronze, silver] = levels as [Level, Level];
  const range = { programmeId: id, fromLevelId: bronze.id, toLevelId: silver.id };
  await lead.patch(`/drills/${drills.hang.id}`, { levels: [range] }, { ifMatch: 1 });
  await lead.put(`/programmes/${id}`, { name, levels: [silver, bronze] }, { ifMatch: revision });
  const changed = await lead.patch(`/drills/${drills.hang.id}`, { sayFirst: 'Toes in sight.' }, { ifMatch: 2 });
  expect(changed.status, changed.text).toBe(200);
  const again = await lead.patch(`/drills/${drills.hang.id}`, { levels: [range] }, { ifMatch: 3 });
  expect(again.body.errors[0]?.pointer).toBe('/levels/0/toLevelId');
  const { text } = await lead.get<string>('/drill-export.jsonl');
  const rows = text
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
  expect(rows.find((row) => row.name === 'Long hang').levels).toEqual([
    { programme: name, from: 'Silver', to: 'Bronze' },
  ]);
  const report = await lead.post('/drill-imports', { format: 'jsonl', text, existing: 'replace' });
  expect(report.body.faults).toEqual([]);
});

test('no more is out of use than stands in the area, and that nothing is can always be said', async () => {
  const { f, gym } = await aLesson(api);
  const owner = api.as(f.owner);
  const area = `${gym}/areas/${f.gym.areas.beam}`;
  const out = (items: number) =>
    owner.put(`${area}/out-of-use`, { apparatusId: f.apparatus.beam, items, why: 'Torn.' });
  const standing = (items: number, revision: number) =>
    owner.patch(
      area,
      { apparatus: items > 0 ? [{ apparatusId: f.apparatus.beam, items }] : [] },
      { ifMatch: revision },
    );
  expect((await standing(3, 1)).status).toBe(200);
  expect((await out(3)).status).toBe(200);
  await standing(1, 2);
  await standing(4, 3);
  const stock = (await owner.get<{ items: { apparatusId: string; outOfUse: number }[] }>(`${gym}/equipment`)).body
    .items;
  expect(stock.find(({ apparatusId }) => apparatusId === f.apparatus.beam)?.outOfUse).toBe(1);
  await standing(0, 4);
  expect((await out(0)).status).toBe(200);
  await standing(4, 5);
  const none = (await owner.get<{ items: { apparatusId: string; outOfUse: number }[] }>(`${gym}/equipment`)).body.items;
  expect(none.find(({ apparatusId }) => apparatusId === f.apparatus.beam)?.outOfUse).toBe(0);
});
