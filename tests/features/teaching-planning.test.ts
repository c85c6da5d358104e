import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { DEFAULT_LIMITS } from '../../src/features/curriculum/checks/limits.ts';
import type { Criteria } from '../../src/features/teaching/moves-schema.ts';
import type { DueWatch, PairRequest } from '../../src/features/teaching/watch-schema.ts';
import type { WeekSheet } from '../../src/features/teaching/week-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aStep } from '../support/a-draft.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

describe('who is due a watch', () => {
  const onCast = { says: ({ cast }: Lesson['drills']) => ({ steps: [aStep([cast.id])] }) };
  const signOff = ({ f, coachId, skills }: Lesson, level: 'helped' | 'alone', until: string | null) =>
    f.arrange((tx) =>
      tx.insert(t.signOffs).values({
        franchiseId: f.id,
        id: newId(),
        personId: coachId,
        skillId: skills.cast,
        level,
        from: '2026-01-01',
        until,
      }),
    );

  test('whoever was never signed off, not far enough, or not for long enough; nobody who is', async () => {
    const lesson = await aLesson(api, onCast);
    const { f, plan, session, coachId, skills, gym, manager } = lesson;
    const later = await aSession(f, { plan, class: session.class, day: '2026-09-28' });
    for (const block of later.blocks) await anAssignment(f, block, coachId, { day: '2026-09-28' });
    const due = async (query = '') =>
      (await manager.get<{ items: DueWatch[] }>(`${gym}/watches-due${query}`)).body.items;
    const line = {
      personId: coachId,
      name: 'Ciara Doyle',
      skillId: skills.cast,
      needs: 'alone',
      firstOn: '2026-09-14',
    };
    expect(await due()).toMatchObject([{ ...line, holds: null, until: null, why: 'never', blocks: 2 }]);
    await signOff(lesson, 'helped', null);
    expect(await due()).toMatchObject([{ ...line, holds: 'helped', why: 'lower' }]);
    await signOff(lesson, 'alone', '2026-09-28');
    expect(await due()).toMatchObject([{ ...line, holds: 'alone', until: '2026-09-28', why: 'ending' }]);
    expect(await due('?days=14')).toEqual([]);
    await signOff(lesson, 'alone', '2026-09-29');
    expect(await due()).toEqual([]);
    expect((await manager.get(`${gym}/watches-due?days=93`)).status).toBe(422);
  });

  test('page by page, the soonest first', async () => {
    const lesson = await aLesson(api, {
      says: ({ cast, tuck }) => ({ steps: [aStep([cast.id]), aStep([tuck.id])] }),
    });
    const { f, plan, session, gym, lead } = lesson;
    for (const [given, day] of [
      ['Orla', '2026-09-21'],
      ['Niall', '2026-09-28'],
    ] as const) {
      const { blocks } = await aSession(f, { plan, class: session.class, day });
      const [block] = blocks;
      const person = newId();
      await f.arrange(async (tx) => {
        const ours = { franchiseId: f.id };
        await tx.insert(t.persons).values({ ...ours, id: person });
        await tx.insert(t.personNames).values({ ...ours, personId: person, given, family: 'Keane' });
        await tx.insert(t.staffMembers).values({ ...ours, personId: person, born: '1990-01-01' });
        await tx
          .insert(t.employments)
          .values({ ...ours, id: newId(), personId: person, gymId: f.gym.id, from: '2020-01-01' });
      });
      if (block) await anAssignment(f, block, person, { day });
    }
    const first = await lead.get<{ items: DueWatch[]; next: string }>(`${gym}/watches-due?limit=2`);
    const second = await lead.get<{ items: DueWatch[]; next: null }>(
      `${gym}/watches-due?limit=2&cursor=${first.body.next}`,
    );
    expect([first, second].flatMap(({ body }) => body.items.map(({ name }) => name))).toEqual([
      'Ciara Doyle',
      'Orla Keane',
      'Niall Keane',
    ]);
    expect(second.body.next).toBeNull();
  });
});

