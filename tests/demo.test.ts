import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { DemoFacts } from '../src/banner.ts';
import { children } from '../src/demo/children.ts';
import { DRAWN } from '../src/demo/data/diagrams.ts';
import { seedDemo } from '../src/demo/seed.ts';
import type { FindingOnWire, PlanChecks } from '../src/features/curriculum/checks/schema.ts';
import { CannotStart } from '../src/platform/cannot-start.ts';
import { createLog } from '../src/platform/log.ts';
import { type Api, openApi } from './support/api.ts';

const log = createLog('silent');

const seedIn = ({ database, clock }: Api): Promise<DemoFacts> =>
  seedDemo({ pool: database.servicePool, log, now: clock.now });

async function rows(api: Api, sql: string): Promise<Record<string, unknown>[]> {
  return (await api.database.ownerPool.query(sql)).rows;
}

interface SignedIn {
  accessToken: string;
  who: { roles: { role: string; gymId: string | null }[]; gyms: { id: string; name: string }[] };
}

const signIn = (api: Api, { email, password }: { email: string; password: string }) =>
  api.anyone.post<SignedIn>('/sign-in', { email, password });

interface Line {
  name: string;
  covered: boolean;
  confirmed: boolean;
  findings: { code: string; short: string; sentence: string; overrideId: string | null; strength: string }[];
}

interface Block {
  state: string;
  confirmed: boolean;
  covered: boolean;
  needed: number;
  counted: string;
  findings: { sentence: string }[];
  staff: { name: string; duty: string; state: string; there: boolean }[];
}
interface Board {
  notCollected: { count: number; athletes: { name: string }[] };
  sessions: { name: string; present: number; blocks: Block[] }[];
}

/** As the manager sees it. */
async function boardOf(api: Api, { signIns }: DemoFacts): Promise<Board> {
  const { accessToken, who } = (await signIn(api, signIns[2]!)).body;
  const headers = { Authorization: `Bearer ${accessToken}` };
  return (await api.send<Board>('GET', `/v1/gyms/${who.gyms[0]?.id}/board`, { headers })).body;
}

