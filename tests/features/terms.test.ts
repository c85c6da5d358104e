import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Term, TermBrief, Week } from '../../src/features/curriculum/term-schema.ts';
import type { WholeSession } from '../../src/features/schedule/schema.ts';
import type { TermPlace } from '../../src/features/schedule/term-place-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, content, writing } from '../support/a-draft.ts';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aProgramme, aPublishedPlan, type Programme } from '../support/a-plan.ts';
import { aClass, type TestClass } from '../support/a-session.ts';
import { type Answer, type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
let lead: Caller;
let skillId: string;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
  lead = api.as(f.lead);
  skillId = (await lead.post('/skills', { name: 'Cast', apparatusId: f.apparatus.bars })).body.id;
});
afterAll(() => api.close());

const week = (more: Partial<Week> = {}): Week => ({ planId: null, note: null, skills: [], ...more });
const START = '2026-09-07';

async function aTerm(programmeId: string, weeks: Week[], title = 'Autumn'): Promise<Term> {
  const answer = await lead.post<Term>('/terms', { programmeId, title, startsOn: START, weeks });
  expect(answer.status, answer.text).toBe(201);
  return answer.body;
}

/** Sessions of a class on those days; one is cancelled where a minus stands before it. */
async function sessionsOf({ id, gym }: TestClass, ...days: string[]): Promise<Record<string, string>> {
  const ids: Record<string, string> = {};
  await f.arrange((tx) =>
    tx.insert(t.sessions).values(
      days.map((said) => {
        const day = said.replace(/^-/, '');
        ids[day] = newId();
        return {
          franchiseId: f.id,
          id: ids[day],
          gymId: gym.id,
          classId: id,
          originalStart: `${day}T17:00`,
          day,
          startsAt: new Date(`${day}T16:00:00Z`),
          endsAt: new Date(`${day}T17:00:00Z`),
          cancelledAt: said.startsWith('-') ? new Date(`${day}T08:00:00Z`) : null,
          cancelledWhy: said.startsWith('-') ? 'The hall was closed.' : null,
        };
      }),
    ),
  );
  return ids;
}

const placeOf = async (term: Term, { id }: TestClass, on: string) =>
  (await lead.get<TermPlace>(`/terms/${term.id}/places/${id}?on=${on}`)).body;
/** The week it is taught next, and how far it is behind. */
const howFar = ({ week, weeksBehind }: TermPlace) => [week, weeksBehind];

test('a term is skills by weeks with plans hanging from them; it is changed under If-Match', async () => {
  const programme = await aProgramme(f);
  const plan = await aPublishedPlan(f, { programme });
  const weeks = [
    week({ planId: plan.id, skills: [{ skillId, standing: 'new' }], note: 'Casts, low.' }),
    week({ skills: [{ skillId, standing: 'continuing' }] }),
    week({ skills: [{ skillId, standing: 'revise' }] }),
    week({ skills: [{ skillId, standing: 'test' }] }),
  ];
  const term = await aTerm(programme.id, weeks);
  expect(term).toEqual({
    id: term.id,
    programmeId: programme.id,
    title: 'Autumn',
    startsOn: START,
    weeks,
    revision: 1,
  });
  const coach = api.as(f.coachOf(f.gym));
  expect((await coach.get(`/terms/${term.id}`)).body).toEqual(term);
  const brief: TermBrief = {
    id: term.id,
    programmeId: programme.id,
    title: 'Autumn',
    startsOn: START,
    weekCount: 4,
    revision: 1,
  };
  expect((await coach.get(`/terms?programmeId=${programme.id}`)).body.items).toEqual([brief]);

  const change = { title: 'Early autumn', startsOn: '2026-09-14', weeks: weeks.slice(0, 2) };
  const changed = await lead.put<Term>(`/terms/${term.id}`, change, { ifMatch: 1 });
  expect(changed.body).toEqual({ ...term, ...change, revision: 2 });
  expect((await lead.put(`/terms/${term.id}`, change, { ifMatch: 1 })).status).toBe(412);
  expect((await coach.put(`/terms/${term.id}`, change, { ifMatch: 2 })).status).toBe(403);

  const moving = { programmeIds: [(await aProgramme(f)).id] };
  const draft = await lead.post('/lesson-plans', { title: 'Later', weekOf: START, programmeIds: [programme.id] });
  const hung = { ...change, weeks: [week({ planId: draft.body.id })] };
  expect((await lead.put(`/terms/${term.id}`, hung, { ifMatch: 2 })).status).toBe(200);
  const refused = await lead.patch(`/lesson-plans/${draft.body.id}`, moving, { ifMatch: 1 });
  expect([refused.status, refused.body.errors?.[0]?.pointer]).toEqual([422, '/programmeIds']);
});