test('"please pair me" is asked once at a time, and seen only by those who plan', async () => {
  const { f, gym, coach, manager, lead, skills, coachId } = await aLesson(api);
  const asked = await coach.post<PairRequest>(`${gym}/pair-requests`, {
    skillId: skills.cast,
    note: 'Mondays suit me.',
  });
  expect([asked.status, asked.body.name, asked.body.settledAt]).toEqual([201, 'Ciara Doyle', null]);
  expect((await coach.post(`${gym}/pair-requests`, { skillId: skills.cast })).status).toBe(409);
  expect((await coach.post(`${gym}/pair-requests`, { skillId: newId() })).status).toBe(422);
  expect((await manager.post(`${gym}/pair-requests`, { skillId: skills.cast })).body.detail).toMatch(
    /not on the staff/,
  );
  expect((await coach.get(`${gym}/pair-requests`)).status).toBe(403);
  expect((await api.as(f.deskOf(f.gym)).get(`${gym}/pair-requests`)).status).toBe(403);
  for (const as of [manager, lead]) {
    expect((await as.get(`${gym}/pair-requests`)).body.items).toEqual([asked.body]);
  }
  const settle = `${gym}/pair-requests/${asked.body.id}/settle`;
  expect((await coach.post(settle)).status).toBe(403);
  const settled = await manager.post<PairRequest>(settle);
  expect([settled.status, settled.body.settledAt]).toEqual([200, '2026-09-14T08:00:00.000Z']);
  expect((await lead.post(settle)).body).toEqual(settled.body);
  expect((await manager.get(`${gym}/pair-requests`)).body.items).toEqual([]);
  expect((await manager.get(`${gym}/pair-requests?settled=true`)).body.items).toMatchObject([{ personId: coachId }]);
  expect((await coach.post(`${gym}/pair-requests`, { skillId: skills.cast })).status).toBe(201);
});

test('a request that two settle at once is settled once', async () => {
  const { gym, coach, manager, skills } = await aLesson(api);
  const { body } = await coach.post<PairRequest>(`${gym}/pair-requests`, { skillId: skills.cast });
  const { ownerPool } = api.database;
  const isWaiting = `SELECT FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock'`;
  const holder = await ownerPool.connect();
  await holder.query('BEGIN');
  await holder.query('SELECT FROM pair_requests WHERE id = $1 FOR UPDATE', [body.id]);
  const answers = [1, 2].map(() => manager.post(`${gym}/pair-requests/${body.id}/settle`));
  while ((await ownerPool.query(isWaiting)).rowCount !== 2);
  await holder.query('COMMIT');
  holder.release();
  expect((await Promise.all(answers)).map(({ status }) => status)).toEqual([200, 200]);
  const { rows } = await ownerPool.query('SELECT name FROM events WHERE subject_id = $1 ORDER BY id', [body.id]);
  expect(rows.map(({ name }) => name)).toEqual(['teaching.pair-asked', 'teaching.pair-settled']);
});

