import { eq, sql } from 'drizzle-orm';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { Incident } from '../../src/features/incidents/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aFranchise, type Franchise, type Member } from '../support/a-franchise.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { type Answer, type Api, openApi } from '../support/api.ts';
import { anAthlete, aStaffMember } from '../support/people.ts';

// What a note knows of the minute that it is about, and to whom it shows that.

let api: Api;
let f: Franchise;
let session: TestSession;
let child: string;
/** In the session's second group. */
let other: string;
let coach: Member & { personId: string };
let manager: Member;
let at: string;

/** Monday 14 September 2026, in the class's first blocks: 17:05 in Dublin. */
const THEN = '2026-09-14T16:05:00Z';
beforeAll(async () => {
  api = await openApi({ now: THEN });
});
afterAll(() => api.close());
beforeEach(async () => {
  api.clock.set(THEN);
  f = await aFranchise(api, { confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(8) });
  child = await anAthlete(f, { given: 'Saoirse', family: 'Walsh' });
  other = await anAthlete(f, { given: 'Brian', family: 'Nolan' });
  session = await aSession(f, { groups: [[child], [other]] });
  coach = f.coachOf(f.gym);
  manager = f.managerOf(f.gym);
  at = `/gyms/${f.gym.id}/incidents`;
});

const block = (group: 0 | 1 = 0) => session.groups[group]!.blocks[0]!;
const post = (by: Member, note: object = {}) =>
  api.as(by).post<Incident>(at, { kind: 'near-miss', what: 'A mat slid.', ...note });
const write = async (by: Member, note: object = {}) => {
  const { status, body } = await post(by, note);
  expect(status).toBe(201);
  return body;
};
const refused = (answer: { status: number; body: unknown }) => {
  const { status, body } = answer as Answer;
  return [status, body.errors?.map(({ pointer }) => pointer)];
};
const hurt = (personId: string) => ({ personId, part: 'hurt' });
const idsIn = ({ snapshot }: Incident) => ({
  staff: snapshot.staff.map(({ personId }) => personId),
  athletes: snapshot.athletes.map(({ personId }) => personId).sort(),
});
/** Marks an athlete as there since 17:00, going with a group. */
const attends = (athleteId: string, groupId: string | null = null) =>
  f.arrange(async (tx) => {
    const of = { franchiseId: f.id, gymId: f.gym.id, sessionId: session.id, athleteId };
    const came = new Date('2026-09-14T16:00:00Z');
    await tx
      .insert(t.attendance)
      .values({ ...of, kind: 'trial', state: 'present', since: came, groupId, findings: [] });
    await tx.insert(t.stays).values({ ...of, position: 0, inAt: came });
  });

describe('a coach is shown', () => {
  test('who was there only in a note about a block of their own', async () => {
    await anAssignment(f, block(), coach.personId);
    const own = await write(coach);
    expect(idsIn(own)).toEqual({ staff: [coach.personId], athletes: [child] });
    const aboutNone = await write(coach, { blockId: null });
    expect(idsIn(aboutNone)).toEqual({ staff: [], athletes: [] });
    expect(idsIn((await api.as(coach).get<Incident>(`${at}/${aboutNone.id}`)).body)).toEqual({
      staff: [],
      athletes: [],
    });
    const whole = (await api.as(manager).get<Incident>(`${at}/${aboutNone.id}`)).body;
    expect(idsIn(whole)).toEqual({ staff: [coach.personId], athletes: [child, other].sort() });
  });

  test('nobody else’s block in a concern that names them', async () => {
    const concern = { kind: 'safeguarding', blockId: block().id, readers: [coach.accountId] };
    const { id } = await write(manager, concern);
    expect(idsIn((await api.as(coach).get<Incident>(`${at}/${id}`)).body)).toEqual({ staff: [], athletes: [] });
  });

  test('by name only athletes of their own blocks, and those whom a note names already', async () => {
    await anAssignment(f, block(), coach.personId);
    for (const more of [{}, { blockId: null }]) {
      expect(refused(await post(coach, { ...more, people: [hurt(other)] }))).toEqual([422, ['/people/0/personId']]);
    }
    const suspected = { blockId: null, suspectedConcussions: [{ athleteId: other, observed: [] }] };
    expect(refused(await post(coach, suspected))).toEqual([422, ['/people/0/personId']]);
    const note = await write(coach, { people: [hurt(child), hurt(f.coachOf(f.gym).personId)] });
    const path = `${at}/${note.id}`;
    const added = { people: [hurt(other)] };
    expect(refused(await api.as(coach).patch(path, added, { ifMatch: 1 }))).toEqual([422, ['/people/0/personId']]);
    expect((await api.as(manager).patch(path, added, { ifMatch: 1 })).status).toBe(200);
    expect((await api.as(coach).patch(path, added, { ifMatch: 2 })).status).toBe(200);
  });
});