test('a term names nothing that is not there, and no plan of another programme', async () => {
  const programme = await aProgramme(f);
  const stranger = await aPublishedPlan(f);
  const at = async (more: Record<string, unknown>) => {
    const body = { programmeId: programme.id, title: 'Autumn', startsOn: START, weeks: [week()], ...more };
    const answer = await lead.post('/terms', body);
    expect(answer.status).toBe(422);
    return answer.body.errors.map(({ pointer }) => pointer);
  };
  const twice = [
    { skillId, standing: 'new' as const },
    { skillId, standing: 'test' as const },
  ];
  expect(await at({ programmeId: f.id })).toEqual(['/programmeId']);
  expect(await at({ startsOn: '2026-09-08' })).toEqual(['/startsOn']);
  expect(await at({ weeks: [] })).toEqual(['/weeks']);
  expect(await at({ weeks: Array(61).fill(week()) })).toEqual(['/weeks']);
  expect(await at({ weeks: [week({ planId: stranger.id })] })).toEqual(['/weeks/0/planId']);
  expect(await at({ weeks: [week({ skills: [{ skillId: f.id, standing: 'new' }] })] })).toEqual([
    '/weeks/0/skills/0/skillId',
  ]);
  expect(await at({ weeks: [week(), week({ skills: twice })] })).toEqual(['/weeks/1/skills/1/skillId']);
});

test('a term is copied with or without its plans, and its weeks are moved later and back', async () => {
  const programme = await aProgramme(f);
  const plan = await aPublishedPlan(f, { programme });
  const [first, second] = [week({ planId: plan.id, skills: [{ skillId, standing: 'new' }] }), week({ note: 'Show.' })];
  const term = await aTerm(programme.id, [first, second]);
  const copy = { title: 'Spring', startsOn: '2027-01-11' };
  const bare = await lead.post<Term>(`/terms/${term.id}/copy`, { ...copy, withPlans: false });
  expect(bare.status).toBe(201);
  expect(bare.body).toMatchObject({ ...copy, programmeId: programme.id, weeks: [{ ...first, planId: null }, second] });
  const later = { ...copy, startsOn: '2027-01-25', withPlans: true };
  const whole = await lead.post<Term>(`/terms/${term.id}/copy`, later);
  expect(whole.body.weeks).toEqual([first, second]);
  expect((await lead.get<Term>(`/terms/${term.id}`)).body).toEqual(term);

  const shift = (fromWeek: number, by: number, ifMatch: number) =>
    lead.post<Term & { type: string }>(`/terms/${term.id}/shift`, { fromWeek, by }, { ifMatch });
  expect((await shift(2, 2, 1)).body.weeks).toEqual([first, week(), week(), second]);
  expect((await shift(4, -1, 2)).body.weeks).toEqual([first, week(), second]);
  const blocked = await shift(3, -2, 3);
  expect([blocked.status, blocked.body.type]).toEqual([409, '/problems/conflict']);
  const long = await shift(1, 58, 3);
  expect([long.status, long.body.type]).toEqual([409, '/problems/conflict']);
  expect((await shift(1, 0, 3)).status).toBe(422);
  expect((await shift(1, 1, 1)).status).toBe(412);
});