describe('moving up', () => {
  /** Has the group show a skill in a session of that day. */
  async function show(lesson: Lesson, day: string, how: string, skillId = lesson.skills.hang): Promise<void> {
    const { f, plan, session, children, manager, gym } = lesson;
    const held =
      day === session.day
        ? session
        : await aSession(f, {
            plan,
            class: await aClass(f, { programme: plan.programme, levels: [plan.programme.levels[0]] }),
            day,
            groups: [children],
          });
    api.clock.set(`${day}T18:00:00Z`);
    const answer = await manager.put(`${gym}/blocks/${held.blocks[0]?.id}/skills`, { skillId, everyone: how });
    expect(answer.status, answer.text).toBe(200);
  }

  test('takes every skill alone, on so many days; whoever may sign, signs once', async () => {
    api.clock.set('2026-09-14T08:00:00Z');
    const lesson = await aLesson(api);
    const { gym, lead, manager, skills, children, plan, coach } = lesson;
    const [bronze] = plan.programme.levels;
    const at = `/levels/${bronze}/criteria`;
    const unsaid = await lead.get<Criteria>(at);
    expect(unsaid.body).toEqual({ levelId: bronze, skillIds: [], onDays: 2, signedBy: 'gym', revision: 1 });
    const said = { skillIds: [skills.hang], onDays: 2, signedBy: 'gym' };
    const set = await lead.put<Criteria>(at, said, { ifMatch: 1 });
    expect([set.status, set.body.revision]).toEqual([200, 2]);
    expect((await lead.put(at, said, { ifMatch: 1 })).status).toBe(412);
    expect((await lead.put(at, { ...said, skillIds: [newId()] }, { ifMatch: 2 })).status).toBe(422);
    expect((await lead.put(at, { ...said, onDays: 11 }, { ifMatch: 2 })).status).toBe(422);
    expect((await lead.get<Criteria>(at)).body).toEqual(set.body);

    const ready = async () => (await manager.get(`${gym}/moves-up?levelId=${bronze}`)).body.items;
    await show(lesson, '2026-09-14', 'alone');
    expect(await ready()).toEqual([]);
    await show(lesson, '2026-09-21', 'with-help');
    expect(await ready()).toEqual([]);
    await show(lesson, '2026-09-28', 'steady');
    expect(await ready()).toHaveLength(4);
    expect((await manager.get(`${gym}/moves-up?limit=3`)).body.items).toHaveLength(3);
    const [first = ''] = children;
    const sign = (as = manager) => as.post(`${gym}/moves-up`, { athleteId: first, levelId: bronze });
    expect((await sign(coach)).status).toBe(403);
    const signed = await sign();
    expect([signed.status, signed.body], signed.text).toEqual([
      201,
      { athleteId: first, levelId: bronze, signedAt: '2026-09-28T18:00:00.000Z' },
    ]);
    expect((await sign()).status).toBe(409);
    expect((await ready()).map(({ athleteId }) => athleteId)).not.toContain(first);

    await lead.put(at, { ...said, signedBy: 'franchise' }, { ifMatch: 2 });
    const [, second = ''] = children;
    const next = { athleteId: second, levelId: bronze };
    expect((await manager.post(`${gym}/moves-up`, next)).status).toBe(403);
    expect((await lead.post(`${gym}/moves-up`, next)).status).toBe(201);
    await lead.put(at, { ...said, skillIds: [skills.hang, skills.cast] }, { ifMatch: 3 });
    expect(await ready()).toEqual([]);
    expect((await manager.post(`${gym}/moves-up`, { ...next, athleteId: newId() })).status).toBe(404);
    expect((await manager.post(`${gym}/moves-up`, { ...next, levelId: newId() })).status).toBe(404);
  });

  test('a level that says no number of its own asks for as many days as the franchise’s setting', async () => {
    api.clock.set('2026-09-14T08:00:00Z');
    const lesson = await aLesson(api);
    const { gym, lead, manager, skills, plan } = lesson;
    const [bronze, silver] = plan.programme.levels;
    const set = { ...DEFAULT_LIMITS, moveUpDays: { from: 3, to: 4 } };
    expect((await lead.put('/curriculum-settings', set, { ifMatch: 1 })).status).toBe(200);
    const asked = await lead.put<Criteria>(
      `/levels/${bronze}/criteria`,
      { skillIds: [skills.hang], signedBy: 'gym' },
      { ifMatch: 1 },
    );
    expect([asked.status, asked.body.onDays], asked.text).toEqual([200, 3]);
    expect((await lead.get<Criteria>(`/levels/${silver}/criteria`)).body.onDays).toBe(3);
    for (const [revision, from, onDays] of [
      [2, 0, 1],
      [3, 12, 10],
    ] as const) {
      const other = { ...set, moveUpDays: { from, to: 12 } };
      expect((await lead.put('/curriculum-settings', other, { ifMatch: revision })).status).toBe(200);
      expect((await lead.get<Criteria>(`/levels/${silver}/criteria`)).body.onDays).toBe(onDays);
    }
    const ready = [];
    for (const day of ['2026-09-14', '2026-09-21', '2026-09-28']) {
      await show(lesson, day, 'alone');
      ready.push((await manager.get(`${gym}/moves-up?levelId=${bronze}`)).body.items.length);
    }
    expect(ready).toEqual([0, 0, 4]);
  });
});

