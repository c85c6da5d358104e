import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Headroom {
  capacity: { capacity: number; enrolled: number; left: number };
  groups: {
    groupId: string;
    more: number;
    stop: { what: string; ruleId: string | null; findings: { code: string }[] };
    blocks: { blockId: string; more: number; bindingRuleId: string | null }[];
  }[];
}
interface Room {
  items: {
    sessionId: string;
    fits: boolean;
    isSearchComplete: boolean;
    capacityLeft: number;
    placements: { athlete: number; groupId: string }[];
    why: {
      code: string;
      sentence: string;
      athlete: number | null;
      groupId: string | null;
      bindingRuleId: string | null;
    }[];
  }[];
  next: string | null;
}

/** A band of the ages from and up to, of so many athletes a coach. */
const band = (id: string, from: number | null, to: number | null, athletes: number) => ({
  id,
  from: from === null ? null : { months: from * 12 },
  to: to === null ? null : { months: to * 12 },
  category: null,
  trait: null,
  countBy: 'athlete' as const,
  limits: [{ upToGroup: null, athletesPerCoach: `${athletes}`, when: null }],
  largestGroup: null,
  mixes: 'in' as const,
});

/** One session with a coach in each group, of so many eight-year-olds. */
async function staffed(f: Franchise, groups: number[], capacity = 24) {
  const session = await aSession(f, { groups, class: await aClass(f, { capacity }) });
  for (const group of session.groups) await anAssignment(f, group.blocks[0]!, await aStaffMember(f));
  return session;
}

describe('headroom of a session', () => {
  test('is told group by group, with the rule that binds or the class being full', async () => {
    const f = await aFranchise(api);
    const eight = await aRule(f);
    const session = await staffed(f, [6, 8], 15);
    const owner = api.as(f.owner);
    const path = `/gyms/${f.gym.id}/sessions/${session.id}/headroom`;
    const { status, body } = await owner.get<Headroom>(path);
    expect(status).toBe(200);
    expect(body.capacity).toEqual({ capacity: 15, enrolled: 14, left: 1 });
    expect(body.groups).toMatchObject([
      { more: 1, stop: { what: 'capacity' }, blocks: [{ more: 2, bindingRuleId: eight }] },
      { more: 0, stop: { what: 'rule', ruleId: eight, findings: [{ code: 'short' }] }, blocks: [{ more: 0 }] },
    ]);
  });

  test('depends on age, and says whose rule stops a younger one', async () => {
    const f = await aFranchise(api);
    const young = await aRule(f, {
      name: 'Under five at most four',
      body: {
        bands: [band('under five', null, 5, 4), band('five and over', 5, null, 8)],
        mixed: { method: 'youngest' },
      },
    });
    const session = await staffed(f, [5]);
    const ask = async (query: string) =>
      (await api.as(f.owner).get<Headroom>(`/gyms/${f.gym.id}/sessions/${session.id}/headroom?${query}`)).body
        .groups[0];
    expect(await ask('ageMonths=96')).toMatchObject({ more: 3, stop: { ruleId: young } });
    expect(await ask('ageMonths=59')).toMatchObject({ more: 0, stop: { what: 'rule', ruleId: young } });
    expect(await ask('born=2021-09-14')).toMatchObject({ more: 3 });
    expect(await ask('born=2021-09-15')).toMatchObject({ more: 0 });
    const path = `/gyms/${f.gym.id}/sessions/${session.id}/headroom`;
    for (const age of ['-1', '', '0x10', '1e2', '%205', '1.0', '+5', '1441']) {
      const refused = await api.as(f.owner).get(`${path}?ageMonths=${age}`);
      expect(refused.body, age).toMatchObject({ status: 422, errors: [{ parameter: 'ageMonths' }] });
    }
    const unborn = await api.as(f.owner).get(`${path}?born=2030-01-01`);
    expect(unborn.body).toMatchObject({ status: 422, errors: [{ parameter: 'born' }] });
    const asked = { from: '2026-09-14', athletes: [{ ageMonths: 96 }, { born: '2030-01-01' }] };
    const room = await api.as(f.owner).post(`/gyms/${f.gym.id}/room`, asked);
    expect(room.body).toMatchObject({ status: 422, errors: [{ pointer: '/athletes/1/born' }] });
  });

  test('what no rule stops: a spotter who is missing', async () => {
    const f = await aFranchise(api);
    const kind = await aQualificationKind(f);
    const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ handsOn: { kind } }] }] });
    const session = await aSession(f, { plan, groups: [2] });
    await anAssignment(f, session.blocks[0]!, await aStaffMember(f));
    const { body } = await api.as(f.owner).get<Headroom>(`/gyms/${f.gym.id}/sessions/${session.id}/headroom`);
    expect(body.groups).toMatchObject([{ more: 0, stop: { what: 'spotting', ruleId: null } }]);
  });
});

