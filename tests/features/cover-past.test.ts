import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { aFranchise, type Franchise } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession } from '../support/a-session.ts';
import { type Api, openApi } from '../support/api.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

interface Moment {
  units: {
    summary: string;
    athletes: number;
    needed: number;
    counted: string;
    rule: { ruleId: string; version: number; name: string } | null;
    staff: { personId: string; name: string; duty: string; held: string[] }[];
    cover: { unit: { per: string; id: string }; covered: boolean; findings: { code: string }[] };
  }[];
}
interface Timeline {
  units: { unit: { per: string }; segments: { startsAt: string; endsAt: string; covered: boolean }[] }[];
}

/** What was arranged directly was on record long before. */
const longOnRecord = (f: Franchise) =>
  f.arrange(async (tx) => {
    for (const table of ['blocks', 'assignments', 'group_members', 'qualifications', 'ratio_rules']) {
      await tx.execute(`UPDATE ${table} SET created_at = '2026-08-01' WHERE franchise_id = '${f.id}'`);
    }
  });

/** Monday 14 September, 17:00 to 17:20 in Dublin (16:00Z): nine children, Ana and Ben, at one to eight. */
async function aMonday() {
  api.clock.set('2026-09-07T08:00:00Z');
  const f = await aFranchise(api);
  const kind = await aQualificationKind(f, { name: `Level two ${f.id}`, grades: ['held'] });
  const ruleId = await aRule(f);
  const session = await aSession(f, { groups: [9] });
  const [block] = session.blocks;
  const ana = await aStaffMember(f, { given: 'Ana', holds: [{ kind }] });
  const ben = await aStaffMember(f, { given: 'Ben' });
  await anAssignment(f, block!, ana);
  await anAssignment(f, block!, ben, { duty: 'assist' });
  await longOnRecord(f);
  const gym = `/gyms/${f.gym.id}`;
  const manager = api.as(f.managerOf(f.gym));
  const [child, ...others] = session.groups[0]!.athletes;
  const checkIn = async (athleteId: string, at: string) => {
    const answer = await manager.post(`${gym}/check-ins`, { arrivals: [{ athleteId, sessionId: session.id }], at });
    expect([athleteId, answer.status, answer.body.detail]).toEqual([athleteId, 201, undefined]);
    return answer.body;
  };
  const staffMark = async (personId: string, kind_: string, at: string) => {
    const answer = await manager.post(`${gym}/staff-marks`, { personId, kind: kind_, at });
    expect([answer.status, answer.body.detail]).toEqual([201, undefined]);
  };
  const moment = async (query: string) => {
    const { status, body } = await manager.get<Moment>(`${gym}/days/2026-09-14/cover/moment?${query}`);
    expect(status).toBe(200);
    return body.units.find(({ cover }) => cover.unit.id === block!.id);
  };
  return {
    f,
    kind,
    ruleId,
    session,
    block: block!,
    ana,
    ben,
    child: child!,
    others,
    gym,
    manager,
    checkIn,
    staffMark,
    moment,
  };
}