describe('seen on a Wednesday', () => {
  let api: Api;
  let facts: DemoFacts;
  let asOwner: (path: string) => Promise<Line[]>;
  beforeAll(async () => {
    api = await openApi({ now: '2026-09-09T15:00:00Z' });
    facts = await seedIn(api);
    const [owner] = facts.signIns;
    const { accessToken } = (await signIn(api, owner!)).body;
    asOwner = async (path) => {
      const headers = { Authorization: `Bearer ${accessToken}` };
      const { status, body } = await api.send<{ items: Line[] }>('GET', `/v1${path}`, { headers });
      expect(status).toBe(200);
      return body.items;
    };
  });
  afterAll(() => api.close());

  test('it has three gyms in two zones, 24 staff, 120 athletes of 2 to 15, and four weeks of plans', async () => {
    expect(await rows(api, 'SELECT name, zone FROM gyms ORDER BY id')).toEqual([
      { name: 'Quillmere', zone: 'America/Halifax' },
      { name: 'Brandle Cove', zone: 'America/Halifax' },
      { name: 'Pellowick', zone: 'America/Toronto' },
    ]);
    expect(await rows(api, 'SELECT count(*)::int AS staff FROM staff_members')).toEqual([{ staff: 24 }]);
    expect(
      await rows(
        api,
        `SELECT count(*)::int AS athletes, min(extract(year FROM age('2026-09-09', born)))::int AS youngest,
           max(extract(year FROM age('2026-09-09', born)))::int AS oldest FROM athletes`,
      ),
    ).toEqual([{ athletes: 120, youngest: 2, oldest: 15 }]);
    expect(
      await rows(
        api,
        `SELECT p.name, count(DISTINCT l.week_of)::int AS weeks FROM programmes p
         JOIN lesson_plan_programmes lp ON lp.programme_id = p.id JOIN lesson_plans l ON l.id = lp.plan_id
         JOIN plan_versions v ON v.plan_id = l.id AND v.state = 'published' GROUP BY p.name ORDER BY p.name`,
      ),
    ).toEqual(['Development', 'Parent and child', 'Preschool', 'Recreational'].map((name) => ({ name, weeks: 4 })));
  });

  test('each week says what it is about; the first two are written with pieces, choices and doses that can be counted', async () => {
    const [counted] = await rows(
      api,
      `SELECT count(*)::int AS plans,
         count(*) FILTER (WHERE EXISTS (SELECT FROM plan_focuses f JOIN plan_focus_skills s ON s.focus_id = f.id
           WHERE f.plan_version_id = v.id))::int AS with_focus,
         count(*) FILTER (WHERE v.note <> '')::int AS with_note
       FROM plan_versions v`,
    );
    expect(counted).toEqual({ plans: 12, with_focus: 12, with_note: 12 });
    const weeks = await rows(
      api,
      `SELECT l.title,
         bool_or(EXISTS (SELECT FROM plan_pieces p WHERE p.station_id = s.id AND p.choice = 0)) AS pieces,
         bool_or(EXISTS (SELECT FROM plan_pieces p WHERE p.station_id = s.id AND p.for_mixed_sizes)) AS mixed,
         bool_or(EXISTS (SELECT FROM plan_steps t WHERE t.station_id = s.id AND t.choose_by IS NOT NULL)) AS choices,
         bool_or(s.stays_up) AS stays, bool_or(s.places IS NOT NULL) AS places,
         count(DISTINCT b.formation)::int > 1 AND count(DISTINCT b.importance)::int = 3 AS ranked
       FROM lesson_plans l JOIN plan_versions v ON v.plan_id = l.id JOIN plan_blocks b ON b.plan_version_id = v.id
       JOIN plan_stations s ON s.plan_block_id = b.id
       WHERE l.week_of < '2026-09-21' GROUP BY l.id, l.title ORDER BY l.id`,
    );
    expect(weeks).toHaveLength(6);
    for (const { title, pieces, choices, places, ranked } of weeks) {
      expect({ title, pieces, choices, places, ranked }).toEqual({
        title,
        pieces: true,
        choices: true,
        places: true,
        ranked: true,
      });
    }
    expect(weeks.map(({ mixed }) => mixed)).toContain(true);
    expect(weeks.map(({ stays }) => stays)).toContain(true);
    expect(
      await rows(api, 'SELECT count(*)::int AS steps FROM plan_steps WHERE dose_amount IS NOT NULL AND dose IS NULL'),
    ).toEqual([{ steps: expect.toSatisfy((steps: number) => steps > 80) }]);
    expect(
      await rows(
        api,
        'SELECT p.name, count(*)::int AS weeks FROM terms t JOIN programmes p ON p.id = t.programme_id JOIN term_weeks w ON w.term_id = t.id AND w.plan_id IS NOT NULL GROUP BY p.name ORDER BY p.name',
      ),
    ).toEqual(['Development', 'Parent and child', 'Preschool', 'Recreational'].map((name) => ({ name, weeks: 4 })));
  });

  test('a trainee of 15, a lapsed certificate and one ending soon are among the staff', async () => {
    const lapsedOrEnding = await rows(
      api,
      `SELECT n.given, k.name, q.until_day::text AS until FROM qualifications q
       JOIN person_names n ON n.person_id = q.person_id JOIN qualification_kinds k ON k.id = q.kind_id
       WHERE q.until_day < '2026-09-30' ORDER BY q.until_day`,
    );
    expect(lapsedOrEnding).toEqual([
      { given: 'Piotr', name: 'First aid', until: '2026-07-29' },
      { given: 'Kofi', name: 'Background check', until: '2026-08-08' },
      { given: 'Petra', name: 'Coaching certificate', until: '2026-08-17' },
      { given: 'Lior', name: 'Background check', until: '2026-09-18' },
    ]);
    expect(
      await rows(
        api,
        `SELECT extract(year FROM age('2026-09-09', min(age.d)))::int AS of
        FROM (SELECT max(born) AS d FROM staff_members) age`,
      ),
    ).toEqual([{ of: 15 }]);
  });

  test('this week and next, what is not covered is what is meant to be looked at', async () => {
    const gyms = await rows(api, 'SELECT id FROM gyms ORDER BY id');
    const open: string[] = [];
    const accepted: string[] = [];
    let confirmed = 0;
    for (const { id } of gyms) {
      for (let day = 7; day <= 20; day += 1) {
        for (const line of await asOwner(`/gyms/${id}/days/2026-09-${String(day).padStart(2, '0')}/cover?limit=200`)) {
          if (line.confirmed) confirmed += 1;
          else open.push(...line.findings.map(({ sentence }) => sentence));
          expect(line.covered).toBe(line.confirmed);
          accepted.push(...line.findings.flatMap(({ overrideId, sentence }) => (overrideId ? [sentence] : [])));
        }
      }
    }
    expect(open).toEqual([
      'Vault (Thursday recreational, Group 1), 16:43 to 16:57: 12 athletes with the youngest aged 6 need 2 coaches (Gymnastics BC recreational classes, 6 to 11 at most 10); 1 counts.',
      'Floor (Wednesday development, Group 1), 17:47 to 18:02: The barrel needs a qualified spotter; nobody there is qualified.',
    ]);
    expect(accepted).toEqual([
      'Beam (Tuesday morning preschool, Group 1), 10:29 to 10:40: 6 athletes with the youngest aged 3 need 2 coaches (Brandle Cove: five little ones a coach, 3 to 5 at most 5); 1 counts.',
    ]);
    expect(confirmed).toBe(222);
  });

  test('the live board has a class that runs, a coach who has not come, and a child who was not collected', async () => {
    const board = await boardOf(api, facts);
    expect(board.notCollected).toMatchObject({ count: 1, athletes: [{ name: expect.any(String) }] });
    expect(board.sessions).toHaveLength(1);
    expect(board.sessions[0]).toMatchObject({ name: expect.stringMatching(/^Catch-up class/), present: 11 });
    const [running, next] = board.sessions[0]!.blocks;
    expect(running).toMatchObject({ state: 'running', confirmed: true, covered: false, needed: 2, counted: '1' });
    expect(running!.findings.map(({ sentence }) => sentence)).toEqual([
      expect.stringContaining('11 athletes with the youngest aged 6 need 2 coaches'),
    ]);
    expect(running!.staff).toMatchObject([
      { name: 'Mara Elderquay', duty: 'lead', state: 'in', there: true },
      { name: 'Joss Kelpmantle', duty: 'assist', state: 'not-in', there: false },
    ]);
    expect(next).toMatchObject({ state: 'next' });
  });

  test('its plans are measured: nothing is unsafe, no gym lacks equipment, and each warning has its number and its reason', async () => {
    const { accessToken } = (await signIn(api, facts.signIns[1]!)).body;
    const headers = { Authorization: `Bearer ${accessToken}` };
    const plans = await rows(api, 'SELECT id, title FROM lesson_plans ORDER BY id');
    const found: (FindingOnWire & { plan: unknown })[] = [];
    for (const { id, title } of plans) {
      const { status, body } = await api.send<PlanChecks>('GET', `/v1/lesson-plans/${id}/versions/1/checks`, {
        headers,
      });
      expect([status, body.moreFindings]).toEqual([200, 0]);
      expect(body.turns.length).toBeGreaterThan(3);
      found.push(...body.findings.map((one) => ({ ...one, plan: title })));
    }
    expect(plans).toHaveLength(12);
    expect(found.filter(({ severity }) => severity === 'refuse')).toEqual([]);
    expect([...new Set(found.map(({ check }) => check))].sort()).toEqual([
      'activity',
      'coverage',
      'order',
      'size-fit',
      'spotting',
      'time',
      'turns',
    ]);
    expect(found.filter(({ check }) => check === 'spotting').map(({ plan, sentence }) => [plan, sentence])).toEqual([
      ['Development: going backwards', '1 of 3 gyms cannot spot “The barrel”: Pellowick on Wednesday (0 able).'],
    ]);
    // Where a class goes on for more than an hour, it drinks.
    expect(found.filter(({ about }) => about === 'water')).toEqual([]);
    // Their blocks fill the hour and no more, with the changeovers in them.
    expect(found.filter(({ about }) => about === 'lesson-length')).toEqual([]);
    expect(found.filter(({ check, sentence }) => check === 'coverage' && /no drill/.test(sentence))).toEqual([]);
    expect(found.every(({ source, sentence }) => source !== '' && sentence !== '')).toBe(true);
  });

  test('its stations are drawn where there is something to set up, and every drawing has its station', async () => {
    const drawn = await rows(
      api,
      "SELECT DISTINCT set_up, diagram->>'title' AS title FROM plan_stations WHERE diagram IS NOT NULL ORDER BY 1",
    );
    expect(drawn).toEqual(
      [...DRAWN].map(([words, { title }]) => ({ set_up: words, title })).sort((a, b) => (a.set_up < b.set_up ? -1 : 1)),
    );
  });

  test('everybody signs in with their role', async () => {
    const seen: unknown[] = [];
    for (const shown of facts.signIns) {
      const { status, body } = await signIn(api, shown);
      seen.push({ status, role: body.who.roles.map(({ role }) => role), gyms: body.who.gyms.map(({ name }) => name) });
    }
    expect(seen).toEqual([
      { status: 200, role: ['owner'], gyms: [] },
      { status: 200, role: ['programme_lead'], gyms: [] },
      { status: 200, role: ['manager'], gyms: ['Quillmere'] },
      { status: 200, role: ['desk'], gyms: ['Quillmere'] },
      { status: 200, role: ['coach'], gyms: ['Quillmere'] },
    ]);
  });

  test('the request that is shown to try is refused with its reasons, and with remedies ready to send', async () => {
    const shown = facts.refusal.curl.join('\n');
    const body = /-d '(.+?)'/.exec(shown)?.[1] ?? '';
    const headers = { 'Content-Type': 'application/json' };
    const signedIn = await api.send('POST', '/v1/sign-in', { headers, body });
    const [, path] = /-X POST \{url\}(\S+)/.exec(shown) ?? [];
    const refused = await api.send('POST', path ?? '', {
      headers: { Authorization: `Bearer ${signedIn.body.accessToken}` },
    });
    expect(refused.status).toBe(422);
    expect(refused.body).toMatchObject({
      type: '/problems/not-covered',
      findings: [{ code: 'spotting' }, { code: 'short' }],
    });
    expect(refused.body.detail).toContain('13 athletes with the youngest aged 6 need 2 coaches');
    expect(refused.body.detail).toContain('only Joss Kelpmantle is qualified');
    expect(refused.body.remedies.length).toBeGreaterThan(1);
  });

  test('it is not loaded twice', async () => {
    await expect(seedIn(api)).rejects.toThrow(CannotStart);
    expect(await rows(api, 'SELECT count(*)::int AS franchises FROM franchises')).toEqual([{ franchises: 1 }]);
  });
});

