import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import * as t from '../../src/tables/index.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Edge {
  code: string;
  sentence: string;
  what: string;
  id: string;
}
interface Segment {
  startsAt: string;
  endsAt: string;
  covered: boolean;
  because: Edge[];
  until: Edge[];
  findings: { code: string; sentence: string }[];
  supervised: unknown[];
  youngStaff: unknown[];
}
interface Timeline {
  unit: { per: string; id: string };
  name: string;
  covered: boolean;
  segments: Segment[];
}
interface SessionTimeline {
  sessionId: string;
  day: string;
  units: Timeline[];
}
const codes = (edges: Edge[]) => edges.map(({ code }) => code);

describe('over time', () => {
  test('a session says when its cover changes, and why', async () => {
    const f = await aFranchise(api);
    await aRule(f);
    const session = await aSession(f, { groups: [9] });
    const [block] = session.blocks;
    const [ana, ben] = [await aStaffMember(f, { given: 'Ana' }), await aStaffMember(f, { given: 'Ben' })];
    await anAssignment(f, block!, ana);
    const half = new Date(block!.startsAt.getTime() + 10 * 60_000);
    await anAssignment(f, { ...block!, endsAt: half }, ben, { duty: 'assist' });
    const { status, body } = await api
      .as(f.managerOf(f.gym))
      .get<SessionTimeline>(`/gyms/${f.gym.id}/sessions/${session.id}/cover/timeline`);
    expect(status).toBe(200);
    expect(body.units.map(({ unit }) => unit.per)).toEqual(['session', 'block']);
    const [, beam] = body.units;
    expect(beam?.covered).toBe(false);
    expect(beam?.segments.map(({ covered, startsAt, endsAt }) => [covered, startsAt, endsAt])).toEqual([
      [true, block!.startsAt.toISOString(), half.toISOString()],
      [false, half.toISOString(), block!.endsAt.toISOString()],
    ]);
    expect(codes(beam!.segments[0]!.because)).toContain('block-starts');
    expect(beam?.segments[0]?.until).toEqual([
      { code: 'staff-go', sentence: 'Ben Byrne leaves their place.', what: 'staff', id: ben },
    ]);
    expect(beam?.segments[1]?.because).toEqual(beam?.segments[0]?.until);
    expect(codes(beam!.segments[1]!.until)).toContain('block-ends');
    expect(beam?.segments[1]?.findings[0]?.sentence).toMatch(/17:10 to 17:20: 9 athletes .* need 2 coaches/);
  });

  test('a station’s turn and a break are edges with a name', async () => {
    const f = await aFranchise(api);
    const kind = await aQualificationKind(f);
    const plan = await aPublishedPlan(f, {
      blocks: [{ inTurn: true, stations: [{}, { handsOn: { kind } }] }],
    });
    const session = await aSession(f, { plan, groups: [2] });
    const [block] = session.blocks;
    const ana = await aStaffMember(f, { given: 'Ana', holds: [{ kind }] });
    const at = (minutes: number) => new Date(block!.startsAt.getTime() + minutes * 60_000);
    await anAssignment(f, { ...block!, endsAt: at(12) }, ana);
    await anAssignment(f, { ...block!, startsAt: at(15) }, ana);
    const { body } = await api
      .as(f.owner)
      .get<SessionTimeline>(`/gyms/${f.gym.id}/sessions/${session.id}/cover/timeline`);
    const segments = body.units[1]!.segments;
    expect(segments.map(({ covered, because }) => [covered, codes(because).sort()])).toEqual([
      [true, ['athlete-comes', 'athlete-comes', 'block-starts', 'staff-come', 'station-starts']],
      [true, ['station-ends', 'station-starts']],
      [false, ['break-starts']],
      [true, ['break-ends']],
    ]);
    expect(segments[2]?.because[0]?.sentence).toBe('Ana Byrne has a break.');
  });

  test('a day has the premises, its sessions and its blocks, paged, and can be narrowed', async () => {
    const f = await aFranchise(api);
    await aRule(f, { name: 'Two in the building', body: aloneWithNobody });
    const session = await aSession(f, { groups: [3], confirmed: true });
    const [block] = session.blocks;
    await anAssignment(f, block!, await aStaffMember(f));
    const owner = api.as(f.owner);
    const path = `/gyms/${f.gym.id}/days/${session.day}/cover/timeline`;
    const first = await owner.get<{ items: Timeline[]; next: string | null }>(`${path}?limit=2`);
    expect(first.body.items.map(({ unit }) => unit.per)).toEqual(['premises', 'session']);
    const [premises] = first.body.items;
    expect(premises?.segments.map(({ covered }) => covered)).toEqual([true, false, true]);
    expect(codes(premises!.segments[0]!.because)).toEqual(['day-begins']);
    expect(codes(premises!.segments[1]!.because)).toContain('block-starts');
    expect(premises?.segments[1]?.findings).toMatchObject([{ code: 'floor' }]);
    const second = await owner.get<{ items: Timeline[]; next: string | null }>(
      `${path}?limit=2&cursor=${first.body.next}`,
    );
    expect(second.body).toMatchObject({ items: [{ unit: { per: 'block', id: block!.id } }], next: null });
    const short = await owner.get<{ items: Timeline[] }>(`${path}?uncovered=true`);
    expect(short.body.items.map(({ unit }) => unit.per)).toEqual(['premises']);
    const blocks = await owner.get<{ items: Timeline[] }>(`${path}?per=block`);
    expect(blocks.body.items.map(({ unit }) => unit.per)).toEqual(['block']);
  });

  test('a cancelled session has none', async () => {
    const f = await aFranchise(api);
    const session = await aSession(f, { groups: [1] });
    await f.arrange((tx) =>
      tx.execute(`UPDATE sessions SET cancelled_at = now(), cancelled_why = 'snow' WHERE id = '${session.id}'`),
    );
    const owner = api.as(f.owner);
    for (const path of ['cover/timeline', 'headroom']) {
      const { status, body } = await owner.get(`/gyms/${f.gym.id}/sessions/${session.id}/${path}`);
      expect([status, body.type]).toEqual([409, '/problems/conflict']);
    }
  });
});

