import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import type { Feedback } from '../../src/features/teaching/feedback-schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, writing } from '../support/a-draft.ts';
import { aLesson } from '../support/a-lesson.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
afterAll(() => api.close());

test('a coach’s day: the sheet, an adaptation, the lesson, ticks, skills, feedback; the lead learns from it', async () => {
  api.clock.set('2026-09-14T08:00:00Z');
  const lesson = await aLesson(api);
  const { f, gym, coach, lead, session, block, stationId, drills, skills, children, coachId } = lesson;
  const [aoife = '', brian = ''] = children;
  await f.arrange((tx) =>
    tx.insert(t.personHealth).values({ franchiseId: f.id, personId: aoife, alerts: 'Nut allergy: pen in the red bag' }),
  );
  const sheetAt = `${gym}/sessions/${session.id}/sheet`;
  const before = await coach.get<LessonSheet>(sheetAt);
  expect(before.status, before.text).toBe(200);
  expect(before.body).toMatchObject({
    className: 'Monday tumblers',
    levels: ['Bronze'],
    day: '2026-09-14',
    coach: { personId: coachId, name: 'Ciara Doyle' },
    plan: { title: 'Rolls', number: 1, withdrawn: false },
    change: 'Chalk is in the red box.',
    focus: [{ apparatus: 'bars', nextWeek: 'Next week from a standing start.' }],
    alerts: [{ athleteId: aoife, name: 'Aoife Walsh', group: 'Group 1', alerts: 'Nut allergy: pen in the red bag' }],
    parts: [
      {
        title: 'Bars',
        minutes: 20,
        classRule: 'One at a time.',
        turns: [
          {
            blockId: block.id,
            group: 'Group 1',
            startsAt: '2026-09-14T16:00:00.000Z',
            areas: ['bars'],
            athletes: 4,
            staff: [{ personId: coachId, duty: 'lead' }],
            spotters: [{ personId: coachId, stationId, station: 'Low bar' }],
            unspotted: [],
            covered: true,
            standIns: [{ personId: coachId, outcome: 'nobody', by: [] }],
            notYetShown: [{ skillId: skills.hang, athletes: 4 }],
          },
        ],
        stations: [
          {
            name: 'Low bar',
            fromMinute: 0,
            toMinute: 20,
            setUp: {
              words: 'Bar at chin height',
              staysUp: true,
              pieces: [{ apparatus: 'floor', amount: 1, job: 'landing', orInstead: ['2 × vault'], insteadOf: null }],
            },
            spotting: { mode: 'stand-by', by: 'Hand spotting, basic' },
            steps: [
              { drills: [{ name: 'Tuck hang', ifItGoesWrong: 'Hang, then drop to two feet.' }], dose: '3 turns' },
              { drills: [{ name: 'Long hang' }], weight: 'if-time', fromLevel: 'Bronze' },
            ],
            adapted: [],
          },
        ],
      },
    ],
  });
  const { rows } = await api.database.ownerPool.query(
    `SELECT data FROM events WHERE franchise_id = $1 AND name = 'people.health-read'`,
    [f.id],
  );
  expect(rows).toEqual([{ data: { athleteIds: [aoife] } }]);

  const adapt = (change: Adaptation['change'], reason: string) =>
    coach.post<Adaptation>(`${gym}/adaptations`, { per: 'block', unitId: block.id, stationId, change, reason });
  const easier = await adapt({ kind: 'drill', drillId: drills.hang.id }, 'Two are new.');
  expect([easier.status, easier.body.direction, easier.body.blockIds], easier.text).toEqual([
    201,
    'easier',
    [block.id],
  ]);
  expect((await adapt({ kind: 'drop-step', step: 2 }, 'It starts late.')).status).toBe(201);
  expect((await adapt({ kind: 'set-up', piece: 1, choice: 1 }, 'The mat is wet.')).status).toBe(201);
  const [station] = (await coach.get<LessonSheet>(sheetAt)).body.parts[0]?.stations ?? [];
  expect(station).toMatchObject({
    spotting: { mode: 'none', by: null },
    setUp: { pieces: [{ apparatus: 'vault', amount: 2, orInstead: ['1 × floor'], insteadOf: '1 × floor' }] },
    steps: [{ drills: [{ name: 'Long hang', insteadOf: ['Tuck hang'] }] }],
    adapted: [
      { what: 'Do Long hang here.', reason: 'Two are new.', by: 'Ciara Doyle' },
      { what: 'Leave out Long hang.', reason: 'It starts late.' },
      { what: 'Something else instead of floor.', reason: 'The mat is wet.' },
    ],
  });

  const at = `${gym}/blocks/${block.id}`;
  const tick = { stations: [{ stationId, outcome: 'adapted', why: 'Long hang instead' }] };
  expect((await coach.put(`${at}/taught`, tick)).status).toBe(409);
  expect((await coach.put(`${at}/skills`, { skillId: skills.hang, everyone: 'alone' })).status).toBe(409);
  expect((await coach.put(`${at}/feedback`, { stations: [{ stationId, answer: 'worked' }] })).status).toBe(409);
  api.clock.set('2026-09-14T16:25:00Z');
  const ticked = await coach.put(`${at}/taught`, tick);
  expect([ticked.status, ticked.body.stations], ticked.text).toEqual([
    200,
    [
      {
        stationId,
        station: 'Low bar',
        outcome: 'adapted',
        why: 'Long hang instead',
        tickedAt: '2026-09-14T16:25:00.000Z',
      },
    ],
  ]);
  expect((await coach.get(`${at}/taught`)).body).toEqual(ticked.body);
  const shown = await coach.put(`${at}/skills`, {
    skillId: skills.hang,
    everyone: 'alone',
    shown: [{ athleteId: brian, how: 'with-help' }],
  });
  expect(shown.status, shown.text).toBe(200);
  expect(shown.body.shown).toHaveLength(4);
  const desk = api.as(f.deskOf(f.gym));
  await desk.post(`${gym}/not-coming`, { athletes: [{ athleteId: brian, sessionId: session.id }] });
  const there = await coach.put(`${at}/skills`, { skillId: skills.hang, everyone: 'alone' });
  expect(there.body.shown).not.toContainEqual(expect.objectContaining({ athleteId: brian }));
  expect(there.body.shown).toHaveLength(3);
  const skillsOf = (athleteId: string) => coach.get(`${gym}/athletes/${athleteId}/skills`);
  expect((await skillsOf(aoife)).body.items).toMatchObject([{ skillId: skills.hang, best: 'alone', daysAlone: 1 }]);
  expect((await skillsOf(brian)).body.items).toMatchObject([{ best: 'with-help', last: 'with-help', daysAlone: 0 }]);
  const answered = await coach.put<{ items: Feedback[] }>(`${at}/feedback`, {
    stations: [{ stationId, answer: 'too-hard', line: 'The bar is too high for four of them.' }],
  });
  expect(answered.body.items).toMatchObject([{ answer: 'too-hard', by: { name: 'Ciara Doyle' }, reply: null }]);

  const feedback = `/lesson-plans/${lesson.plan.id}/versions/1/feedback`;
  expect((await lead.get(feedback)).body).toMatchObject({
    blocksTaught: 1,
    stations: [
      {
        stationId,
        block: 'Bars',
        station: 'Low bar',
        answers: { worked: 0, 'too-hard': 1, 'too-easy': 0, 'no-kit': 0, unsure: 0 },
        adapted: 1,
        done: 0,
        lines: 1,
        unreplied: 1,
      },
    ],
  });
  const [said] = (await lead.get<{ items: Feedback[] }>(`${feedback}/answers?answer=too-hard`)).body.items;
  const replied = await lead.post<Feedback>(`/feedback/${said?.id}/reply`, { reply: 'Long hang from next week.' });
  expect([replied.status, replied.body.reply]).toEqual([201, 'Long hang from next week.']);
  expect((await coach.get<{ items: Feedback[] }>(`${at}/feedback`)).body.items[0]?.reply).toBe(
    'Long hang from next week.',
  );
  expect((await lead.get(`${feedback}`)).body.stations).toMatchObject([{ unreplied: 0 }]);

  const write = writing(f, lead);
  const next = write.aStation([drills.hang.id], { name: 'Low bar', apparatusId: f.apparatus.bars });
  const second = await write.publishNext(lesson.plan.id, { focus: [], blocks: [aBlock([next], { title: 'Bars' })] });
  expect((await lead.get(`/lesson-plans/${lesson.plan.id}/versions/${second.number}/feedback`)).body).toMatchObject({
    blocksTaught: 0,
    stations: [{ answers: { 'too-hard': 0 } }],
  });
  const undo = await coach.post(`${gym}/adaptations/${easier.body.id}/undo`);
  expect([undo.status, undo.body.detail], 'what was taught stays').toEqual([
    409,
    'No block ahead is taught otherwise by that.',
  ]);

  // A week later, taught as planned again: the sheet flags what leads there, of those who have not shown it alone.
  const of = await aClass(f, { programme: lesson.plan.programme, levels: [lesson.plan.programme.levels[0]] });
  const nextWeek = await aSession(f, {
    plan: lesson.plan,
    class: of,
    day: '2026-09-21',
    groups: [children],
  });
  const [ahead] = nextWeek.blocks;
  if (ahead) await anAssignment(f, ahead, coachId, { day: '2026-09-21' });
  const flagged = await coach.get<LessonSheet>(`${gym}/sessions/${nextWeek.id}/sheet`);
  expect(flagged.body.parts[0]?.turns[0]?.notYetShown).toEqual([
    { skillId: skills.hang, skill: expect.any(String), athletes: 1, names: ['Brian Walsh'] },
  ]);
});