describe('what is recorded', () => {
  test.each(['worked', 'too-hard', 'too-easy', 'no-kit', 'unsure'])(
    'the lead’s count of “%s” is of those who answered that',
    async (answer) => {
      api.clock.set('2026-09-14T16:25:00Z');
      const { gym, block, stationId, coach, manager, lead, plan } = await aLesson(api);
      for (const as of [coach, manager]) {
        const said = await as.put(`${gym}/blocks/${block.id}/feedback`, { stations: [{ stationId, answer }] });
        expect(said.status, said.text).toBe(200);
      }
      const none = { worked: 0, 'too-hard': 0, 'too-easy': 0, 'no-kit': 0, unsure: 0 };
      const { body } = await lead.get(`/lesson-plans/${plan.id}/versions/1/feedback`);
      expect(body.stations).toMatchObject([{ stationId, answers: { ...none, [answer]: 2 } }]);
    },
  );

  test('is of the block: no other station, athlete or skill, and nothing twice', async () => {
    api.clock.set('2026-09-14T16:25:00Z');
    const { f, gym, block, stationId, coach, manager, skills, children } = await aLesson(api);
    const at = `${gym}/blocks/${block.id}`;
    const tick = async (...stations: object[]) => (await coach.put(`${at}/taught`, { stations })).body.detail;
    expect(await tick({ stationId, outcome: 'skipped' })).toBe('Say why it was skipped.');
    expect(await tick({ stationId: newId(), outcome: 'done' })).toBe('There is no such station in that block.');
    expect(await tick({ stationId, outcome: 'done' }, { stationId, outcome: 'done' })).toBe(
      'That station is named twice.',
    );
    expect((await coach.put(`${at}/taught`, { stations: [] })).status).toBe(422);
    const [first = ''] = children;
    const shown = async (more: object) =>
      (await coach.put(`${at}/skills`, { skillId: skills.hang, ...more })).body.detail;
    expect(await shown({})).toMatch(/say `everyone`/);
    expect(await shown({ shown: [{ athleteId: newId(), how: 'alone' }] })).toMatch(/not in the group/);
    const one = { athleteId: first, how: 'alone' };
    expect(await shown({ shown: [one, one] })).toBe('Name each athlete once.');
    expect(await shown({ skillId: newId(), everyone: 'alone' })).toMatch(/no such skill/);
    const long = { stations: [{ stationId, answer: 'unsure', line: 'x'.repeat(301) }] };
    expect((await coach.put(`${at}/feedback`, long)).status).toBe(422);

    await coach.put(`${at}/feedback`, { stations: [{ stationId, answer: 'unsure' }] });
    await manager.put(`${at}/feedback`, { stations: [{ stationId, answer: 'no-kit', line: 'The mat is away.' }] });
    await coach.put(`${at}/feedback`, { stations: [{ stationId, answer: 'worked' }] });
    const answers = async (as = coach) => (await as.get(`${at}/feedback`)).body.items.map(({ answer }) => answer);
    expect([await answers(), await answers(manager)]).toEqual([['worked'], ['worked', 'no-kit']]);
    const stranger = f.coachOf(f.gyms[1] ?? f.gym);
    expect((await api.as(stranger).get(`${at}/feedback`)).status).toBe(404);
  });

  test('a coach records nothing of a block that is another’s', async () => {
    const { f, gym, plan, session, stationId, coach } = await aLesson(api);
    const [theirs] = (await aSession(f, { plan, class: session.class, day: '2026-09-07' })).blocks;
    const at = `${gym}/blocks/${theirs?.id}`;
    expect((await coach.put(`${at}/taught`, { stations: [{ stationId, outcome: 'done' }] })).status).toBe(404);
    expect((await coach.get(`${at}/taught`)).status).toBe(404);
    expect((await coach.put(`${at}/feedback`, { stations: [{ stationId, answer: 'worked' }] })).status).toBe(404);
  });
});

test('the week on one page: a plan with its classes, what is not laid out, and a line for desk and parents', async () => {
  const { f, gym, lead, plan, session } = await aLesson(api);
  const bare = await aClass(f, {
    programme: plan.programme,
    levels: [plan.programme.levels[0]],
    startsAt: '19:00',
    weekday: 3,
  });
  await f.arrange((tx) =>
    tx.insert(t.sessions).values({
      franchiseId: f.id,
      id: newId(),
      gymId: f.gym.id,
      classId: bare.id,
      originalStart: '2026-09-16T19:00',
      day: '2026-09-16',
      startsAt: new Date('2026-09-16T18:00:00Z'),
      endsAt: new Date('2026-09-16T19:00:00Z'),
    }),
  );
  const { body, status } = await lead.get<WeekSheet>(`${gym}/weeks/2026-09-14/sheet`);
  expect(status).toBe(200);
  expect(body).toMatchObject({
    weekOf: '2026-09-14',
    leftOut: 0,
    plans: [
      {
        title: 'Rolls',
        number: 1,
        focus: [{ apparatus: 'bars', nextWeek: 'Next week from a standing start.' }],
        blocks: [{ title: 'Bars', minutes: 20, apparatus: ['bars'], stations: ['Low bar'] }],
        meetings: [{ sessionId: session.id, className: 'Monday tumblers', day: '2026-09-14' }],
      },
    ],
    notLaidOut: [{ className: 'Monday tumblers', day: '2026-09-16' }],
  });
  const [line] = body.lines;
  expect(line?.line).toMatch(/: new this week is .+\. Next week from a standing start\.$/);
  const page = await api.as(f.deskOf(f.gym)).get(`${gym}/weeks/2026-09-14/sheet.html`);
  expect([page.status, page.headers.get('Content-Type')]).toEqual([200, 'text/html; charset=utf-8']);
  expect(page.headers.get('Content-Security-Policy')).toMatch(/default-src 'none'; style-src 'sha256-/);
  expect(page.text).toContain('For desk and parents');
  expect(page.text).toContain('Wednesday 19:00 Monday tumblers');
  expect((await lead.get(`${gym}/weeks/2026-09-15/sheet`)).status).toBe(404);
  expect((await lead.get<WeekSheet>(`${gym}/weeks/2026-09-14/sheet?programmeId=${newId()}`)).body.plans).toEqual([]);
});