describe('begun ten minutes before midnight on a leap day', () => {
  let api: Api;
  beforeAll(async () => {
    api = await openApi({ now: '2032-03-01T03:50:00Z' }); // Sunday 29 February 2032 in Halifax.
  });
  afterAll(() => api.close());

  test('when it dies half-way it is begun again, and there are confirmed sessions ahead', async () => {
    let asked = 0;
    const dying = () => {
      asked += 1;
      if (asked > 1) throw new Error('the machine went down');
      return api.clock.now();
    };
    await expect(seedDemo({ pool: api.database.servicePool, log, now: dying })).rejects.toThrow('went down');
    expect(await rows(api, 'SELECT FROM account_franchises')).toEqual([]);

    const facts = await seedIn(api);
    const { signIns } = facts;
    expect(signIns).toHaveLength(5);
    expect((await signIn(api, signIns[2]!)).body.who.gyms).toHaveLength(1);
    const [ahead] = await rows(
      api,
      `SELECT min(b.day)::text AS first, max(b.day)::text AS last, count(*)::int AS blocks FROM blocks b
       JOIN account_franchises f ON f.franchise_id = b.franchise_id
       WHERE b.confirmed_at IS NOT NULL AND b.starts_at > '2032-03-01T03:50:00Z'`,
    );
    expect(ahead).toEqual({ first: '2032-02-29', last: '2032-03-06', blocks: expect.any(Number) });
    expect(ahead?.blocks).toBeGreaterThan(100);
    const board = await boardOf(api, facts);
    expect(board.sessions[0]?.blocks[0]).toMatchObject({ state: 'running', covered: false });
    expect(board.notCollected.count).toBe(1);
  });
});

test('just after midnight a class runs as well, and none was before it', async () => {
  const api = await openApi({ now: '2026-09-07T03:00:30Z' }); // A Monday in Halifax, for half a minute.
  const board = await boardOf(api, await seedIn(api));
  expect(board.sessions[0]).toMatchObject({
    present: 11,
    blocks: [{ state: 'running', covered: false }, {}, {}, {}, {}, {}],
  });
  expect(board.notCollected.count).toBe(0);
  await api.close();
});

test('the children are the same each time, no two of the same name', () => {
  expect(children()).toEqual(children());
  expect(new Set(children().map(({ given, family }) => `${given} ${family}`)).size).toBe(120);
});
