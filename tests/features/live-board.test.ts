import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import type { Board, BoardRoom } from '../../src/features/live/schema.ts';
import * as t from '../../src/tables/index.ts';
import { aBoard, aFloater } from '../support/a-board.ts';
import { eventsAbout } from '../support/a-door.ts';
import { aFranchise } from '../support/a-franchise.ts';
import { ruleBody } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

const FIVE_PAST = '2026-09-14T16:05:00Z';
const blocksOf = (board: Board) => board.sessions.flatMap(({ blocks }) => blocks);
const kindsOf = (board: Board) => board.ahead.map(({ kind }) => kind);
/** Whoever has anybody to look after needs somebody on the premises. */
const SOMEBODY_THERE = {
  per: 'premises' as const,
  floors: [{ fromAthletes: 1, toAthletes: null, posts: [{ people: 1, who: { test: 'all' as const, of: [] } }] }],
};

describe('the board', () => {
  test('has what comes next, with whoever is expected', async () => {
    const it = await aBoard(api);
    const board = await it.read();
    expect(board).toMatchObject({
      gymId: it.f.gym.id,
      at: '2026-09-14T15:50:00.000Z',
      day: '2026-09-14',
      sessions: [
        {
          sessionId: it.session.id,
          name: 'Monday tumblers',
          state: 'next',
          startsAt: '2026-09-14T16:00:00.000Z',
          endsAt: '2026-09-14T16:40:00.000Z',
          present: 0,
          expected: 3,
          blocks: [
            {
              name: 'Beam (Monday tumblers, Group 1)',
              group: 'Group 1',
              state: 'next',
              present: 0,
              expected: 3,
              onHold: 0,
              covered: true,
              needed: 1,
              counted: '1',
              findings: [],
              athletes: it.children.map((athleteId, index) => ({
                athleteId,
                name: `Child ${index + 1} Walsh`,
                state: 'expected',
              })),
              staff: [{ personId: it.coach, name: 'Niamh Byrne', duty: 'lead', state: 'not-in', there: true }],
            },
            { name: 'Bars (Monday tumblers, Group 1)', state: 'next' },
          ],
        },
      ],
      premises: { athletes: 0, staff: [], covered: true },
      notCollected: { count: 0, athletes: [] },
      ahead: [],
    });
  });

  test('shows nothing that starts in more than an hour, nor what has ended', async () => {
    const it = await aBoard(api);
    api.clock.set('2026-09-14T14:59:00Z');
    expect((await it.read()).sessions).toEqual([]);
    api.clock.set('2026-09-14T16:20:00Z');
    expect(blocksOf(await it.read()).map(({ name, state }) => [name.slice(0, 4), state])).toEqual([
      ['Bars', 'running'],
    ]);
    api.clock.set('2026-09-14T16:40:00Z');
    expect((await it.read()).sessions).toEqual([]);
  });

  test('counts who is there, expected, on hold, absent, gone and out of the hall; and judges by who is there', async () => {
    const it = await aBoard(api, { children: 6 });
    const [one, two, three, four, five] = it.children as [string, string, string, string, string];
    await it.checkIn([one, two, three]);
    await it.desk.post(`${it.gym}/not-coming`, { athletes: [{ athleteId: four, sessionId: it.session.id }] });
    await it.f.arrange((tx) =>
      tx.insert(t.activityHolds).values({
        franchiseId: it.f.id,
        id: crypto.randomUUID(),
        athleteId: five,
        since: new Date('2026-09-10T16:00:00Z'),
        why: 'suspected concussion',
      }),
    );
    await it.checkIn([five]);
    api.clock.set(FIVE_PAST);
    await it.desk.post(`${it.gym}/outings`, {
      sessionId: it.session.id,
      athleteId: one,
      withPersonId: null,
      why: 'toilet',
    });
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: two }], collectedBy: { alone: true } });
    const [block] = blocksOf(await it.read());
    expect(block).toMatchObject({
      state: 'running',
      present: 2,
      outOfHall: 1,
      expected: 1,
      onHold: 1,
      covered: true,
      needed: 1,
      athletes: [
        { athleteId: one, name: 'Child 1 Walsh', state: 'out-of-hall' },
        { athleteId: three, state: 'present' },
        { athleteId: five, state: 'on-hold' },
        { athleteId: it.children[5], state: 'expected' },
      ],
    });
    expect((await it.read()).premises.athletes).toBe(1);
  });

  test('counts a guest, a trial and a make-up who have no place in a group', async () => {
    const it = await aBoard(api);
    const dara = await anAthlete(it.f, { given: 'Dara', family: 'Quinn' });
    await it.checkIn(it.children);
    api.clock.set(FIVE_PAST);
    expect(blocksOf(await it.read())[0]).toMatchObject({ present: 3, covered: true });
    await it.desk.post(`${it.gym}/check-ins`, {
      arrivals: [{ athleteId: dara, sessionId: it.session.id, kind: 'trial' }],
    });
    const [block] = blocksOf(await it.read());
    expect(block).toMatchObject({ present: 4, covered: false, needed: 2, counted: '1', findings: [{ code: 'short' }] });
    expect(block?.findings[0]?.sentence).toBe(
      'Beam (Monday tumblers, Group 1), 17:00 to 17:20: 4 athletes with the youngest aged 8 need 2 coaches (One to eight, any age at most 3); 1 counts.',
    );
  });

  test('changes with facts alone: a minute later it differs in `at`', async () => {
    const it = await aBoard(api, { children: 4 });
    await it.checkIn(it.children);
    await it.staff(it.coach, 'in');
    api.clock.set(FIVE_PAST);
    const { at, ...then } = await it.read();
    api.clock.advance({ minutes: 1 });
    const { at: later, ...now } = await it.read();
    expect(blocksOf(await it.read())[0]?.findings).toHaveLength(1);
    expect(now).toEqual(then);
    expect(later > at).toBe(true);
  });

  test('a coach who has left, is on a break or is out with a child does not count meanwhile', async () => {
    const it = await aBoard(api);
    await it.staff(it.coach, 'in');
    await it.checkIn(it.children);
    api.clock.set(FIVE_PAST);
    const first = async () => {
      const [block] = blocksOf(await it.read());
      return [block?.covered, block?.counted, block?.staff.map(({ state, there }) => [state, there])];
    };
    expect(await first()).toEqual([true, '1', [['in', true]]]);
    await it.staff(it.coach, 'break');
    expect(await first()).toEqual([false, '0', [['on-break', false]]]);
    api.clock.advance({ minutes: 1 });
    await it.staff(it.coach, 'back');
    expect(await first()).toEqual([true, '1', [['in', true]]]);
    api.clock.advance({ minutes: 1 });
    const outing = await it.desk.post(`${it.gym}/outings`, {
      sessionId: it.session.id,
      athleteId: it.children[0],
      withPersonId: it.coach,
      why: 'first aid',
    });
    expect(await first()).toEqual([false, '0', [['out-of-hall', false]]]);
    expect((await it.read()).premises).toMatchObject({ athletes: 1, staff: [{ personId: it.coach }] });
    api.clock.advance({ minutes: 1 });
    await it.desk.post(`${it.gym}/outings/${outing.body.outingId}/back`, {});
    expect(await first()).toEqual([true, '1', [['in', true]]]);
    api.clock.advance({ minutes: 1 });
    await it.staff(it.coach, 'out');
    expect(await first()).toEqual([false, '0', [['left', false]]]);
  });

  test('an outing that nobody ended is over with its session, for the coach too, though the child has left', async () => {
    const it = await aBoard(api);
    const [child] = it.children as [string];
    const of = await aClass(it.f, { programme: it.session.plan.programme, startsAt: '17:45' });
    const later = await aSession(it.f, { plan: it.session.plan, class: of, groups: [1] });
    await anAssignment(it.f, later.blocks[0]!, it.coach);
    await it.checkIn([child]);
    api.clock.set('2026-09-14T16:10:00Z');
    const outing = { sessionId: it.session.id, athleteId: child, withPersonId: it.coach, why: 'first aid' };
    await it.desk.post(`${it.gym}/outings`, outing);
    api.clock.set('2026-09-14T16:20:00Z');
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: child }], collectedBy: { alone: true } });
    api.clock.set('2026-09-14T16:50:00Z');
    await it.checkIn(later.groups[0]!.athletes);
    expect(blocksOf(await it.read())[0]).toMatchObject({ covered: true, counted: '1', staff: [{ there: true }] });
  });

  test('a coach who has not checked in counts by the plan, until a colleague has', async () => {
    const it = await aBoard(api);
    const second = await aStaffMember(it.f, { given: 'Ana', family: 'Reyes' });
    await anAssignment(it.f, it.session.blocks[0]!, second, { duty: 'assist' });
    await it.checkIn(it.children);
    api.clock.set(FIVE_PAST);
    expect(blocksOf(await it.read())[0]).toMatchObject({ counted: '2' });
    await it.staff(second, 'in');
    const [block] = blocksOf(await it.read());
    expect(block).toMatchObject({ counted: '1' });
    expect(block?.staff.map(({ name, state, there }) => [name, state, there]).sort()).toEqual([
      ['Ana Reyes', 'in', true],
      ['Niamh Byrne', 'not-in', false],
    ]);
  });

  test('a child who is not collected stays supervised, and the board says so', async () => {
    const it = await aBoard(api, { rules: [SOMEBODY_THERE] });
    const [one, two] = it.children as [string, string];
    await it.staff(it.coach, 'in');
    await it.checkIn([one, two]);
    api.clock.set('2026-09-14T16:50:00Z');
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: two }], collectedBy: { alone: true } });
    const waiting = await it.read();
    expect(waiting).toMatchObject({
      sessions: [],
      premises: { athletes: 1, staff: [{ personId: it.coach, state: 'in', there: true }], covered: true },
      notCollected: {
        count: 1,
        athletes: [
          { athleteId: one, name: 'Child 1 Walsh', sessionId: it.session.id, since: '2026-09-14T16:40:00.000Z' },
        ],
      },
    });
    await it.staff(it.coach, 'out');
    const alone = await it.read();
    expect(alone.premises).toMatchObject({ athletes: 1, staff: [], covered: false, findings: [{ code: 'floor' }] });
    expect(alone.premises.findings[0]?.sentence).toMatch(/1 athlete needs 1 person at named posts/);
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: one }], collectedBy: { alone: true } });
    expect(await it.read()).toMatchObject({ premises: { athletes: 0, covered: true }, notCollected: { count: 0 } });
  });

  test('past midnight too, until they are collected, or it is morning', async () => {
    const it = await aBoard(api, { rules: [SOMEBODY_THERE] });
    const [one] = it.children as [string];
    await it.checkIn([one]);
    const waiting = { premises: { athletes: 1 }, notCollected: { count: 1, athletes: [{ athleteId: one }] } };
    const nobody = { day: '2026-09-15', premises: { athletes: 0 }, notCollected: { count: 0 } };
    api.clock.set('2026-09-14T23:10:00Z'); // Ten past midnight in Dublin.
    expect(await it.read()).toMatchObject({ day: '2026-09-14', ...waiting });
    api.clock.set('2026-09-15T05:00:00Z'); // Six there: whoever was not marked out has left.
    expect(await it.read()).toMatchObject(nobody);
    api.clock.set('2026-09-14T23:20:00Z');
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: one }], collectedBy: { alone: true } });
    expect(await it.read()).toMatchObject(nobody);
  });

  test('not past the first class of the morning: whoever was not marked out keeps nobody from seeing it', async () => {
    const it = await aBoard(api, { rules: [SOMEBODY_THERE] });
    const { f, session } = it;
    const [one] = it.children as [string];
    await it.checkIn([one]);
    const early = { class: session.class, plan: session.plan, groups: [1], day: '2026-09-15', startsAt: '05:30' };
    const squad = await aSession(f, early);
    api.clock.set('2026-09-15T03:29:00Z'); // An hour and a minute before.
    expect(await it.read()).toMatchObject({ day: '2026-09-14', notCollected: { count: 1 } });
    api.clock.set('2026-09-15T03:31:00Z');
    expect(await it.read()).toMatchObject({
      day: '2026-09-15',
      sessions: [{ sessionId: squad.id, state: 'next', expected: 1 }],
    });
    api.clock.set('2026-09-15T04:35:00Z');
    await it.desk.post(`${it.gym}/check-ins`, {
      arrivals: [{ athleteId: squad.groups[0]?.athletes[0], sessionId: squad.id }],
    });
    expect(await it.read()).toMatchObject({
      day: '2026-09-15',
      sessions: [{ sessionId: squad.id, state: 'running', present: 1, blocks: [{ covered: false }, {}] }],
    });
  });
});