test('a week of a programme belongs to one term; terms of two programmes may overlap, and one may follow another', async () => {
  const programme = await aProgramme(f);
  const term = await aTerm(programme.id, [week(), week(), week()]);
  const body = (startsOn: string, weeks = 1) => ({
    programmeId: programme.id,
    title: 'Half term',
    startsOn,
    weeks: Array(weeks).fill(week()),
  });
  const conflict = async (asked: Promise<Answer<Term & { type: string; detail: string }>>) => {
    const { status, body: said } = await asked;
    expect([status, said.type]).toEqual([409, '/problems/conflict']);
    expect(said.detail).toContain('The term "Autumn", which begins on 2026-09-07, has one of these weeks already');
  };
  await conflict(lead.post('/terms', body('2026-09-21')));
  await conflict(lead.post('/terms', body('2026-08-24', 3)));
  await conflict(lead.post('/terms', body('2026-08-24', 10)));
  const before = await lead.post<Term>('/terms', body('2026-08-24', 2));
  const after = await lead.post<Term>('/terms', body('2026-09-28', 2));
  expect([before.status, after.status]).toEqual([201, 201]);
  const elsewhere = { ...body('2026-09-14'), programmeId: (await aProgramme(f)).id };
  expect((await lead.post('/terms', elsewhere)).status).toBe(201);

  const { programmeId: _, ...content } = body('2026-09-21', 2);
  await conflict(lead.put(`/terms/${after.body.id}`, content, { ifMatch: 1 }));
  await conflict(lead.post(`/terms/${before.body.id}/shift`, { fromWeek: 1, by: 1 }, { ifMatch: 1 }));
  const copy = { title: 'Again', startsOn: '2026-09-14', withPlans: false };
  await conflict(lead.post(`/terms/${after.body.id}/copy`, copy));
  expect((await lead.put(`/terms/${term.id}`, { ...content, startsOn: START }, { ifMatch: 1 })).status).toBe(200);
  expect((await lead.post('/terms', body('2026-09-21'))).status).toBe(201);

  const racing = { ...body('2027-01-11'), programmeId: elsewhere.programmeId };
  const both = await Promise.all([lead.post('/terms', racing), lead.post('/terms', racing)]);
  expect(both.map(({ status }) => status).sort()).toEqual([201, 409]);
});

test('a class that began after its term comes in at the week of its first session, and is not behind for it', async () => {
  const programme = await aProgramme(f);
  const term = await aTerm(programme.id, [week(), week(), week(), week()]);
  const late = await aClass(f, { programme, from: '2026-09-15' });
  const later = await aClass(f, { programme, from: '2026-09-15' });
  await sessionsOf(late, '2026-09-21');
  await sessionsOf(later, '-2026-09-21', '2026-09-28');
  const ofBoth = async (on: string) => [howFar(await placeOf(term, late, on)), howFar(await placeOf(term, later, on))];
  expect(await ofBoth('2026-09-14')).toEqual([
    [3, 0],
    [4, 0],
  ]);
  expect(await ofBoth('2026-09-22')).toEqual([
    [4, 0],
    [4, 0],
  ]);
  expect(await ofBoth('2026-10-05')).toEqual([
    [4, 1],
    [null, 0],
  ]);
});

test('a closure makes one weekday fall behind alone, and the lead sees how far each class is', async () => {
  const programme = await aProgramme(f);
  const term = await aTerm(programme.id, [week(), week(), week(), week()]);
  const monday = await aClass(f, { programme, weekday: 1 });
  const wednesday = await aClass(f, { programme, weekday: 3 });
  const elsewhere = await aClass(f, { programme, weekday: 1, gym: f.gyms[1] ?? f.gym });
  // The first gym's hall is closed on Monday 14 September.
  await sessionsOf(monday, '2026-09-07', '-2026-09-14', '2026-09-21');
  await sessionsOf(wednesday, '2026-09-09', '2026-09-16');
  // The other gym never laid its second Monday out: it was not held either.
  await sessionsOf(elsewhere, '2026-09-07', '2026-09-21');

  const places = async (on: string, as: Caller = lead) =>
    Object.fromEntries(
      (await as.get<{ items: TermPlace[] }>(`/terms/${term.id}/places?on=${on}`)).body.items.map((place) => [
        place.classId,
        howFar(place),
      ]),
    );
  expect(await places('2026-09-14')).toEqual({ [monday.id]: [2, 0], [wednesday.id]: [2, 0], [elsewhere.id]: [2, 0] });
  expect(await places('2026-09-17')).toEqual({ [monday.id]: [2, 1], [wednesday.id]: [3, 0], [elsewhere.id]: [2, 1] });
  expect(await places('2026-09-22')).toEqual({ [monday.id]: [3, 1], [wednesday.id]: [3, 0], [elsewhere.id]: [3, 1] });
  // Whoever belongs to one gym sees that gym's classes alone.
  const own = await places('2026-09-22', api.as(f.managerOf(f.gym)));
  expect(Object.keys(own).sort()).toEqual([monday.id, wednesday.id].sort());
  const strange = `/terms/${term.id}/places/${elsewhere.id}`;
  expect((await api.as(f.coachOf(f.gym)).get(strange)).status).toBe(404);

  const first = await lead.get(`/terms/${term.id}/places?limit=2`);
  const rest = await lead.get(`/terms/${term.id}/places?limit=2&cursor=${first.body.next}`);
  expect([first.body.items.length, rest.body.items.length, rest.body.next]).toEqual([2, 1, null]);
  // Left out, it is today at each gym: the clock stands on Monday 7 September.
  expect((await lead.get<TermPlace>(strange)).body).toMatchObject({ on: START, week: 1, due: 0, held: 0 });
});