describe('room at a gym', () => {
  test('for her and her brother: together, in which group, and what stops them elsewhere', async () => {
    const f = await aFranchise(api);
    const eight = await aRule(f);
    const [early, late] = [await staffed(f, [7, 7]), await aSession(f, { groups: [8], startsAt: '18:30' })];
    await anAssignment(f, late.blocks[0]!, await aStaffMember(f));
    const desk = api.as(f.deskOf(f.gym));
    const [her, brother] = [await anAthlete(f, { given: 'Nora' }), await anAthlete(f, { given: 'Finn' })];
    const { status, body } = await desk.post<Room>(`/gyms/${f.gym.id}/room`, {
      from: '2026-09-14',
      athletes: [{ athleteId: her }, { athleteId: brother }],
    });
    expect(status).toBe(200);
    expect(body.items).toMatchObject([
      {
        sessionId: early.id,
        fits: true,
        placements: [
          { athlete: 0, groupId: early.groups[0]!.id },
          { athlete: 1, groupId: early.groups[1]!.id },
        ],
        why: [],
      },
      {
        sessionId: late.id,
        fits: false,
        isSearchComplete: true,
        placements: [],
        why: [{ code: 'cover', athlete: 0, groupId: late.groups[0]!.id, bindingRuleId: eight }],
      },
    ]);
    // Enrolled one after another, they are where it said, and nothing is uncovered on the way.
    const enrol = (athleteId: string) =>
      desk.post(`/gyms/${f.gym.id}/classes/${early.class.id}/enrolments`, { athleteId, from: '2026-09-14' });
    expect([(await enrol(her)).status, (await enrol(brother)).status]).toEqual([201, 201]);
    const shown = await desk.get<{ groups: { athleteCount: number }[] }>(`/gyms/${f.gym.id}/sessions/${early.id}`);
    expect(shown.body.groups.map(({ athleteCount }) => athleteCount)).toEqual([8, 8]);
    const again = await desk.post<Room>(`/gyms/${f.gym.id}/room`, {
      from: '2026-09-14',
      athletes: [{ athleteId: her }],
    });
    expect(again.body.items[0]?.why).toMatchObject([{ code: 'already-there', athlete: 0 }]);
  });

  test('one of two fits: then not both, and the second is named', async () => {
    const f = await aFranchise(api);
    await aRule(f);
    await staffed(f, [7]);
    const { body } = await api.as(f.owner).post<Room>(`/gyms/${f.gym.id}/room`, {
      from: '2026-09-14',
      athletes: [{ ageMonths: 96 }, { ageMonths: 100 }],
    });
    expect(body.items).toMatchObject([{ fits: false, why: [{ code: 'cover', athlete: 1 }] }]);
  });

  test('where a family counts once, brother and sister need one place', async () => {
    const f = await aFranchise(api);
    await aRule(f, {
      body: { bands: [{ ...band('families', null, null, 8), countBy: 'family' as const }] },
    });
    await staffed(f, [7]);
    const ask = async (oneFamily: boolean) =>
      (
        await api.as(f.owner).post<Room>(`/gyms/${f.gym.id}/room`, {
          from: '2026-09-14',
          athletes: [{ ageMonths: 96 }, { ageMonths: 100 }],
          oneFamily,
        })
      ).body.items[0]?.fits;
    expect([await ask(false), await ask(true)]).toEqual([false, true]);
  });

  test('one more can fit where fewer do not: by the majority, the order decides', async () => {
    const f = await aFranchise(api);
    await aRule(f, {
      body: {
        bands: [band('four to eight', 4, 9, 6), band('nine and over', 9, null, 10)],
        mixed: { method: 'majority' },
      },
    });
    const session = await aSession(f, { groups: [[...(await ninesAndEights(f, 3, 3))]] });
    await anAssignment(f, session.blocks[0]!, await aStaffMember(f));
    const ask = async (...ageMonths: number[]) =>
      (
        await api.as(f.owner).post<Room>(`/gyms/${f.gym.id}/room`, {
          from: '2026-09-14',
          athletes: ageMonths.map((months) => ({ ageMonths: months })),
        })
      ).body.items[0]?.fits;
    // Six at 1:6, half of them eight: the tie goes to the younger. With a nine-year-old more, ten fit.
    expect(await ask(96)).toBe(false);
    expect(await ask(120)).toBe(true);
    expect(await ask(120, 120, 96)).toBe(true);
    expect(await ask(96, 120, 120)).toBe(false);
  });

  test('a full class, one at the same time elsewhere, one not laid out; paged; for the days asked', async () => {
    const f = await aFranchise(api);
    await aRule(f, { body: oneTo(50) });
    const full = await staffed(f, [3], 3);
    const bare = await aSession(f, { groups: [], day: '2026-09-15' });
    await f.arrange((tx) =>
      tx.execute(`INSERT INTO sessions (franchise_id, id, gym_id, class_id, original_start, day, starts_at, ends_at)
        VALUES ('${f.id}', '${bare.id}', '${f.gym.id}', '${bare.class.id}', '2026-09-15T17:00', '2026-09-15',
          '2026-09-15T16:00Z', '2026-09-15T17:00Z')`),
    );
    const beside = await aSession(f, { groups: [1], class: await aClass(f, { startsAt: '17:10' }) });
    const owner = api.as(f.owner);
    const path = `/gyms/${f.gym.id}/room`;
    const one = { athletes: [{ athleteId: full.groups[0]!.athletes[0] }] };
    const first = await owner.post<Room>(`${path}?limit=2`, { from: '2026-09-14', until: '2026-09-16', ...one });
    expect(first.body.items.map(({ why }) => why.map(({ code }) => code))).toEqual([
      ['already-there', 'capacity'],
      ['two-places'],
    ]);
    expect(first.body.items.map(({ sessionId }) => sessionId)).toEqual([full.id, beside.id]);
    const second = await owner.post<Room>(`${path}?limit=2&cursor=${first.body.next}`, {
      from: '2026-09-14',
      until: '2026-09-16',
      ...one,
    });
    expect(second.body).toMatchObject({ items: [{ sessionId: bare.id, why: [{ code: 'not-laid-out' }] }], next: null });
    const oneDay = await owner.post<Room>(path, { from: '2026-09-15', ...one });
    expect(oneDay.body.items.map(({ sessionId }) => sessionId)).toEqual([bare.id]);
  });

  test('refuses a question that makes no sense, and names nobody to those who may not know them', async () => {
    const f = await aFranchise(api);
    const [athleteId, elsewhere] = [await anAthlete(f), await anAthlete(await aFranchise(api))];
    const path = `/gyms/${f.gym.id}/room`;
    const from = '2026-09-14';
    const owner = api.as(f.owner);
    const pointer = async (body: object) => (await owner.post(path, body)).body.errors[0]?.pointer;
    expect(await pointer({ from, until: from, athletes: [{ born: null }] })).toBe('/until');
    expect(await pointer({ from, until: '2026-09-29', athletes: [{ born: null }] })).toBe('/until');
    expect(await pointer({ from, athletes: [{}] })).toBe('/athletes/0');
    expect(await pointer({ from, athletes: [{ athleteId, born: from }] })).toBe('/athletes/0');
    expect(await pointer({ from, athletes: [{ athleteId }, { athleteId }] })).toBe('/athletes/1/athleteId');
    expect(await pointer({ from, athletes: [{ athleteId: elsewhere }] })).toBe('/athletes/0/athleteId');
    const lead = await api.as(f.lead).post(path, { from, athletes: [{ athleteId }] });
    expect(lead.body).toMatchObject({ type: '/problems/not-allowed', permission: 'athletes.read' });
    expect((await api.as(f.lead).post(path, { from, athletes: [{ born: null }] })).status).toBe(200);
  });
});

