import { afterAll, beforeAll, expect, test } from 'vitest';
import { lockCover } from '../src/enforcement/lock.ts';
import { databaseError } from '../src/platform/db/constraint.ts';
import { newId } from '../src/platform/ids.ts';
import { inFranchise } from '../src/platform/in-franchise.ts';
import { aFranchise } from './support/a-franchise.ts';
import { aSession } from './support/a-session.ts';
import { type Api, openApi } from './support/api.ts';
import { aStaffMember, athletes } from './support/people.ts';

// Everybody takes the locks of cover in one order: two who don't, at once, wait for each other for good.

let api: Api;
beforeAll(async () => {
  api = await openApi();
});
afterAll(() => api.close());

/** The rows that a request locks, in the order in which its statements arrive. */
async function lockedBy(request: () => Promise<{ status: number }>): Promise<string[]> {
  const { statements } = api.database;
  const before = statements.length;
  expect((await request()).status).toBeLessThan(300);
  return statements.slice(before).flatMap((text) => {
    if (text.includes('SAVEPOINT gate')) return ['gate'];
    if (/^\s*INSERT INTO gym_days/.test(text)) return ['new gym_days'];
    return /^\s*SELECT FROM "?(\w+)"? [\s\S]*FOR (?:SHARE|NO KEY UPDATE)/.exec(text)?.[1] ?? [];
  });
}

test('a place is given under the locks of the gym’s day, then of whom it is given', async () => {
  const f = await aFranchise(api);
  const session = await aSession(f, { groups: [1] });
  const personId = await aStaffMember(f);
  const place = `/gyms/${f.gym.id}/blocks/${session.blocks[0]!.id}/assignments`;
  const locked = await lockedBy(() => api.as(f.managerOf(f.gym)).post(place, { personId, duty: 'lead' }));
  expect(locked).toEqual(['gate', 'cover_heads', 'new gym_days', 'gym_days', 'persons']);
});

test('a class is enrolled in under the locks of the class, of its days, of the athlete', async () => {
  const f = await aFranchise(api);
  const session = await aSession(f, { groups: [1] });
  const [athleteId] = await athletes(f, 1);
  const enrolment = { athleteId, from: '2026-09-08' };
  const enrol = () =>
    api.as(f.managerOf(f.gym)).post(`/gyms/${f.gym.id}/classes/${session.class.id}/enrolments`, enrolment);
  const locked = await lockedBy(enrol);
  expect(locked).toEqual(['gate', 'cover_heads', 'classes', 'new gym_days', 'gym_days', 'persons']);
});

/** Runs `work` while somebody else holds the rows that a statement locks. */
async function whileHeld<T>(statement: string, values: unknown[], work: () => Promise<T>): Promise<T> {
  const holder = await api.database.ownerPool.connect();
  await holder.query('BEGIN');
  try {
    expect((await holder.query(statement, values)).rowCount).toBe(1);
    return await work();
  } finally {
    await holder.query('ROLLBACK');
    holder.release();
  }
}

test.each([
  ['the franchise', 'SELECT FROM franchises WHERE franchise_id = $1 FOR UPDATE'],
  ['the head', 'SELECT FROM cover_heads WHERE franchise_id = $1 FOR UPDATE'],
  ['the class', 'SELECT FROM classes WHERE franchise_id = $1 FOR UPDATE'],
  ['the day', 'SELECT FROM gym_days WHERE franchise_id = $1 FOR UPDATE'],
  ['a person', 'SELECT FROM persons WHERE franchise_id = $1 AND id = ANY($2) FOR UPDATE'],
  ['the session', 'SELECT FROM sessions WHERE franchise_id = $1 FOR UPDATE'],
])('while %s is held for too long, that is what is told, not what failed behind it', async (_, statement) => {
  const f = await aFranchise(api);
  const session = await aSession(f, { groups: [1] });
  const personId = await aStaffMember(f);
  const acting = { pool: api.database.servicePool, now: api.clock.now, franchiseId: f.id, requestId: newId() };
  const keys = {
    classes: [session.class.id],
    days: [{ gymId: f.gym.id, day: session.day }],
    people: [personId],
    sessions: [session.id],
  };
  const lock = () =>
    inFranchise({ ...acting, lockTimeoutMs: 20 }, (ctx) => lockCover(ctx, 'choice', async () => keys)).catch(
      (fault: unknown) => databaseError(fault)?.code,
    );
  expect(await lock()).toMatchObject({ as: 'choice' });
  const values = statement.includes('$2') ? [f.id, [personId]] : [f.id];
  expect(await whileHeld(statement, values, lock)).toBe('55P03');
});