test('a class is put at a week by hand, with why, and goes on from there', async () => {
  const programme = await aProgramme(f);
  const plan = await aPublishedPlan(f, { programme });
  const term = await aTerm(programme.id, [week(), week(), week(), week({ planId: plan.id })]);
  const monday = await aClass(f, { programme });
  await sessionsOf(monday, '2026-09-07', '2026-09-14', '2026-09-21', '2026-09-28');
  const path = `/terms/${term.id}/places/${monday.id}`;
  const byHand = { fromDay: '2026-09-14', week: 3, reason: 'Joined with a class that was further on.' };
  const set = await lead.put<TermPlace>(path, byHand);
  expect(set.status, set.text).toBe(200);
  expect(set.body).toEqual({
    termId: term.id,
    classId: monday.id,
    className: 'Monday tumblers',
    gymId: f.gym.id,
    weekday: 1,
    on: '2026-09-14',
    week: 3,
    planId: null,
    held: 0,
    due: 1,
    weeksBehind: -1,
    setByHand: { ...byHand, setAt: api.clock.now().toISOString() },
  });
  expect(howFar(await placeOf(term, monday, '2026-09-13'))).toEqual([2, 0]);
  expect(await placeOf(term, monday, '2026-09-21')).toMatchObject({ week: 4, planId: plan.id, weeksBehind: -1 });
  expect(await placeOf(term, monday, '2026-09-29')).toMatchObject({ week: null, planId: null, weeksBehind: 0 });

  api.clock.advance({ minutes: 1 });
  await lead.put(path, { ...byHand, week: 1, reason: 'It was the other class.' });
  expect(howFar(await placeOf(term, monday, '2026-09-21'))).toEqual([2, 1]);

  expect((await lead.put(path, { ...byHand, week: 5 })).body.errors[0]?.pointer).toBe('/week');
  expect((await lead.put(path, { fromDay: START, week: 1 })).status).toBe(422);
  expect((await api.as(f.managerOf(f.gym)).put(path, byHand)).status).toBe(403);
  const other = await aClass(f);
  expect((await lead.put(`/terms/${term.id}/places/${other.id}`, byHand)).status).toBe(404);
});

async function aPlanFor({ id }: Programme, weekOf: string) {
  const lessons = writing(f, lead);
  const plan = await lessons.aDraft(id, weekOf);
  const said = content(aBlock([lessons.aStation([(await lessons.aDrill()).id])]));
  const first = await lessons.publish(plan.id, (await lessons.write(plan.id, 1, said)).revision);
  return { id: plan.id, said, first, lessons };
}

test('a session is laid out from the plan of the week that its own class has reached', async () => {
  const programme = await aProgramme(f);
  const [one, two] = [await aPlanFor(programme, START), await aPlanFor(programme, '2026-09-14')];
  const term = await aTerm(programme.id, [week({ planId: one.id }), week({ planId: two.id }), week()]);
  const monday = await aClass(f, { programme });
  const ids = await sessionsOf(monday, '2026-09-07', '-2026-09-14', '2026-09-21', '2026-09-28', '2026-10-05');
  const manager = api.as(f.managerOf(f.gym));
  const layOut = (day: string, layout: object = { termId: term.id }) =>
    manager.post<WholeSession & { type: string; errors: { pointer: string }[] }>(
      `/gyms/${f.gym.id}/sessions/${ids[day]}/lay-out`,
      layout,
      { ifMatch: 1 },
    );
  expect((await layOut('2026-09-07')).body.planVersionId).toBe(one.first.id);
  expect((await layOut('2026-09-21')).body.planVersionId).toBe(two.first.id);
  const nothingHangs = await layOut('2026-09-28');
  expect([nothingHangs.status, nothingHangs.body.type]).toEqual([409, '/problems/conflict']);
  const through = await layOut('2026-10-05');
  expect([through.status, through.body.type]).toEqual([409, '/problems/conflict']);
  const foreign = await aTerm((await aProgramme(f)).id, [week()]);
  expect((await layOut('2026-09-28', { termId: foreign.id })).body.errors[0]?.pointer).toBe('/termId');
  const both = await layOut('2026-09-28', { termId: term.id, planId: one.id });
  expect(both.status).toBe(422);
});