/** So many of nine years and of eight. */
async function ninesAndEights(f: Franchise, nines: number, eights: number): Promise<string[]> {
  const born = [...Array<string>(nines).fill('2017-01-01'), ...Array<string>(eights).fill('2018-01-01')];
  const ids: string[] = [];
  for (const one of born) ids.push(await anAthlete(f, { born: one }));
  return ids;
}

describe('fragility', () => {
  test('of a day: each whose absence would uncover something, and what', async () => {
    const f = await aFranchise(api);
    await aRule(f);
    const session = await aSession(f, { groups: [8, 3] });
    const [one, other] = session.groups;
    const [ana, ben, cleo] = [
      await aStaffMember(f, { given: 'Ana' }),
      await aStaffMember(f, { given: 'Ben' }),
      await aStaffMember(f, { given: 'Cleo' }),
    ];
    await anAssignment(f, one!.blocks[0]!, ana);
    await anAssignment(f, other!.blocks[0]!, ben);
    await anAssignment(f, other!.blocks[0]!, cleo, { duty: 'assist' });
    const { status, body } = await api.as(f.owner).get(`/gyms/${f.gym.id}/days/${session.day}/fragility`);
    expect(status).toBe(200);
    expect(body).toEqual({
      day: session.day,
      people: [
        {
          personId: ana,
          name: 'Ana Byrne',
          uncovers: [{ unit: { per: 'block', id: one!.blocks[0]!.id }, name: expect.stringContaining('Group 1') }],
        },
      ],
    });
  });

  test('of qualifications that end: which blocks ahead they leave uncovered', async () => {
    const f = await aFranchise(api, { confirmWindowDays: 0 });
    const kind = await aQualificationKind(f);
    const plan = await aPublishedPlan(f, { blocks: [{ stations: [{ handsOn: { kind } }] }] });
    const of = await aClass(f, { programme: plan.programme });
    const [before, after] = [
      await aSession(f, { plan, class: of, groups: [2], day: '2026-09-14' }),
      await aSession(f, { plan, class: of, groups: [2], day: '2026-09-21' }),
    ];
    const ana = await aStaffMember(f, { given: 'Ana', holds: [{ kind, until: '2026-09-20' }] });
    await anAssignment(f, before.blocks[0]!, ana);
    await anAssignment(f, after.blocks[0]!, ana, { day: '2026-09-21' });
    await aStaffMember(f, { given: 'Later', holds: [{ kind, until: '2026-12-24' }] });
    const path = `/gyms/${f.gym.id}/qualification-ends`;
    const { status, body } = await api.as(f.managerOf(f.gym)).get(path);
    expect(status).toBe(200);
    expect(body.items).toMatchObject([
      {
        personId: ana,
        name: 'Ana Byrne',
        kindId: kind.id,
        endsOn: '2026-09-20',
        uncovers: [{ blockId: after.blocks[0]!.id, isConfirmed: false, findings: [{ code: 'spotting' }] }],
      },
    ]);
    expect((await api.as(f.owner).get(`${path}?days=5`)).body.items).toEqual([]);
    expect((await api.as(f.owner).get(`${path}?days=61`)).status).toBe(422);

    const ended = { until: '2026-09-18' };
    const kinds = api.as(f.owner);
    expect((await kinds.patch(`/qualification-kinds/${kind.id}`, ended, { ifMatch: 1 })).status).toBe(200);
    const { body: then } = await api.as(f.managerOf(f.gym)).get(path);
    expect(then.items.map(({ endsOn }) => endsOn)).toEqual(['2026-09-18', '2026-09-18']);
  });
});