/** Common practice, no source: never one adult alone with children. */
const aloneWithNobody = {
  per: 'premises' as const,
  counts: [],
  floors: [
    {
      fromAthletes: 1,
      toAthletes: null,
      posts: [{ people: 2, who: { test: 'age' as const, atLeastYears: 18 } }],
    },
  ],
};

describe('on the premises', () => {
  test('nobody alone with children: one is not enough, a floater is, and confirming says so', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    await aRule(f, { name: 'Nobody alone with children', body: aloneWithNobody });
    const session = await aSession(f, { groups: [3] });
    const [block] = session.blocks;
    const ben = f.coachOf(f.gym).personId;
    await anAssignment(f, block!, await aStaffMember(f, { given: 'Ana' }));
    const manager = api.as(f.managerOf(f.gym));
    const gym = `/gyms/${f.gym.id}`;
    const refused = await manager.post(`${gym}/blocks/${block!.id}/confirm`);
    expect(refused.body).toMatchObject({
      type: '/problems/not-covered',
      findings: [{ code: 'floor', unit: { per: 'premises', id: f.gym.id }, short: '1' }],
    });
    const floater = refused.body.remedies.find(({ request }) =>
      (request as { path: string } | null)?.path.endsWith('/premises/assignments'),
    ) as { request: { path: string; body: object } };
    expect(floater.request.body).toMatchObject({ personId: ben });
    const taken = await manager.post(floater.request.path.replace('/v1', ''), floater.request.body);
    expect(taken.status).toBe(201);
    expect((await manager.post(`${gym}/blocks/${block!.id}/confirm`)).status).toBe(200);
    const day = await manager.get<{ items: Timeline[] }>(`${gym}/days/${session.day}/cover/timeline?per=premises`);
    expect(day.body.items[0]?.covered).toBe(true);
  });

  test.each(['first-aid', 'leading'] as const)('somebody who holds %s has to be in the building', async (countsFor) => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(f, { countsFor: [countsFor], grades: ['held'] });
    const holder = { test: 'holds' as const, kind: kind.id, grade: 1 };
    await aRule(f, {
      body: {
        per: 'premises',
        counts: [],
        floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 1, who: holder }] }],
      },
    });
    const session = await aSession(f, { groups: [3] });
    const [block] = session.blocks;
    await anAssignment(f, block!, await aStaffMember(f, { given: 'Ana' }));
    const manager = api.as(f.managerOf(f.gym));
    const confirm = `/gyms/${f.gym.id}/blocks/${block!.id}/confirm`;
    const refused = await manager.post(confirm);
    expect(refused.body).toMatchObject({
      type: '/problems/not-covered',
      nearest: [{ code: 'floor', short: '1', qualification: { kindId: kind.id, grade: 1 }, blockIds: [block!.id] }],
    });
    const zoe = await aStaffMember(f, { given: 'Zoe', holds: [{ kind }] });
    const again = await manager.post(confirm);
    expect(again.body.remedies[0]).toMatchObject({ clears: true, kind: 'move', request: { body: { personId: zoe } } });
    const { request } = again.body.remedies[0] as { request: { path: string; body: object } };
    expect((await manager.post(request.path.replace('/v1', ''), request.body)).status).toBe(201);
    expect((await manager.post(confirm)).status).toBe(200);
  });
});