describe('a floater', () => {
  test('is sent when a coach leaves, with one request, and comes back with one', async () => {
    const it = await aBoard(api);
    const ana = await aFloater(it.f);
    await it.staff(it.coach, 'in');
    await it.staff(ana, 'in');
    await it.checkIn(it.children);
    api.clock.set(FIVE_PAST);
    expect((await it.read()).premises.staff).toMatchObject([{ personId: ana, duty: 'assist', state: 'in' }]);
    await it.staff(it.coach, 'out');
    const short = blocksOf(await it.read())[0];
    expect(short).toMatchObject({ covered: false, findings: [{ code: 'short' }] });
    expect(short?.findings[0]?.sentence).toMatch(/3 athletes .* need 1 coach .*; nobody counts/);

    const [block] = it.session.blocks;
    const sent = await it.manager.post<{ assignment: { id: string } }>(`${it.gym}/blocks/${block?.id}/assignments`, {
      personId: ana,
      duty: 'assist',
      startsAt: FIVE_PAST,
      givingUpOthers: true,
    });
    expect(sent.status).toBe(201);
    const covered = await it.read();
    expect(blocksOf(covered)[0]).toMatchObject({ covered: true, counted: '1' });
    expect(covered.premises.staff).toEqual([]);

    api.clock.advance({ minutes: 5 });
    const back = await it.manager.post(`${it.gym}/premises/assignments`, {
      personId: ana,
      duty: 'assist',
      startsAt: '2026-09-14T16:10:00Z',
      endsAt: '2026-09-14T16:20:00Z',
      givingUpOthers: true,
    });
    expect(back.status).toBe(201);
    const again = await it.read();
    expect(blocksOf(again)[0]).toMatchObject({ covered: false });
    expect(again.premises.staff).toMatchObject([{ personId: ana }]);
    // Sent for the rest of the block, they are a floater again after it, without being sent back.
    api.clock.set('2026-09-14T16:25:00Z');
    expect((await it.read()).premises.staff).toMatchObject([{ personId: ana }]);
    expect(await eventsAbout(api, it.f, sent.body.assignment.id)).toEqual(['staffing.assigned', 'staffing.released']);
  });
});

