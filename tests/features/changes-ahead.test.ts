import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { aFranchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo, ruleBody } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi, type Sending } from '../support/api.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** Two weeks of eight children with one coach each, confirmed, under one to eight. */
async function twoWeeks() {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const ruleId = await aRule(f);
  const plan = await aPublishedPlan(f);
  const of = await aClass(f, { programme: plan.programme });
  const blocks: string[] = [];
  for (const day of ['2026-09-14', '2026-09-21']) {
    const session = await aSession(f, { plan, class: of, groups: [8], day, confirmed: true });
    await anAssignment(f, session.blocks[0]!, await aStaffMember(f), { day });
    blocks.push(session.blocks[0]!.id);
  }
  return { f, ruleId, plan, blocks, owner: api.as(f.owner) };
}
type Weeks = Awaited<ReturnType<typeof twoWeeks>>;
interface Settled {
  settled: {
    released: object[];
    unconfirmed: { blockId: string; remedies: object[] }[];
    atOtherGyms: number;
    notListed: number;
  };
}

const confirmedOf = async ({ f }: Weeks) => {
  const { rows } = await api.database.ownerPool.query(
    'SELECT id FROM blocks WHERE franchise_id = $1 AND confirmed_at IS NOT NULL ORDER BY day',
    [f.id],
  );
  return rows.map(({ id }) => id);
};

const strict = { ...ruleBody(oneTo(4)), strength: 'refuse' };
const { source: _, ...written } = strict;

type Change = (weeks: Weeks, sending: Sending) => ReturnType<Caller['post']>;
const CHANGES: [string, number, Change][] = [
  [
    'a rule is added',
    201,
    ({ owner }, sending) =>
      owner.post('/ratio-rules', { name: 'One to four', rule: written, from: '2026-09-08' }, sending),
  ],
  [
    'a rule is changed',
    201,
    ({ owner, ruleId }, sending) =>
      owner.post(
        `/ratio-rules/${ruleId}/versions`,
        { name: 'One to four', rule: written, from: '2026-09-08' },
        { ...sending, ifMatch: 1 },
      ),
  ],
  [
    'a published table is adopted',
    201,
    ({ owner }, sending) => owner.post('/ratio-rules', { standard: 'aca-overnight', from: '2026-09-08' }, sending),
  ],
  [
    'a plan is withdrawn',
    200,
    ({ owner, plan }, sending) =>
      owner.post(`/lesson-plans/${plan.id}/versions/1/withdraw`, { reason: 'The mats part.' }, sending),
  ],
  [
    'who may lead is changed',
    200,
    ({ owner }, sending) =>
      owner.put('/duty-rules/lead', { who: { test: 'age', atLeastYears: 60 } }, { ...sending, ifMatch: 1 }),
  ],
];

describe.each(CHANGES)('when %s', (_name, status, change) => {
  test('a dry run shows first what it would uncover in the weeks ahead, and then it does that', async () => {
    const weeks = await twoWeeks();
    const asked = (await change(weeks, { dryRun: true })) as unknown as { status: number; text: string; body: Settled };
    expect(asked.status, asked.text).toBe(status);
    const { settled } = asked.body;
    expect(settled.unconfirmed.map(({ blockId }) => blockId)).toEqual(weeks.blocks);
    expect(settled).toMatchObject({ atOtherGyms: 0, notListed: 0 });
    expect(await confirmedOf(weeks)).toEqual(weeks.blocks);

    const done = (await change(weeks, {})) as unknown as { status: number; body: Settled };
    expect(done.status).toBe(status);
    expect(done.body.settled.unconfirmed.map(({ blockId }) => blockId)).toEqual(weeks.blocks);
    expect(done.body.settled.released).toHaveLength(settled.released.length);
    expect(await confirmedOf(weeks)).toEqual([]);
  });
});

test('a kind of qualification that ends: shown first, then done, for the days from then on', async () => {
  const f = await aFranchise(api, { confirmWindowDays: 0 });
  const kind = await aQualificationKind(f);
  const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ handsOn: { kind } }] }] });
  const of = await aClass(f, { programme: plan.programme });
  const blocks: string[] = [];
  for (const day of ['2026-09-14', '2026-09-21']) {
    const session = await aSession(f, { plan, class: of, groups: [2], day, confirmed: true });
    await anAssignment(f, session.blocks[0]!, await aStaffMember(f, { holds: [{ kind }] }), { day });
    blocks.push(session.blocks[0]!.id);
  }
  const end = (sending: Sending) =>
    api
      .as(f.owner)
      .patch<Settled>(`/qualification-kinds/${kind.id}`, { until: '2026-09-21' }, { ...sending, ifMatch: 1 });
  const asked = await end({ dryRun: true });
  expect(asked.body.settled.unconfirmed.map(({ blockId }) => blockId)).toEqual(blocks.slice(1));
  const done = await end({});
  expect(done.body).toMatchObject({ until: '2026-09-21', settled: { unconfirmed: [{ blockId: blocks[1] }] } });
  const left = await api.as(f.owner).get<{ items: { id: string; until: string | null }[] }>('/qualification-kinds');
  expect(left.body.items.find(({ id }) => id === kind.id)?.until).toBe('2026-09-21');
});

test('what begins in a fortnight leaves this week alone, and a rule that only warns uncovers nothing', async () => {
  const weeks = await twoWeeks();
  const ask = (body: object) =>
    weeks.owner.post<Settled>('/ratio-rules', { name: 'One to four', ...body }, { dryRun: true });
  const later = await ask({ rule: written, from: '2026-09-21' });
  expect(later.body.settled.unconfirmed.map(({ blockId }) => blockId)).toEqual(weeks.blocks.slice(1));
  const warning = await ask({ rule: { ...written, strength: 'warn' }, from: '2026-09-08' });
  expect(warning.body.settled.unconfirmed).toEqual([]);
});

test('a fact that reaches more blocks than a list holds says how many more', async () => {
  const weeks = await twoWeeks();
  const [block] = weeks.blocks;
  // Many more of the same group, a second each.
  await weeks.f.arrange((tx) =>
    tx.execute(`INSERT INTO blocks (franchise_id, id, gym_id, session_id, group_id, plan_version_id, plan_block_id, day, starts_at, ends_at, confirmed_at)
      SELECT franchise_id, gen_random_uuid(), gym_id, session_id, group_id, plan_version_id, plan_block_id, day,
        ends_at + make_interval(secs => n), ends_at + make_interval(secs => n + 1), now()
      FROM blocks, generate_series(0, 509) n WHERE id = '${block}'`),
  );
  const { status, body } = await weeks.owner.post<Settled>(
    `/lesson-plans/${weeks.plan.id}/versions/1/withdraw`,
    { reason: 'The mats part.' },
    { dryRun: true },
  );
  expect(status).toBe(200);
  expect([body.settled.unconfirmed.length, body.settled.notListed]).toEqual([500, 12]);
});
