import { and, eq } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, aSession, type TestSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { athletes } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

const enrolAs = (f: Franchise, { class: { id } }: TestSession, category: string) =>
  f.arrange((tx) =>
    tx
      .update(t.enrolments)
      .set({ category })
      .where(and(eq(t.enrolments.franchiseId, f.id), eq(t.enrolments.classId, id))),
  );

const bandOf = (category: string, perCoach: number) => ({ ...oneTo(perCoach).bands![0]!, id: category, category });

test.each([
  ['17:00', '19:00'],
  ['19:00', '17:00'],
])(
  'four children in two classes of a day, “school” at %s and “kindergarten” at %s, need one coach and four',
  async (asSchool, asKindergarten) => {
    const f = await aFranchise(api);
    await aRule(f, { body: { bands: [bandOf('kindergarten', 1), bandOf('school', 4)] } });
    const four = await athletes(f, 4);
    const school = await aSession(f, { startsAt: asSchool, groups: [four] });
    const { plan } = school;
    const other = await aClass(f, { programme: plan.programme, startsAt: asKindergarten });
    const kindergarten = await aSession(f, { class: other, plan, groups: [four] });
    await enrolAs(f, school, 'school');
    await enrolAs(f, kindergarten, 'kindergarten');

    for (const [session, band, needed] of [
      [school, 'school', 1],
      [kindergarten, 'kindergarten', 4],
    ] as const) {
      const cover = await api.as(f.managerOf(f.gym)).get(`/gyms/${f.gym.id}/blocks/${session.blocks[0]!.id}/cover`);
      const count = { needed, load: String(needed), band: expect.stringContaining(band) };
      expect(cover.body).toMatchObject({ segments: [{ counts: [count] }] });
    }
  },
);