describe('one more five-year-old', () => {
  const five = {
    id: 'under six',
    from: null,
    to: { months: 72 },
    category: null,
    trait: null,
    countBy: 'athlete' as const,
    limits: [{ upToGroup: null, athletesPerCoach: '4', when: null }],
    largestGroup: null,
    mixes: 'rules' as const,
  };
  const byAge = ruleBody({
    bands: [
      five,
      {
        ...five,
        id: 'older',
        from: { months: 72 },
        to: null,
        limits: [{ upToGroup: null, athletesPerCoach: '8', when: null }],
        mixes: 'in',
      },
    ],
  });

  test('fits or not, by the rule that binds, with those who are here and once all have come', async () => {
    const it = await aBoard(api, { oneTo: 20, rules: [byAge] });
    await it.checkIn(it.children.slice(0, 2));
    api.clock.set(FIVE_PAST);
    const ask = async (query: string) => (await it.desk.get<BoardRoom>(`${it.gym}/board/room?${query}`)).body.blocks;
    const [beam, bars] = await ask('ageYears=5');
    expect(beam).toMatchObject({
      state: 'running',
      here: { more: 2, rule: 'House rule' },
      whenAllCome: { more: 1, rule: 'House rule' },
    });
    expect(bars).toMatchObject({ state: 'next', here: null, whenAllCome: { more: 1 } });
    expect((await ask('ageYears=9'))[0]).toMatchObject({ here: { more: 6 }, whenAllCome: { more: 5 } });
    expect(await ask('ageYears=5&at=2026-09-14T16:30:00Z')).toMatchObject([
      { name: 'Bars (Monday tumblers, Group 1)', state: 'running', here: null, whenAllCome: { more: 1 } },
    ]);
    // Like its youngest: three of eight there and to come, one to eight.
    expect(blocksOf(await it.read())[0]).toMatchObject({ room: { more: 5, rule: 'House rule' } });
  });

  test('is not asked about what is over, or another day', async () => {
    const it = await aBoard(api);
    for (const at of ['2026-09-14T15:00:00Z', '2026-09-15T15:00:00Z']) {
      const answer = await it.desk.get(`${it.gym}/board/room?ageYears=5&at=${at}`);
      expect([answer.status, answer.body.errors[0]?.parameter]).toEqual([422, 'at']);
    }
  });
});