test('a session that is cancelled late makes no class repeat a week; its own is named, to be laid out anew', async () => {
  const programme = await aProgramme(f);
  const plans = await Promise.all(
    ['2026-09-07', '2026-09-14', '2026-09-21', '2026-09-28'].map((monday) => aPlanFor(programme, monday)),
  );
  const term = await aTerm(
    programme.id,
    plans.map(({ id }) => week({ planId: id })),
  );
  const monday = await aClass(f, { programme });
  const ids = await sessionsOf(monday, '2026-09-07', '2026-09-14', '2026-09-21', '2026-09-28');
  const manager = api.as(f.managerOf(f.gym));
  const at = (day: string) => `/gyms/${f.gym.id}/sessions/${ids[day]}`;
  const versionLaidOut = async (day: string) => {
    const { revision } = (await manager.get<WholeSession>(at(day))).body;
    return (await manager.post<WholeSession>(`${at(day)}/lay-out`, { termId: term.id }, { ifMatch: revision })).body
      .planVersionId;
  };
  for (const [index, day] of ['2026-09-07', '2026-09-14', '2026-09-21'].entries()) {
    expect(await versionLaidOut(day)).toBe(plans[index]?.first.id);
  }
  const cancelled = await manager.post(`${at('2026-09-14')}/cancel`, { reason: 'The hall is flooded.' });
  expect(cancelled.body.laterInTerm).toEqual([{ sessionId: ids['2026-09-21'], week: 3 }]);
  expect(howFar(await placeOf(term, monday, '2026-09-28'))).toEqual([4, 0]);
  expect(await versionLaidOut('2026-09-21')).toBe(plans[1]?.first.id);
  expect(await versionLaidOut('2026-09-28')).toBe(plans[2]?.first.id);

  const byHand = { fromDay: '2026-09-21', week: 1, reason: 'Half of them are new.' };
  await lead.put(`/terms/${term.id}/places/${monday.id}`, byHand);
  expect((await placeOf(term, monday, '2026-09-28')).week).toBe(2);
});

test('of two places by hand, the one that begins later counts on its days; none begins before the term', async () => {
  const programme = await aProgramme(f);
  const term = await aTerm(programme.id, [week(), week(), week(), week()]);
  const monday = await aClass(f, { programme });
  const put = (fromDay: string, at: number) =>
    lead.put(`/terms/${term.id}/places/${monday.id}`, { fromDay, week: at, reason: 'They are ahead.' });
  await put('2026-09-21', 4);
  api.clock.advance({ minutes: 1 });
  await put('2026-09-14', 1);
  expect((await placeOf(term, monday, '2026-09-14')).week).toBe(1);
  expect((await placeOf(term, monday, '2026-09-21')).week).toBe(4);
  expect((await put('2026-09-06', 1)).body.errors[0]?.pointer).toBe('/fromDay');
});

test('weeks that a class has reached are neither moved nor taken away', async () => {
  const programme = await aProgramme(f);
  const term = await aTerm(programme.id, [week(), week(), week(), week()]);
  const shift = (fromWeek: number, by: number, ifMatch: number) =>
    lead.post(`/terms/${term.id}/shift`, { fromWeek, by }, { ifMatch });
  const { title, startsOn } = term;
  const shorten = (to: number, ifMatch: number) =>
    lead.put(`/terms/${term.id}`, { title, startsOn, weeks: Array(to).fill(week()) }, { ifMatch });
  const monday = await aClass(f, { programme });
  expect((await shift(1, 1, 1)).status).toBe(409);
  expect((await shift(2, -1, 1)).status).toBe(409);
  const byHand = { fromDay: '2026-09-14', week: 3, reason: 'They are ahead.' };
  await lead.put(`/terms/${term.id}/places/${monday.id}`, byHand);
  const reached = await shift(3, 1, 1);
  expect([reached.status, reached.body.detail]).toEqual([
    409,
    'A class is at week 3 of this term, or laid out from it. Only weeks from 4 on can be moved or taken away.',
  ]);
  expect((await shorten(2, 1)).status).toBe(409);
  expect((await shift(4, 1, 1)).status).toBe(200);
  expect((await shorten(3, 2)).status).toBe(200);
});

