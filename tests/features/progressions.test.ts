import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import type { HeightLadder, LeadUp, UnledSkill } from '../../src/features/curriculum/lead-up-schema.ts';
import type { Drill, Programme, SentDrill } from '../../src/features/curriculum/schema.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';
import { aDrill, aSkill } from '../support/drills.ts';

let api: Api;
let f: Franchise;
let lead: Caller;
let coach: Caller;
beforeAll(async () => {
  api = await openApi();
});
beforeEach(async () => {
  f = await aFranchise(api);
  lead = api.as(f.lead);
  coach = api.as(f.coachOf(f.gym));
});
afterAll(() => api.close());

const drill = (more: Partial<SentDrill> = {}) => aDrill(lead, f, more);
const link = (easier: Drill, harder: Drill, kind?: 'height') =>
  lead.post('/progressions', { easierId: easier.id, harderId: harder.id, ...(kind && { kind }) });
/** Each leads to the next. */
async function chain(...drills: Drill[]) {
  for (const [at, harder] of drills.slice(1).entries()) expect((await link(drills[at]!, harder)).status).toBe(201);
}
const retire = (one: Drill) => lead.patch(`/drills/${one.id}`, { retired: true }, { ifMatch: one.revision });

interface Related {
  items: { stepsAway: number; drill: Drill }[];
  next: string | null;
}
const related = async (one: Drill, way: 'easier' | 'harder', query = '') => {
  const { body } = await coach.get<Related>(`/drills/${one.id}/${way}?limit=200${query}`);
  return body.items.map(({ stepsAway, drill }) => [stepsAway, drill.id]);
};

test('progressions never go round in a circle, and the circle is named by its drills in order', async () => {
  const [low, middle, high] = [
    await drill({ name: 'Low' }),
    await drill({ name: 'Middle' }),
    await drill({ name: 'High' }),
  ];
  const first = { easierId: low.id, harderId: middle.id };
  const added = await lead.post('/progressions', first);
  expect([added.status, added.body]).toEqual([201, { ...first, kind: 'skill' }]);
  await chain(middle, high);
  expect((await lead.post('/progressions', first)).status).toBe(409);

  const round = await link(high, low);
  expect(round.status).toBe(422);
  expect(round.body).toMatchObject({
    type: '/problems/progression-cycle',
    cycle: [low.id, middle.id, high.id],
    names: ['Low', 'Middle', 'High'],
    detail: 'It would go round in a circle: "Low", then "Middle", then "High", then "Low".',
  });
  const itself = await link(low, low);
  expect([itself.body.cycle, itself.body.detail]).toEqual([[low.id], '"Low" cannot lead to itself.']);
  expect((await coach.get(`/progressions?drillId=${low.id}`)).body.items).toEqual([{ ...first, kind: 'skill' }]);
  const nobody = await lead.post('/progressions', { easierId: low.id, harderId: f.id });
  expect(nobody.body.errors).toEqual([{ pointer: '/harderId', detail: 'This is no drill of the franchise.' }]);
  expect((await lead.post('/progressions', { easierId: f.id, harderId: low.id })).body.errors[0]?.pointer).toBe(
    '/easierId',
  );

  expect((await lead.delete(`/progressions/${low.id}/${middle.id}`)).status).toBe(204);
  expect((await lead.delete(`/progressions/${low.id}/${middle.id}`)).status).toBe(404);
  expect((await link(high, low)).status).toBe(201);
});

test('of progressions drawn at once that would close a circle together, one is refused', async () => {
  const ring: Drill[] = [];
  for (let at = 0; at < 6; at += 1) ring.push(await drill());
  const answers = await Promise.all(ring.map((one, at) => link(one, ring[(at + 1) % ring.length]!)));
  expect(answers.map(({ status }) => status).sort()).toEqual([201, 201, 201, 201, 201, 422]);
  const refused = answers.findIndex(({ status }) => status === 422);
  const from = (refused + 1) % ring.length;
  expect(answers[refused]?.body.cycle).toEqual([...ring.slice(from), ...ring.slice(0, from)].map(({ id }) => id));
});

test('what is easier and what is harder, nearest first, by level, without what is retired', async () => {
  const levels = [{ name: 'Acorn' }, { name: 'Oak' }];
  const programme = (await lead.post<Programme>('/programmes', { name: 'Recreational', levels })).body;
  const [acorn, oak] = programme.levels.map(({ id }) => id);
  const forLevel = (id = '') => [{ programmeId: programme.id, fromLevelId: id, toLevelId: id }];
  const a = await drill({ levels: forLevel(acorn) });
  const b = await drill({ levels: forLevel(acorn) });
  const c = await drill({ levels: forLevel(oak) });
  const d = await drill();
  await chain(a, b, c, d);
  await link(a, c);
  expect(await related(d, 'easier')).toEqual([
    [1, c.id],
    [2, a.id],
    [2, b.id],
  ]);
  expect(await related(d, 'easier', `&levelId=${acorn}`)).toEqual([
    [2, a.id],
    [2, b.id],
  ]);
  expect(await related(a, 'harder', `&levelId=${oak}`)).toEqual([
    [1, c.id],
    [2, d.id],
  ]);
  const first = (await coach.get<Related>(`/drills/${a.id}/harder?limit=2`)).body;
  const second = (await coach.get<Related>(`/drills/${a.id}/harder?limit=2&cursor=${first.next}`)).body;
  expect([...first.items, ...second.items].map(({ stepsAway, drill }) => [stepsAway, drill.id])).toEqual([
    [1, b.id],
    [1, c.id],
    [2, d.id],
  ]);
  expect(second.next).toBeNull();
  await retire(c);
  expect(await related(a, 'harder')).toEqual([[1, b.id]]);
  expect((await coach.get(`/drills/${f.id}/easier`)).status).toBe(404);
});

