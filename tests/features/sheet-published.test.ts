import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { LaidOutSessions, WholeSession } from '../../src/features/schedule/schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { aBlock, content, writing } from '../support/a-draft.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { aLesson } from '../support/a-lesson.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-01T08:00:00Z' });
});
afterAll(() => api.close());

const MONDAYS = ['2026-09-14', '2026-09-21', '2026-09-28'];

test('published once, a version is on the sheets of every gym from its week on, and the one before it until then', async () => {
  const f = await aFranchise(api, { gyms: 3 });
  await aRule(f, { body: oneTo(8) });
  const write = writing(f, api.as(f.lead));
  const { id: programmeId, levels } = await write.aProgramme();
  const [bronze = '', silver = ''] = levels.map(({ id }) => id);
  const drill = await write.aDrill();
  const saying = (name: string, classRule: string) =>
    content(aBlock([write.aStation([drill.id], { name })], { classRule }));
  const plan = await write.aDraft(programmeId);
  const { revision } = await write.write(plan.id, plan.draft.revision, saying('Long wedge', 'One at a time.'));
  await write.publish(plan.id, revision);

  const gyms = await Promise.all(
    f.gyms.map(async (gym) => {
      const manager = api.as(f.managerOf(gym));
      const at = `/gyms/${gym.id}`;
      const its = await aClass(f, {
        gym,
        programme: { id: programmeId, levels: [bronze, silver, silver] },
        levels: [bronze],
      });
      const span = { from: '2026-09-14', until: '2026-09-29' };
      const { body } = await manager.post<LaidOutSessions>(`${at}/classes/${its.id}/sessions`, span);
      expect(body.laidOut.map(({ day }) => day)).toEqual(MONDAYS);
      const taught = async (sessionId: string) => {
        const session = await manager.get<WholeSession>(`${at}/sessions/${sessionId}`);
        const layOut = { planId: plan.id };
        const done = await manager.post(`${at}/sessions/${sessionId}/lay-out`, layOut, {
          ifMatch: session.body.revision,
        });
        expect(done.status, done.text).toBe(200);
      };
      const sheets = () =>
        Promise.all(
          body.laidOut.map(async ({ id }) => {
            const path = `${at}/sessions/${id}/sheet`;
            const { plan: from, parts } = (await manager.get<LessonSheet>(path)).body;
            const said = parts.flatMap(({ classRule, stations }) => [classRule, ...stations.map(({ name }) => name)]);
            const { text } = await manager.get(`${path}.html`);
            return { version: from?.number, said, onPage: said.every((one) => text.includes(one)) };
          }),
        );
      return { ids: body.laidOut.map(({ id }) => id), taught, sheets };
    }),
  );
  for (const { ids, taught } of gyms) for (const id of ids) await taught(id);
  const before = { version: 1, said: ['One at a time.', 'Long wedge'], onPage: true };
  for (const { sheets } of gyms) expect(await sheets()).toEqual([before, before, before]);

  const publication = { effectiveWeek: '2026-09-21', note: 'The short wedge is steeper.' };
  await write.publishNext(plan.id, saying('Short wedge', 'Two at a time.'), publication);
  // What is laid out keeps its version until its gym lays it out anew: then each week has what is in effect in it.
  for (const { sheets } of gyms) expect(await sheets()).toEqual([before, before, before]);
  for (const { ids, taught } of gyms) for (const id of ids) await taught(id);
  const after = { version: 2, said: ['Two at a time.', 'Short wedge'], onPage: true };
  for (const { sheets } of gyms) expect(await sheets()).toEqual([before, after, after]);
});

test('of a session that took another version on its way, the sheet names the one it goes on with', async () => {
  const lesson = await aLesson(api);
  const { f, lead, manager, gym, session, plan, block, drills } = lesson;
  // What comes after the block that has ended by then.
  await f.arrange((tx) =>
    tx.execute(sql`UPDATE sessions SET ends_at = ends_at + interval '20 minutes' WHERE id = ${session.id}`),
  );
  await f.arrange((tx) =>
    tx.execute(sql`INSERT INTO blocks (franchise_id, id, gym_id, session_id, group_id, plan_version_id, plan_block_id, day,
        starts_at, ends_at)
      SELECT franchise_id, gen_random_uuid(), gym_id, session_id, group_id, plan_version_id, plan_block_id, day, ends_at,
        ends_at + interval '20 minutes'
      FROM blocks WHERE franchise_id = ${f.id} AND id = ${block.id}`),
  );
  const write = writing(f, lead);
  const station = write.aStation([drills.tuck.id], { name: 'High bar', apparatusId: f.apparatus.bars });
  const next = await write.publishNext(plan.id, content(aBlock([station], { title: 'Bars', minutes: 20 })));
  api.clock.set(block.endsAt.toISOString());
  const take = async (planVersionId: string) => {
    const { revision } = (await manager.get<WholeSession>(`${gym}/sessions/${session.id}`)).body;
    const path = `${gym}/sessions/${session.id}/take-plan-version`;
    const { status, text } = await manager.post(path, { planVersionId }, { ifMatch: revision });
    expect(status, text).toBe(200);
  };
  const named = async () => {
    const { body } = await manager.get<LessonSheet>(`${gym}/sessions/${session.id}/sheet`);
    return [body.plan?.number, body.parts.map(({ stations }) => stations[0]?.name)];
  };
  await take(next.id);
  expect(await named()).toEqual([2, ['Low bar', 'High bar']]);
  await take(plan.versionId);
  expect(await named()).toEqual([1, ['Low bar']]);
});