describe('the block is found', () => {
  test('by a walk-in’s group', async () => {
    const walkIn = await anAthlete(f);
    await attends(walkIn, session.groups[1]?.id);
    const note = await write(manager, { people: [hurt(walkIn)] });
    expect([note.blockId, idsIn(note).athletes]).toEqual([block(1).id, [other, walkIn].sort()]);
  });

  test('for whoever oversees a session, when only one of its blocks ran', async () => {
    const single = await aSession(f, { groups: [1], startsAt: '19:00' });
    const oversees = (of: TestSession) =>
      f.arrange((tx) =>
        tx.insert(t.assignments).values({
          franchiseId: f.id,
          id: newId(),
          gymId: f.gym.id,
          personId: coach.personId,
          per: 'session',
          sessionId: of.id,
          duty: 'oversee',
          day: '2026-09-14',
          startsAt: of.blocks[0]!.startsAt,
          endsAt: of.blocks[0]!.endsAt,
        }),
      );
    await oversees(session);
    await oversees(single);
    expect((await write(coach)).blockId).toBe(null);
    expect((await write(coach, { people: [hurt(other)] })).blockId).toBe(block(1).id);
    api.clock.set('2026-09-14T18:05:00Z');
    expect((await write(coach)).blockId).toBe(single.blocks[0]?.id);
  });
});

test('a note about one block lists those of its group alone', async () => {
  await attends(child);
  await attends(other);
  expect(idsIn(await write(manager, { blockId: block().id })).athletes).toEqual([child]);
  expect(idsIn(await write(manager, { blockId: null })).athletes).toEqual([child, other].sort());
});

describe('written down later', () => {
  /** At 17:10 the coach was swapped for another, and the child went to the other group. */
  const swapped = async () => {
    const later = await aStaffMember(f);
    const when = new Date('2026-09-14T16:10:00Z');
    const id = await anAssignment(f, block(), later);
    await f.arrange(async (tx) => {
      await tx.execute(
        sql`UPDATE assignments SET released_at = ${when.toISOString()} WHERE person_id = ${coach.personId}`,
      );
      await tx.update(t.assignments).set({ createdAt: when }).where(eq(t.assignments.id, id));
      const [place] = await tx
        .update(t.groupMembers)
        .set({ releasedAt: when })
        .where(eq(t.groupMembers.athleteId, child))
        .returning();
      await tx
        .insert(t.groupMembers)
        .values({ ...place!, id: newId(), groupId: session.groups[1]!.id, releasedAt: null, createdAt: when });
    });
    return later;
  };

  test('it knows the floor as it stood at that moment, not as it was changed since', async () => {
    await anAssignment(f, block(), coach.personId);
    const later = await swapped();
    api.clock.set('2026-09-14T16:15:00Z');
    const note = await write(manager, { occurredAt: THEN, people: [hurt(child)] });
    expect([note.blockId, idsIn(note)]).toEqual([block().id, { staff: [coach.personId], athletes: [child] }]);
    expect(note.snapshot.cover.map(({ covered }) => covered)).toEqual([true]);
    const now = await write(manager, { blockId: block().id });
    expect(idsIn(now)).toEqual({ staff: [later], athletes: [] });
  });

  test('by the coach who has given up the place since, or after the class was called off', async () => {
    await anAssignment(f, block(), coach.personId);
    await swapped();
    await f.arrange((tx) =>
      tx
        .update(t.sessions)
        .set({ cancelledAt: new Date('2026-09-14T16:12:00Z') })
        .where(eq(t.sessions.id, session.id)),
    );
    api.clock.set('2026-09-14T16:15:00Z');
    const note = await write(coach, { occurredAt: THEN, people: [hurt(child)] });
    expect([note.blockId, idsIn(note)]).toEqual([block().id, { staff: [coach.personId], athletes: [child] }]);
    expect((await post(coach)).status).toBe(403);
  });
});