test('a height ladder goes from the floor up, each rung with its drills, and a step on it only goes up', async () => {
  const [line, low, full] = [
    await drill({ height: 'floor' }),
    await drill({ height: 'low' }),
    await drill({ height: 'full' }),
  ];
  const other = await drill({ height: 'low' });
  const plain = await drill();
  for (const [easier, harder] of [
    [line, low],
    [low, full],
    [line, other],
  ] as const) {
    expect((await link(easier, harder, 'height')).status).toBe(201);
  }
  await chain(plain, line);
  const ladder = async (of: Drill) => (await coach.get<HeightLadder>(`/drills/${of.id}/height-ladder`)).body.rungs;
  const whole = [
    ['floor', [line.id]],
    ['low', [low.id, other.id]],
    ['full', [full.id]],
  ];
  for (const from of [line, full, other]) {
    expect((await ladder(from)).map(({ height, drills }) => [height, drills.map(({ id }) => id)])).toEqual(whole);
  }
  expect(await ladder(plain)).toEqual([]);
  expect((await coach.get(`/progressions?kind=height&drillId=${line.id}`)).body.items).toHaveLength(2);

  for (const [easier, harder] of [
    [other, low],
    [full, other],
    [plain, full],
  ] as const) {
    expect((await link(easier, harder, 'height')).body.errors[0]?.pointer).toBe('/kind');
  }
  const change = (height: Drill['height']) => lead.patch(`/drills/${low.id}`, { height }, { ifMatch: 1 });
  for (const height of ['floor', 'full', null] as const) {
    const refused = await change(height);
    expect([refused.status, refused.body.errors[0]?.pointer]).toEqual([422, '/height']);
  }
  expect((await change('low')).status).toBe(200);
  await lead.delete(`/progressions/${low.id}/${full.id}`);
  const up = await lead.patch<Drill>(`/drills/${low.id}`, { height: 'full' }, { ifMatch: 2 });
  expect(up.body.height).toBe('full');
});

test('the shortest way up to a skill begins at the beginning, or at what they can do already', async () => {
  const skillId = await aSkill(lead, f);
  const teaches = { skills: [{ skillId, signOff: null }] };
  const [a, b, c] = [await drill(), await drill(), await drill()];
  const goal = await drill(teaches);
  const shorter = await drill();
  const wayTo = async (query = '') => {
    const { body } = await coach.get<LeadUp>(`/skills/${skillId}/lead-up${query}`);
    return body.way.map(({ id }) => id);
  };
  expect(await wayTo()).toEqual([goal.id]);
  await chain(a, b, c, goal);
  expect(await wayTo()).toEqual([a.id, b.id, c.id, goal.id]);
  await chain(shorter, c);
  expect(await wayTo()).toEqual([shorter.id, c.id, goal.id]);
  expect(await wayTo(`?fromDrillId=${b.id}`)).toEqual([b.id, c.id, goal.id]);
  const alone = await drill(teaches);
  expect(await wayTo()).toEqual([shorter.id, c.id, goal.id]);
  expect(await wayTo(`?fromDrillId=${alone.id}`)).toEqual([alone.id]);
  expect(await wayTo(`?fromDrillId=${(await drill()).id}`)).toEqual([]);
  await retire(shorter);
  expect(await wayTo()).toEqual([a.id, b.id, c.id, goal.id]);
  expect((await coach.get(`/skills/${f.id}/lead-up`)).status).toBe(404);
  expect((await coach.get(`/skills/${skillId}/lead-up?fromDrillId=${f.id}`)).status).toBe(404);
});

test('the skills that nothing leads to are found, with why', async () => {
  const [led, alone, untaught] = [await aSkill(lead, f), await aSkill(lead, f), await aSkill(lead, f)];
  const before = await drill();
  const teaching = await drill({ skills: [{ skillId: led, signOff: null }] });
  await chain(before, teaching);
  await drill({ skills: [{ skillId: alone, signOff: null }] });
  const unled = async () => {
    const found: [string, string][] = [];
    let next: string | null = '';
    while (next !== null) {
      const query: string = next && `&cursor=${next}`;
      const { body } = await coach.get<{ items: UnledSkill[]; next: string | null }>(
        `/skills-without-lead-up?limit=1${query}`,
      );
      found.push(...body.items.map(({ skillId, why }): [string, string] => [skillId, why]));
      next = body.next;
    }
    return found;
  };
  const open: [string, string][] = [
    [alone, 'no-lead-up'],
    [untaught, 'no-drill'],
  ];
  expect(await unled()).toEqual(open);
  await retire(before);
  expect(await unled()).toEqual([[led, 'no-lead-up'], ...open]);
});