describe('the past', () => {
  test('at a moment: so many athletes, so many counted, the rule, and who held what', async () => {
    const { others, child, ana, ben, ruleId, checkIn, staffMark, moment } = await aMonday();
    api.clock.set('2026-09-14T15:58:00Z');
    await staffMark(ana, 'in', '2026-09-14T15:50:00Z');
    await staffMark(ben, 'in', '2026-09-14T15:55:00Z');
    for (const one of others) await checkIn(one, '2026-09-14T15:57:00Z');
    api.clock.set('2026-09-14T16:12:00Z');
    await checkIn(child, '2026-09-14T16:10:00Z');
    await staffMark(ben, 'break', '2026-09-14T16:12:00Z');
    api.clock.set('2026-09-14T16:15:00Z');
    await staffMark(ben, 'back', '2026-09-14T16:15:00Z');
    api.clock.set('2026-09-20T08:00:00Z');

    const early = await moment('at=2026-09-14T16:05:00Z');
    expect(early).toMatchObject({ athletes: 8, counted: '2', needed: 1, cover: { covered: true } });
    const during = await moment('at=2026-09-14T16:13:00Z');
    expect(during).toMatchObject({
      summary: expect.stringContaining('9 athletes, 1 counted; One to eight (version 1) asked for 2.'),
      athletes: 9,
      needed: 2,
      counted: '1',
      rule: { ruleId, version: 1, name: 'One to eight' },
      staff: [{ personId: ana, name: 'Ana Byrne', duty: 'lead', held: [expect.stringContaining('Level two')] }],
      cover: { covered: false, findings: [{ code: 'short' }] },
    });
    expect(await moment('at=2026-09-14T16:16:00Z')).toMatchObject({
      athletes: 9,
      counted: '2',
      cover: { covered: true },
    });
  });

  test('over time, and the rules in force that day, not today’s', async () => {
    const { f, session, others, child, ana, ben, gym, manager, ruleId, checkIn, staffMark } = await aMonday();
    api.clock.set('2026-09-14T15:58:00Z');
    await staffMark(ana, 'in', '2026-09-14T15:50:00Z');
    await staffMark(ben, 'in', '2026-09-14T15:50:00Z');
    for (const one of [child, ...others]) await checkIn(one, '2026-09-14T15:57:00Z');
    api.clock.set('2026-09-14T16:10:00Z');
    await staffMark(ben, 'out', '2026-09-14T16:10:00Z');
    api.clock.set('2026-09-20T08:00:00Z');
    await f.arrange((tx) =>
      tx.execute(`INSERT INTO ratio_rules (franchise_id, id, version, name, body, from_day)
        SELECT franchise_id, id, 2, 'One to fifty', jsonb_set(body, '{bands,0,limits,0,athletesPerCoach}', '"50"'), '2026-09-16'
        FROM ratio_rules WHERE id = '${ruleId}'`),
    );
    const { body } = await manager.get<Timeline>(`${gym}/sessions/${session.id}/cover/facts`);
    const block = body.units.find(({ unit }) => unit.per === 'block');
    expect(block?.segments.map(({ endsAt, covered }) => [endsAt, covered])).toEqual([
      ['2026-09-14T16:10:00.000Z', true],
      ['2026-09-14T16:20:00.000Z', false],
    ]);
    const day = await manager.get(`${gym}/days/2026-09-14/cover/facts?per=block&uncovered=true`);
    expect(day.body.items).toHaveLength(1);
  });

  test('as known then, and as known now: a late entry, one taken back, a release and a revocation', async () => {
    const { f, kind, session, others, child, ana, ben, block, gym, manager, checkIn, staffMark, moment } =
      await aMonday();
    api.clock.set('2026-09-14T15:58:00Z');
    await staffMark(ana, 'in', '2026-09-14T15:50:00Z');
    await staffMark(ben, 'in', '2026-09-14T15:50:00Z');
    for (const one of others) await checkIn(one, '2026-09-14T15:57:00Z');
    // The ninth came on time, and somebody wrote it down at half past.
    api.clock.set('2026-09-14T16:30:00Z');
    await checkIn(child, '2026-09-14T15:59:00Z');
    const at = 'at=2026-09-14T16:05:00Z';
    expect(await moment(at)).toMatchObject({ athletes: 9, needed: 2 });
    expect(await moment(`${at}&knownAt=2026-09-14T16:05:00Z`)).toMatchObject({ athletes: 8, needed: 1 });
    expect(await moment(`${at}&knownAt=2026-09-14T16:30:00Z`)).toMatchObject({ athletes: 9 });

    // On the next day it turns out to have been somebody else.
    api.clock.set('2026-09-15T08:00:00Z');
    const history = await manager.get(`${gym}/sessions/${session.id}/attendance/${child}`);
    const marks = history.body.marks as { markId: string }[];
    const undone = await manager.post(`${gym}/attendance-marks/${marks[0]!.markId}/undo`);
    expect([undone.status, undone.body.detail]).toEqual([200, undefined]);
    expect(await moment(at)).toMatchObject({ athletes: 8 });
    expect(await moment(`${at}&knownAt=2026-09-14T20:00:00Z`)).toMatchObject({ athletes: 9 });

    // A place given up in the course of it counts until then; before it was given up, it counted to the end.
    await f.arrange((tx) =>
      tx.execute(`UPDATE assignments SET released_at = '2026-09-14T16:08:00Z' WHERE person_id = '${ben}'`),
    );
    const late = 'at=2026-09-14T16:10:00Z';
    expect(await moment(at)).toMatchObject({ counted: '2' });
    expect(await moment(late)).toMatchObject({ counted: '1' });
    expect(await moment(`${late}&knownAt=2026-09-14T16:07:00Z`)).toMatchObject({ counted: '2' });

    // Revoked afterwards, from before: then it was held, as far as anybody knew.
    const { rows } = await api.database.ownerPool.query(
      'SELECT id FROM qualifications WHERE franchise_id = $1 AND kind_id = $2',
      [f.id, kind.id],
    );
    const revoked = await manager.post(`${gym}/staff/${ana}/qualifications/${rows[0].id}/revoke`, {
      from: '2026-09-01',
      reason: 'the certificate was another’s',
    });
    expect([revoked.status, revoked.body.detail]).toEqual([200, undefined]);
    const anaHeld = (unit: Moment['units'][number] | undefined) =>
      unit?.staff.find(({ personId }) => personId === ana)?.held.length;
    expect(anaHeld(await moment(at))).toBe(0);
    expect(anaHeld(await moment(`${at}&knownAt=2026-09-14T16:30:00Z`))).toBe(1);
    expect(block.id).toBeTruthy();
  });

  test('refuses a moment of another day, and knowledge from ahead', async () => {
    const { gym, manager } = await aMonday();
    const path = `${gym}/days/2026-09-14/cover/moment`;
    expect((await manager.get(`${path}?at=2026-09-15T16:00:00Z`)).body.errors).toMatchObject([{ parameter: 'at' }]);
    expect((await manager.get(`${path}?knownAt=2026-12-01T16:00:00Z`)).body.errors).toMatchObject([
      { parameter: 'knownAt' },
    ]);
    const f = await aFranchise(api);
    await aRule(f, { body: oneTo(4) });
    const session = await aSession(f, { groups: [1] });
    await f.arrange((tx) =>
      tx.execute(`UPDATE sessions SET cancelled_at = now(), cancelled_why = 'snow' WHERE id = '${session.id}'`),
    );
    const cancelled = await api.as(f.owner).get(`/gyms/${f.gym.id}/sessions/${session.id}/cover/facts`);
    expect(cancelled.body.type).toBe('/problems/conflict');
  });
});
