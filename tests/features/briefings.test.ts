import { sql } from 'drizzle-orm';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type {
  Briefing,
  PlanDifferences,
  Question,
  Reader,
  Seen,
} from '../../src/features/curriculum/briefing-schema.ts';
import type { AffectedByWithdrawal } from '../../src/features/curriculum/plan-schema.ts';
import { events } from '../../src/platform/events/table.ts';
import { aBlock, aStep, content, writing } from '../support/a-draft.ts';
import { aFranchise, aMember, type Franchise, type Member } from '../support/a-franchise.ts';
import { aPublishedPlan } from '../support/a-plan.ts';
import { aClass, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
let f: Franchise;
let lead: Caller;
let lessons: ReturnType<typeof writing>;
let here: Member;
let there: Member;
beforeAll(async () => {
  api = await openApi();
  f = await aFranchise(api, { gyms: 2 });
  lead = api.as(f.lead);
  lessons = writing(f, lead);
  here = f.coachOf(f.gym);
  there = f.coachOf(f.gyms[1] ?? f.gym);
});
afterAll(() => api.close());

const happened = (subjectId: string) =>
  f.arrange(async (tx) => {
    const rows = await tx
      .select({ name: events.name })
      .from(events)
      .where(sql`franchise_id = ${f.id} AND subject_id = ${subjectId}`)
      .orderBy(events.id);
    return rows.map(({ name }) => name);
  });

/** A plan whose first version is published, and what it says. */
async function aPublished(programmeId?: string, weekOf?: string) {
  const plan = await lessons.aDraft(programmeId, weekOf);
  const said = content(aBlock([lessons.aStation([(await lessons.aDrill()).id])]));
  const draft = await lessons.write(plan.id, plan.draft.revision, said);
  const version = await lessons.publish(plan.id, draft.revision);
  return { plan, said, version, at: `/lesson-plans/${plan.id}/versions` };
}

test('a lead’s week: publish, change, brief; a coach sees it and asks; the lead answers; then it is withdrawn', async () => {
  const { plan, said, at } = await aPublished();
  const [floor] = said.blocks;
  if (!floor) throw new Error('it has a block');
  const note = 'The wedge is lower this week.';
  const changed = content({ ...floor, minutes: 20 }, aBlock(floor.stations, { title: 'Again', classRule: 'Quietly.' }));
  const second = await lessons.publishNext(plan.id, changed, { effectiveWeek: '2026-09-21', note });
  expect(second).toMatchObject({ number: 2, effectiveWeek: '2026-09-21', note, state: 'published' });

  const differences = (await api.as(here).get<PlanDifferences>(`${at}/2/differences`)).body;
  expect(differences).toEqual({
    planId: plan.id,
    from: 1,
    to: 2,
    more: 0,
    differences: [
      {
        kind: 'changed',
        what: 'block',
        field: 'minutes',
        pointer: '/blocks/0/minutes',
        sentence: '“Floor”: the time is 20 min now; it was 15 min.',
      },
      {
        kind: 'added',
        what: 'block',
        field: null,
        pointer: '/blocks/1',
        sentence: '“Again” is new, in second place.',
      },
    ],
  });
  const back = (await lead.get<PlanDifferences>(`${at}/1/differences?from=2`)).body;
  expect(back.differences.map(({ sentence }) => sentence)).toEqual([
    '“Floor”: the time is 15 min now; it was 20 min.',
    '“Again” is taken out.',
  ]);

  const briefing = (await api.as(here).get<Briefing>(`${at}/2/briefing`)).body;
  expect(briefing).toEqual({
    planId: plan.id,
    number: 2,
    title: plan.title,
    weekOf: plan.weekOf,
    effectiveWeek: '2026-09-21',
    publishedAt: second.publishedAt,
    withdrawn: false,
    note,
    since: { what: 'version', planId: plan.id, number: 1, title: plan.title, weekOf: plan.weekOf },
    differences: differences.differences,
    more: 0,
    seenAt: null,
  });

  const seen = await api.as(here).post<Seen>(`${at}/2/briefing/seen`);
  expect([seen.status, seen.body]).toEqual([
    200,
    { planId: plan.id, number: 2, seenAt: api.clock.now().toISOString() },
  ]);
  api.clock.advance({ minutes: 5 });
  expect((await api.as(here).post<Seen>(`${at}/2/briefing/seen`)).body).toEqual(seen.body);
  expect((await api.as(here).get<Briefing>(`${at}/2/briefing`)).body.seenAt).toBe(seen.body.seenAt);
  expect((await happened(second.id)).filter((name) => name === 'curriculum.briefing-seen')).toHaveLength(1);

  const question = 'Is the wedge the long one?';
  const asked = await api.as(here).post<Question>(`${at}/2/briefing/questions`, { question });
  expect(asked.status).toBe(201);
  expect(asked.body).toEqual({
    id: asked.body.id,
    planId: plan.id,
    number: 2,
    question,
    askedBy: { accountId: here.accountId, personId: here.personId, name: { given: 'Ciara', family: 'Doyle' } },
    askedAt: api.clock.now().toISOString(),
    answer: null,
    answeredAt: null,
  });
  expect((await lead.get('/briefing-questions?answered=false')).body.items).toEqual([asked.body]);

  const answer = 'The short one.';
  const answered = await lead.post<Question>(`/briefing-questions/${asked.body.id}/answer`, { answer });
  expect(answered.body).toEqual({ ...asked.body, answer, answeredAt: api.clock.now().toISOString() });
  const again = await lead.post(`/briefing-questions/${asked.body.id}/answer`, { answer: 'The long one.' });
  expect([again.status, again.body.type]).toEqual([409, '/problems/conflict']);
  expect((await lead.get('/briefing-questions?answered=false')).body.items).toEqual([]);
  expect((await api.as(there).get(`${at}/2/briefing/questions`)).body.items).toEqual([answered.body]);
  expect((await api.as(there).get(`${at}/1/briefing/questions`)).body.items).toEqual([]);
  expect(await happened(asked.body.id)).toEqual(['curriculum.briefing-asked', 'curriculum.briefing-answered']);

  const reason = 'The landing has a gap between the mats.';
  expect((await lead.post(`${at}/2/withdraw`, { reason })).status).toBe(200);
  expect((await api.as(here).get<Briefing>(`${at}/2/briefing`)).body.withdrawn).toBe(true);
});

test('who has seen it is told by gym, coach by coach', async () => {
  const { at } = await aPublished();
  await api.as(there).post(`${at}/1/briefing/seen`);
  const everywhere = await aMember(f, { role: 'coach' });
  const readers = async (as: Member, query = '') =>
    (await api.as(as).get<{ items: Reader[]; next: string | null }>(`${at}/1/briefing/readers${query}`)).body.items;
  const [gym, other] = f.gyms;
  if (!other) throw new Error('there are two gyms');

  const of = (member: Member, gymIds: string[], seenAt: string | null, name: Reader['name']) => ({
    accountId: member.accountId,
    personId: member.personId,
    name,
    gymIds,
    seenAt,
  });
  const ciara = { given: 'Ciara', family: 'Doyle' };
  const all = [
    of(here, [gym.id], null, ciara),
    of(there, [other.id], api.clock.now().toISOString(), ciara),
    of(everywhere, [], null, null),
  ].sort((a, b) => (a.accountId < b.accountId ? -1 : 1));
  const without = (...members: Member[]) => all.filter((one) => !members.some((m) => m.accountId === one.accountId));
  expect(await readers(f.lead)).toEqual(all);
  expect(await readers(f.lead, '?seen=true')).toEqual(without(here, everywhere));
  expect(await readers(f.lead, '?seen=false')).toEqual(without(there));
  expect(await readers(f.lead, `?gymId=${gym.id}`)).toEqual(without(there));
  expect(await readers(f.managerOf(other))).toEqual(without(here));

  const first = await lead.get(`${at}/1/briefing/readers?limit=2`);
  const rest = await lead.get(`${at}/1/briefing/readers?limit=2&cursor=${first.body.next}`);
  expect([...first.body.items, ...rest.body.items]).toEqual(all);
  expect(rest.body.next).toBeNull();

  const strange = await api.as(f.managerOf(gym)).get(`${at}/1/briefing/readers?gymId=${other.id}`);
  expect(strange.status).toBe(404);
});

test('a plan’s first version is compared with the latest earlier week that shares a programme', async () => {
  const { id: programmeId } = await lessons.aProgramme();
  const first = await aPublished(programmeId, '2026-09-14');
  const alone = (await api.as(here).get<Briefing>(`${first.at}/1/briefing`)).body;
  expect([alone.since, alone.differences]).toEqual([null, []]);

  await aPublished(undefined, '2026-09-21');
  const later = await aPublished(programmeId, '2026-09-28');
  const { since, differences } = (await api.as(here).get<Briefing>(`${later.at}/1/briefing`)).body;
  expect(since).toMatchObject({ what: 'week', planId: first.plan.id, number: 1, weekOf: '2026-09-14' });
  expect(differences.map(({ what, field }) => [what, field])).toEqual([['step', 'drillIds']]);
});

test('a version that changes more than can be read names the first 500 differences and counts the rest', async () => {
  const drill = await lessons.aDrill();
  const turns = (amount: number) =>
    content(
      ...Array.from({ length: 15 }, (_, b) =>
        aBlock(
          Array.from({ length: 12 }, (__, s) =>
            lessons.aStation([], {
              name: `Station ${b} ${s}`,
              steps: [2, 3, 4].map((sets) =>
                aStep([drill.id], { dose: { amount, unit: 'turns', sets, eachSide: false, note: null } }),
              ),
            }),
          ),
          { title: `Block ${b}` },
        ),
      ),
    );
  const plan = await lessons.aDraft();
  await lessons.publish(plan.id, (await lessons.write(plan.id, 1, turns(3))).revision);
  await lessons.publishNext(plan.id, turns(5));
  const { differences, more } = (await lead.get<PlanDifferences>(`/lesson-plans/${plan.id}/versions/2/differences`))
    .body;
  expect([differences.length, more]).toEqual([500, 40]);
  expect(new Set(differences.map(({ what, field }) => `${what} ${field}`))).toEqual(new Set(['step dose']));
});

test('there is no briefing of a draft, and no comparing with what is not there', async () => {
  const { plan, at } = await aPublished();
  await lead.post(`/lesson-plans/${plan.id}/versions`);
  for (const path of [`${at}/2/briefing`, `${at}/2/briefing/questions`, `${at}/2/briefing/readers`]) {
    expect((await lead.get(path)).status).toBe(404);
  }
  expect((await lead.post(`${at}/2/briefing/seen`)).status).toBe(404);
  expect((await lead.post(`${at}/2/briefing/questions`, { question: 'What for?' })).status).toBe(404);
  expect((await lead.get<PlanDifferences>(`${at}/2/differences`)).body.differences).toEqual([]);
  expect((await api.as(here).get(`${at}/2/differences`)).status).toBe(404);
  expect((await lead.get(`${at}/1/differences?from=7`)).status).toBe(404);
  const nothing = { planId: plan.id, from: null, to: 1, differences: [], more: 0 };
  expect((await lead.get(`${at}/1/differences`)).body).toEqual(nothing);
  expect((await lead.get(`${at}/1/differences?from=0`)).status).toBe(422);
});

test('coaches ask and do not answer; the desk reads the briefing and no more', async () => {
  const { at } = await aPublished();
  const asked = await api.as(here).post<Question>(`${at}/1/briefing/questions`, { question: 'Which mat?' });
  const answer = { answer: 'The thin one.' };
  for (const member of [here, f.managerOf(f.gym), f.deskOf(f.gym)]) {
    expect((await api.as(member).post(`/briefing-questions/${asked.body.id}/answer`, answer)).status).toBe(403);
    expect((await api.as(member).get('/briefing-questions')).status).toBe(403);
  }
  const desk = api.as(f.deskOf(f.gym));
  expect((await desk.get(`${at}/1/briefing`)).status).toBe(200);
  expect((await desk.post(`${at}/1/briefing/seen`)).status).toBe(403);
  expect((await api.as(here).get(`${at}/1/briefing/readers`)).status).toBe(403);
  expect((await api.as(here).post(`${at}/1/briefing/questions`, { question: 'x'.repeat(501) })).status).toBe(422);
});

test('before a withdrawal the lead sees what it would affect at every gym, and nothing is done yet', async () => {
  const plan = await aPublishedPlan(f, { blocks: [{}, {}] });
  const other = await aClass(f, { gym: f.gyms[1] ?? f.gym, programme: plan.programme, weekday: 2 });
  const past = await aSession(f, { plan, day: '2026-08-31' });
  const ours = await aSession(f, { plan, groups: [1], confirmed: true, class: past.class });
  const theirs = await aSession(f, { plan, class: other, day: '2026-09-15', groups: [1, 1] });
  const path = `/lesson-plans/${plan.id}/versions/1/withdraw`;
  const reason = 'The beam wobbles.';

  type Withdrawn = { affected: AffectedByWithdrawal; settled: { unconfirmed: unknown[] } };
  const asked = await lead.post<Withdrawn>(path, { reason }, { dryRun: true });
  expect(asked.status, asked.text).toBe(200);
  const sessionOf = (session: typeof ours, confirmedCount: number) => ({
    gymId: session.gym.id,
    sessionId: session.id,
    className: 'Monday tumblers',
    day: session.day,
    startsAt: session.groups[0]?.blocks[0]?.startsAt.toISOString(),
    blockIds: expect.toSatisfy((ids: string[]) => {
      const all = session.groups.flatMap(({ blocks }) => blocks.map(({ id }) => id));
      return ids.length === all.length && all.every((id) => ids.includes(id));
    }),
    confirmedCount,
  });
  const gyms = [
    { gymId: ours.gym.id, sessionCount: 1, blockCount: 2, confirmedCount: 2 },
    { gymId: theirs.gym.id, sessionCount: 1, blockCount: 4, confirmedCount: 0 },
  ].sort((a, b) => (a.gymId < b.gymId ? -1 : 1));
  expect(asked.body.affected).toEqual({ gyms, sessions: [sessionOf(ours, 2), sessionOf(theirs, 0)], moreSessions: 0 });
  expect(asked.body.settled.unconfirmed).toHaveLength(2);
  expect((await lead.get(`/lesson-plans/${plan.id}/versions/1`)).body.state).toBe('published');

  const done = await lead.post<Withdrawn>(path, { reason });
  expect(done.body.affected).toEqual(asked.body.affected);
});