describe('what will go wrong within half an hour', () => {
  test('a coach who is not in yet, whose block begins; not where nobody checks in', async () => {
    const it = await aBoard(api);
    const other = await aStaffMember(it.f);
    expect(kindsOf(await it.read())).toEqual([]);
    await it.staff(other, 'in');
    expect((await it.read()).ahead).toEqual([
      {
        kind: 'coach-not-in',
        at: '2026-09-14T16:00:00.000Z',
        unit: { per: 'block', id: it.session.blocks[0]?.id },
        personId: it.coach,
        sentence: 'Niamh Byrne has not checked in, and is due at Beam (Monday tumblers, Group 1) at 17:00.',
        finding: null,
      },
      expect.objectContaining({ kind: 'coach-not-in', at: '2026-09-14T16:20:00.000Z' }),
    ]);
    api.clock.set('2026-09-14T15:29:00Z');
    expect(kindsOf(await it.read())).toEqual([]);
    api.clock.set('2026-09-14T15:50:00Z');
    await it.staff(it.coach, 'in');
    expect(kindsOf(await it.read())).toEqual([]);
  });

  test('a coach on a break, or gone, whose block begins: with the cover that it will lack', async () => {
    const it = await aBoard(api);
    await it.staff(it.coach, 'in');
    await it.staff(it.coach, 'break');
    const { ahead } = await it.read();
    expect(ahead.filter(({ at }) => at === '2026-09-14T16:00:00.000Z').map(({ kind }) => kind)).toEqual([
      'coach-on-break',
      'starts-uncovered',
    ]);
    expect(ahead.find(({ kind }) => kind === 'starts-uncovered')).toMatchObject({
      unit: { id: it.session.blocks[0]?.id },
      finding: { code: 'short' },
      sentence: expect.stringMatching(/need 1 coach/),
    });
    api.clock.advance({ minutes: 1 });
    await it.staff(it.coach, 'out');
    expect(kindsOf(await it.read())).toContain('coach-left');
  });

  test('a group that grows past its limit when those expected come', async () => {
    const it = await aBoard(api, { children: 4 });
    await it.checkIn(it.children.slice(0, 3));
    api.clock.set(FIVE_PAST);
    const board = await it.read();
    expect(blocksOf(board)[0]).toMatchObject({ covered: true, expected: 1 });
    expect(board.ahead[0]).toMatchObject({
      kind: 'too-many-coming',
      at: null,
      unit: { id: it.session.blocks[0]?.id },
      finding: { code: 'short' },
      sentence: expect.stringMatching(/4 athletes .* need 2 coaches/),
    });
    await it.desk.post(`${it.gym}/not-coming`, {
      athletes: [{ athleteId: it.children[3], sessionId: it.session.id }],
    });
    expect(kindsOf(await it.read())).not.toContain('too-many-coming');
  });

  test('a block that runs and loses a coach half-way', async () => {
    const it = await aBoard(api, { children: 4 });
    const second = await aStaffMember(it.f);
    const [block] = it.session.blocks;
    await anAssignment(it.f, { ...block!, endsAt: new Date('2026-09-14T16:10:00Z') }, second, { duty: 'assist' });
    await it.checkIn(it.children);
    api.clock.set(FIVE_PAST);
    const board = await it.read();
    expect(blocksOf(board)[0]).toMatchObject({ covered: true });
    expect(board.ahead[0]).toMatchObject({
      kind: 'cover-ends',
      at: '2026-09-14T16:10:00.000Z',
      unit: { id: block?.id },
      finding: { code: 'short' },
    });
  });

  test('a screening of which today is the last day, unless it is renewed', async () => {
    const it = await aBoard(api);
    const kind = await aQualificationKind(it.f, { name: 'Screening', countsFor: ['screening'], grades: ['basic'] });
    const endingOn = (until: string) => aStaffMember(it.f, { given: 'Ana', family: 'Reyes', holds: [{ kind, until }] });
    const [tonight, tomorrow] = [await endingOn('2026-09-15'), await endingOn('2026-09-16')];
    const again = [
      { kind, until: '2026-09-15' },
      { kind, from: '2026-09-15', until: '2027-09-15' },
    ];
    const renewed = await aStaffMember(it.f, { holds: again });
    for (const one of [tonight, tomorrow, renewed])
      await anAssignment(it.f, it.session.blocks[1]!, one, { duty: 'assist' });
    const ending = async () => (await it.read()).ahead.filter((one) => one.kind === 'qualification-ends');
    api.clock.set('2026-09-14T15:49:00Z');
    expect(await ending()).toEqual([]);
    api.clock.set('2026-09-14T15:50:00Z');
    expect(await ending()).toEqual([
      {
        kind: 'qualification-ends',
        at: '2026-09-14T23:00:00.000Z',
        unit: { per: 'block', id: it.session.blocks[1]?.id },
        personId: tonight,
        sentence: 'Today is the last day of Screening of Ana Reyes, who is at Bars (Monday tumblers, Group 1).',
        finding: null,
      },
    ]);
  });
});

