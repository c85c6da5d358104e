import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { PlanChecks } from '../../src/features/curriculum/checks/schema.ts';
import { aBlock, content, writing } from '../support/a-draft.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aProgramme } from '../support/a-plan.ts';
import { aClass } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

const MONDAY = '2026-09-14';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** A franchise with one class and a plan for it, and what that plan's checks say was not looked at. */
async function oneClassWithItsPlan() {
  const f = await aFranchise(api);
  const lead = api.as(f.lead);
  const lessons = writing(f, lead);
  const programme = await aProgramme(f);
  await aClass(f, { programme });
  const plan = await lessons.aDraft(programme.id, MONDAY);
  const { id } = await lessons.aDrill({ places: 8 });
  await lessons.write(plan.id, plan.draft.revision, content(aBlock([lessons.aStation([id])])));
  const unchecked = async (about: string) => {
    const answer = await lead.get<PlanChecks>(`/lesson-plans/${plan.id}/versions/1/checks`);
    expect(answer.status, answer.text).toBe(200);
    return answer.body.unchecked.filter(({ check }) => check === about).map(({ sentence }) => sentence);
  };
  return { f, unchecked };
}

/** So many more classes, each of a programme of its own, which has a published plan for the week where it is asked for. */
const others = (f: Franchise, many: number, planned: boolean) =>
  f.arrange(async (tx) => {
    const us = sql`${f.id}::uuid`;
    await tx.execute(sql`CREATE TEMP TABLE made ON COMMIT DROP AS
      SELECT n, gen_random_uuid() AS programme, gen_random_uuid() AS plan FROM generate_series(1, ${many}::int) n`);
    await tx.execute(
      sql`INSERT INTO programmes (franchise_id, id, name) SELECT ${us}, programme, 'P ' || programme FROM made`,
    );
    await tx.execute(sql`
      INSERT INTO classes (franchise_id, id, gym_id, name, programme_id, weekday, starts_at, duration_minutes, capacity, from_day)
      SELECT ${us}, gen_random_uuid(), ${f.gym.id}::uuid, 'Class ' || n, programme, 5, '09:00', 60, 8, '2026-08-31' FROM made`);
    if (!planned) return;
    await tx.execute(sql`INSERT INTO lesson_plans (franchise_id, id, title, week_of)
      SELECT ${us}, plan, 'Plan ' || n, ${MONDAY}::date FROM made`);
    await tx.execute(sql`INSERT INTO lesson_plan_programmes (franchise_id, plan_id, programme_id)
      SELECT ${us}, plan, programme FROM made`);
    await tx.execute(sql`INSERT INTO plan_versions (franchise_id, id, plan_id, number, state, published_at)
      SELECT ${us}, gen_random_uuid(), plan, 1, 'published', now() FROM made`);
  });

describe('the checks say what they did not look at', () => {
  test('plans of other classes beyond sixty, which are not taken for having none', async () => {
    const { f, unchecked } = await oneClassWithItsPlan();
    await others(f, 60, true);
    expect(await unchecked('equipment')).toEqual([]);
    await others(f, 2, true);
    expect(await unchecked('equipment')).toEqual([
      expect.stringMatching(
        /^2 other classes have plans that were not read, because these gyms have so many that week; what they use is not counted: “Class \d+” .*\.$/,
      ),
    ]);
  });

  test('classes beyond five thousand; the plan’s own are looked at first', async () => {
    const { f, unchecked } = await oneClassWithItsPlan();
    await others(f, 4999, false);
    const ageless = expect.stringContaining('“Monday tumblers”');
    expect(await unchecked('time')).toEqual([ageless]);
    await others(f, 1, false);
    expect(await unchecked('time')).toEqual([
      ageless,
      '1 more class is on in that week than can be looked at: nothing was checked against it.',
    ]);
  });
});