describe('trainees', () => {
  test('who supervises whom is told, and one under age is looked after as a child', async () => {
    const f = await aFranchise(api);
    const trainee = await aQualificationKind(f, { countsFor: ['other'], grades: ['begun'] });
    await aRule(f, {
      name: 'One to eight, trainees in sight',
      body: {
        ...oneTo(8),
        counts: [{ who: { test: 'age', atLeastYears: 18 }, share: '1', maxOf: null }],
        supervision: [
          {
            supervisor: { test: 'age', atLeastYears: 18 },
            anyOf: [[{ who: { test: 'holds', kind: trainee.id, grade: 1 }, max: 1 }]],
          },
        ],
        staffBelowYearsAreAthletes: 16,
      },
    });
    const session = await aSession(f, { groups: [8] });
    const [block] = session.blocks;
    const ana = await aStaffMember(f, { given: 'Ana' });
    // Sixteen and fifteen on the day.
    const kit = await aStaffMember(f, { given: 'Kit', born: '2010-01-01', holds: [{ kind: trainee }] });
    await anAssignment(f, block!, ana);
    await anAssignment(f, block!, kit, { duty: 'assist' });
    const path = `/gyms/${f.gym.id}/blocks/${block!.id}/cover`;
    const rule = expect.any(String);
    const owner = api.as(f.owner);
    const before = await owner.get<{ segments: Segment[]; covered: boolean }>(path);
    expect(before.body).toMatchObject({
      covered: true,
      segments: [{ supervised: [{ ruleId: rule, traineeId: kit, supervisorId: ana }], youngStaff: [] }],
    });
    const lou = await aStaffMember(f, { given: 'Lou', born: '2011-03-03', holds: [{ kind: trainee }] });
    await anAssignment(f, block!, lou, { duty: 'shadow' });
    const after = await owner.get<{ segments: Segment[]; covered: boolean }>(path);
    expect(after.body).toMatchObject({
      covered: false,
      segments: [
        {
          supervised: [{ traineeId: kit, supervisorId: ana }],
          youngStaff: [{ ruleId: rule, personId: lou }],
          counts: [{ load: '9/8', needed: 2, counted: '1' }],
          findings: [{ code: 'short', short: '1/8' }],
        },
      ],
    });
    const meg = await aStaffMember(f, { given: 'Meg', born: '2010-02-02', holds: [{ kind: trainee }] });
    await anAssignment(f, block!, meg, { duty: 'assist' });
    const two = await owner.get<{ segments: Segment[] }>(path);
    expect(two.body.segments[0]?.supervised).toHaveLength(2);
    expect(two.body.segments[0]?.supervised).toEqual(
      expect.arrayContaining([expect.objectContaining({ supervisorId: null })]),
    );
    expect(two.body.segments[0]?.findings.map(({ code }) => code)).toContain('supervision');
  });
});

test('an athlete who is on the staff as well is unnamed to whoever may not read athletes', async () => {
  const f = await aFranchise(api);
  await aRule(f);
  const session = await aSession(f, { groups: [1] });
  const wren = await aStaffMember(f, { given: 'Wren', born: '2008-06-10' });
  await f.arrange(async (tx) => {
    const ours = { franchiseId: f.id };
    await tx.insert(t.athletes).values({ ...ours, personId: wren, gymId: f.gym.id, born: '2008-06-10' });
    await tx.update(t.groupMembers).set({ athleteId: wren }).where(eq(t.groupMembers.sessionId, session.id));
  });
  const path = `/gyms/${f.gym.id}/sessions/${session.id}/cover/timeline`;
  const said = async (as: Parameters<typeof api.as>[0]) => {
    const { body } = await api.as(as).get<SessionTimeline>(path);
    const edges = body.units.flatMap(({ segments }) =>
      segments.flatMap(({ because, until }) => [...because, ...until]),
    );
    return edges.filter(({ what }) => what === 'athlete').map(({ sentence }) => sentence);
  };
  expect((await said(f.managerOf(f.gym))).join()).toContain('Wren');
  for (const member of [f.lead, f.coachOf(f.gym)]) {
    const sentences = await said(member);
    expect(sentences.length).toBeGreaterThan(0);
    expect(sentences.join()).not.toContain('Wren');
  }
});