describe('the facts attached to an incident note', () => {
  test('are of who was really there at that minute', async () => {
    const it = await aBoard(api, { children: 4 });
    const [hurt, gone, late, absent] = it.children as [string, string, string, string];
    const second = await aStaffMember(it.f);
    await anAssignment(it.f, it.session.blocks[0]!, second, { duty: 'assist' });
    await it.staff(it.coach, 'in');
    await it.staff(second, 'in');
    await it.checkIn([hurt, gone]);
    await it.desk.post(`${it.gym}/not-coming`, { athletes: [{ athleteId: absent, sessionId: it.session.id }] });
    api.clock.set('2026-09-14T16:04:00Z');
    await it.staff(second, 'out');
    await it.desk.post(`${it.gym}/check-outs`, { departures: [{ athleteId: gone }], collectedBy: { alone: true } });
    api.clock.set('2026-09-14T16:15:00Z');
    await it.checkIn([late]);
    const note = await it.desk.post<Incident>(`${it.gym}/incidents`, {
      kind: 'small-bump',
      what: 'Bumped heads.',
      occurredAt: FIVE_PAST,
      people: [{ personId: hurt, part: 'hurt' }],
    });
    const { snapshot } = note.body;
    expect(snapshot.staff.map(({ personId, duty }) => [personId, duty])).toEqual([[it.coach, 'lead']]);
    expect(Object.fromEntries(snapshot.athletes.map(({ personId, state }) => [personId, state]))).toEqual({
      [hurt]: 'present',
      [gone]: 'left',
      [late]: 'expected',
      [absent]: 'absent',
    });
    expect(snapshot.cover).toMatchObject([{ covered: true, counts: [{ needed: 1, counted: '1', load: '1/3' }] }]);
  });
});