test('a plan that leaves its programme while a term hangs it there is hung no more', async () => {
  const [programme, other] = [await aProgramme(f), await aProgramme(f)];
  const plan = await writing(f, lead).aDraft(programme.id);
  let adding: Promise<Answer> | undefined;
  await f.arrange(async (tx) => {
    await tx.update(t.lessonPlans).set({ revision: 2 }).where(eq(t.lessonPlans.id, plan.id));
    await tx
      .update(t.lessonPlanProgrammes)
      .set({ programmeId: other.id })
      .where(eq(t.lessonPlanProgrammes.planId, plan.id));
    let added = false;
    const body = { programmeId: programme.id, title: 'Autumn', startsOn: START, weeks: [week({ planId: plan.id })] };
    adding = lead.post('/terms', body).finally(() => {
      added = true;
    });
    while (!added && !(await somebodyWaits()));
  });
  expect((await adding)?.body.errors[0]?.pointer).toBe('/weeks/0/planId');
});
async function somebodyWaits(): Promise<boolean> {
  const { rows } = await api.database.ownerPool.query(
    `SELECT FROM pg_locks JOIN pg_stat_activity USING (pid)
     WHERE NOT granted AND datname = current_database()`,
  );
  return rows.length > 0;
}

test('a version is laid out from the week on in which it takes effect, and the one before it until then', async () => {
  const programme = await aProgramme(f);
  const plan = await aPlanFor(programme, START);
  const next = await plan.lessons.publishNext(plan.id, plan.said, { effectiveWeek: '2026-09-21' });
  const monday = await aClass(f, { programme });
  const ids = await sessionsOf(monday, '2026-09-14', '2026-09-21');
  const manager = api.as(f.managerOf(f.gym));
  const at = (day: string) => `/gyms/${f.gym.id}/sessions/${ids[day]}`;
  const layOut = async (day: string) =>
    (await manager.post<WholeSession>(`${at(day)}/lay-out`, { planId: plan.id }, { ifMatch: 1 })).body;
  const early = await layOut('2026-09-14');
  expect(early.planVersionId).toBe(plan.first.id);
  expect((await layOut('2026-09-21')).planVersionId).toBe(next.id);

  const take = (body: object) =>
    manager.post<WholeSession>(`${at('2026-09-14')}/take-plan-version`, body, { ifMatch: early.revision });
  expect((await take({})).status).toBe(409);
  const taken = await take({ planVersionId: next.id });
  expect(taken.body.planVersionId).toBe(next.id);
  const newest = (revision: number) =>
    manager.post<WholeSession & { detail: string }>(`${at('2026-09-14')}/take-plan-version`, {}, { ifMatch: revision });
  const backwards = await newest(taken.body.revision);
  expect([backwards.status, backwards.body.detail]).toEqual([
    409,
    'The session is on version 2, and no newer one is in effect that day.',
  ]);
  await lead.post(`/lesson-plans/${plan.id}/versions/2/withdraw`, { reason: 'The mats leave a gap.' });
  const { revision: now } = (await manager.get<WholeSession>(at('2026-09-14'))).body;
  expect((await newest(now)).body.planVersionId).toBe(plan.first.id);

  const waiting = await plan.lessons.aDraft(programme.id);
  const { revision } = await plan.lessons.write(waiting.id, 1, plan.said);
  await plan.lessons.publish(waiting.id, revision, { effectiveWeek: '2026-10-05' });
  const more = await sessionsOf(monday, '2026-09-28');
  const soon = await manager.post(
    `/gyms/${f.gym.id}/sessions/${more['2026-09-28']}/lay-out`,
    { planId: waiting.id },
    { ifMatch: 1 },
  );
  expect([soon.status, soon.body.errors[0]?.pointer]).toEqual([422, '/planId']);
  const tuesday = await lead.post(
    `/lesson-plans/${waiting.id}/draft/publish`,
    { effectiveWeek: '2026-10-06' },
    { ifMatch: 1 },
  );
  expect(tuesday.body.errors[0]?.pointer).toBe('/effectiveWeek');
});