describe('who may', () => {
  test('a coach has the names of the children of their own blocks, and of no others', async () => {
    const it = await aBoard(api);
    const me = it.f.coachOf(it.f.gym);
    await it.checkIn(it.children.slice(0, 1));
    api.clock.set('2026-09-14T16:25:00Z');
    const stranger = await it.read(api.as(me));
    expect(blocksOf(stranger)[0]).toMatchObject({ athletes: null, present: 1, expected: 2 });
    expect(JSON.stringify(stranger)).not.toMatch(/Child|Walsh/);
    await anAssignment(it.f, it.session.blocks[1]!, me.personId, { duty: 'assist' });
    expect(blocksOf(await it.read(api.as(me)))[0]).toMatchObject({
      athletes: [
        { name: 'Child 1 Walsh', state: 'present' },
        { name: 'Child 2 Walsh', state: 'expected' },
        { name: 'Child 3 Walsh', state: 'expected' },
      ],
    });
    api.clock.set('2026-09-14T16:45:00Z');
    expect((await it.read(api.as(me))).notCollected).toMatchObject({
      count: 1,
      athletes: [{ name: 'Child 1 Walsh' }],
    });
    const other = await aStaffMember(it.f);
    expect(other).not.toBe(me.personId);
    expect((await it.read(api.as(it.f.lead))).notCollected).toEqual({ count: 1, athletes: [] });
    expect((await it.read(api.as(it.f.owner))).notCollected.athletes).toHaveLength(1);
  });

  test('nobody of another gym or franchise finds it', async () => {
    const it = await aBoard(api);
    const other = await aFranchise(api, { gyms: 2 });
    for (const path of ['board', 'board/room?ageYears=5']) {
      expect((await api.as(other.owner).get(`${it.gym}/${path}`)).status).toBe(404);
      const elsewhere = `/gyms/${other.gyms[1]?.id}/${path}`;
      expect((await api.as(other.deskOf(other.gym)).get(elsewhere)).status).toBe(404);
    }
  });
});
