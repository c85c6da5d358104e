import type pg from 'pg';
import { Temporal } from 'temporal-polyfill';
import { aFranchise, type Franchise, type Member, type TestGym } from '../support/a-franchise.ts';
import { aPublishedPlan, type PublishedPlan } from '../support/a-plan.ts';
import { aRule, oneTo } from '../support/a-rule.ts';
import { aClass, anAssignment, aSession, type TestSession } from '../support/a-session.ts';
import { aQualificationKind, aStaffMember } from '../support/people.ts';
import type { BenchDatabase } from './server.ts';

/** How much there is beside the one gym-day that is measured. */
export interface Size {
  /** Of the measured franchise. */
  gyms: number;
  /** Sessions with the attendance of that many days back, and laid out that many ahead, at every gym. */
  daysBack: number;
  daysAhead: number;
  /** Other franchises, each of three gyms with five days back and four ahead. */
  others: number;
}

export const ONE: Size = { gyms: 3, daysBack: 5, daysAhead: 4, others: 0 };
/** Ten times the gym-days: 6 × 25 of its own, and 5 × 30 of others, beside the 30 of `ONE`. */
export const TEN: Size = { gyms: 6, daysBack: 15, daysAhead: 9, others: 5 };

/** The measured gym-day: twelve sessions from this hour on, 24 groups of eight, five blocks each, a coach a group. */
export interface GymDay {
  f: Franchise;
  gym: TestGym;
  day: string;
  sessions: TestSession[];
  desk: Member;
  manager: Member;
  coaches: string[];
  /** Whoever is expected, with their session and group; one of each session after another. */
  expected: { athleteId: string; sessionId: string; groupId: string }[];
}

const SLOTS = [0, 2, 4];
/** How many sessions run at once; the first so many of the day run now. */
const AT_ONCE = 4;
export const RUNNING = AT_ONCE;
const GROUPS = 2;
const IN_A_GROUP = 8;
const BLOCKS = 5;
const BLOCK_MINUTES = 24;

/** A zone in which it is now between four and five in the afternoon, without summer time. */
export function afternoonZone(now: Date): string {
  const east = ((16 - now.getUTCHours() + 36) % 24) - 12;
  return `Etc/GMT${east <= 0 ? '+' : '-'}${Math.abs(east)}`;
}

export async function fill(database: BenchDatabase, size: Size, now: Date): Promise<GymDay> {
  const zone = afternoonZone(now);
  const measured = await fillFranchise(database, size, zone, now);
  for (let other = 0; other < size.others; other += 1) await fillFranchise(database, { ...ONE }, zone, now);
  await database.ownerPool.query('VACUUM ANALYZE');
  return measured;
}

async function fillFranchise(database: BenchDatabase, size: Size, zone: string, now: Date): Promise<GymDay> {
  const f = await aFranchise({ database }, { gyms: size.gyms, zone, confirmWindowDays: 0 });
  await aRule(f, { body: oneTo(8) });
  await aRule(f, { name: 'One to eight in a session', body: { ...oneTo(8), per: 'session' } });
  const kind = await aQualificationKind(f, { name: 'Spotting' });
  const plan = await aPublishedPlan(f, {
    blocks: Array.from({ length: BLOCKS }, () => ({
      minutes: BLOCK_MINUTES,
      stations: [{ handsOn: { kind } }, { apparatus: 'beam' as const }],
    })),
  });
  const day = Temporal.Instant.fromEpochMilliseconds(now.getTime()).toZonedDateTimeISO(zone).toPlainDate().toString();
  const gymDays: GymDay[] = [];
  for (const gym of f.gyms) {
    const coaches: string[] = [];
    for (let n = 0; n < AT_ONCE * GROUPS + 4; n += 1) {
      coaches.push(await aStaffMember(f, { gyms: [gym], holds: [{ kind, grade: 2 }] }));
    }
    gymDays.push(await fillDay(f, gym, plan, day, coaches));
  }
  await copyDays(database.ownerPool, f.id, -size.daysBack, size.daysAhead);
  await attendPast(database.ownerPool, f.id, day);
  const [first] = gymDays;
  if (first === undefined) throw new Error('a franchise has a gym');
  return first;
}

async function fillDay(
  f: Franchise,
  gym: TestGym,
  plan: PublishedPlan,
  day: string,
  coaches: string[],
): Promise<GymDay> {
  const sessions: TestSession[] = [];
  const weekday = Temporal.PlainDate.from(day).dayOfWeek;
  for (const slot of SLOTS) {
    for (let beside = 0; beside < AT_ONCE; beside += 1) {
      const startsAt = `${16 + slot}:00`;
      const durationMinutes = BLOCKS * BLOCK_MINUTES;
      const ofClass = await aClass(f, { gym, programme: plan.programme, weekday, startsAt, durationMinutes });
      const groups = Array.from({ length: GROUPS }, () => IN_A_GROUP);
      const session = await aSession(f, { class: ofClass, plan, day, groups, confirmed: true });
      for (const [index, group] of session.groups.entries()) {
        const coach = coaches[beside * GROUPS + index];
        if (coach === undefined) throw new Error('there are too few coaches');
        for (const block of group.blocks) await anAssignment(f, block, coach, { gym, day });
      }
      sessions.push(session);
    }
  }
  const expected = Array.from({ length: GROUPS * IN_A_GROUP }, (_, place) =>
    sessions.map(({ id, groups }) => {
      const group = groups[place % GROUPS];
      const athleteId = group?.athletes[Math.floor(place / GROUPS)];
      if (group === undefined || athleteId === undefined) throw new Error('a group is smaller than it should be');
      return { athleteId, sessionId: id, groupId: group.id };
    }),
  ).flat();
  return { f, gym, day, sessions, desk: f.deskOf(gym), manager: f.managerOf(gym), coaches, expected };
}

/** Lays the franchise's day out again on the days from `back` to `ahead`, with ids made from the ids. */
async function copyDays(owner: pg.Pool, franchiseId: string, back: number, ahead: number): Promise<void> {
  const id = (column: string) => `md5(${column}::text || d)::uuid`;
  const later = (column: string) => `${column} + make_interval(days => d)`;
  const statements = [
    `INSERT INTO sessions (franchise_id, id, gym_id, class_id, original_start, day, starts_at, ends_at, plan_version_id)
     SELECT franchise_id, ${id('id')}, gym_id, class_id, (day + d)::text || substr(original_start, 11), day + d,
       ${later('starts_at')}, ${later('ends_at')}, plan_version_id FROM sessions`,
    `INSERT INTO groups (franchise_id, id, session_id, position, name)
     SELECT franchise_id, ${id('id')}, ${id('session_id')}, position, name FROM groups`,
    `INSERT INTO group_members (franchise_id, id, session_id, group_id, athlete_id, starts_at, ends_at)
     SELECT franchise_id, ${id('id')}, ${id('session_id')}, ${id('group_id')}, athlete_id, ${later('starts_at')},
       ${later('ends_at')} FROM group_members`,
    `INSERT INTO blocks (franchise_id, id, gym_id, session_id, group_id, plan_version_id, plan_block_id, day, starts_at,
       ends_at, confirmed_at)
     SELECT franchise_id, ${id('id')}, gym_id, ${id('session_id')}, ${id('group_id')}, plan_version_id, plan_block_id,
       day + d, ${later('starts_at')}, ${later('ends_at')}, confirmed_at FROM blocks`,
    `INSERT INTO block_areas (franchise_id, block_id, area_id)
     SELECT franchise_id, ${id('block_id')}, area_id FROM block_areas`,
    `INSERT INTO assignments (franchise_id, id, gym_id, person_id, per, block_id, duty, day, starts_at, ends_at)
     SELECT franchise_id, ${id('id')}, gym_id, person_id, per, ${id('block_id')}, duty, day + d, ${later('starts_at')},
       ${later('ends_at')} FROM assignments`,
  ];
  for (const statement of statements) {
    await owner.query(`${statement}, generate_series($2::int, $3::int) AS d WHERE franchise_id = $1 AND d <> 0`, [
      franchiseId,
      back,
      ahead,
    ]);
  }
}

/** Everybody came to every session before that day, and went home. */
async function attendPast(owner: pg.Pool, franchiseId: string, day: string): Promise<void> {
  const past = `group_members m JOIN sessions s ON s.franchise_id = m.franchise_id AND s.id = m.session_id
    WHERE m.franchise_id = $1 AND s.day < $2`;
  const mark = (kind: 'in' | 'out', at: string) => `
    INSERT INTO attendance_marks (franchise_id, gym_id, id, session_id, athlete_id, kind, at, recorded_at)
    SELECT s.franchise_id, s.gym_id, gen_random_uuid(), s.id, m.athlete_id, '${kind}', ${at}, ${at} FROM ${past}`;
  const event = (name: string, at: string) => `
    INSERT INTO events (franchise_id, id, name, gym_id, subject_id, subject_revision, data, request_id, at)
    SELECT s.franchise_id, gen_random_uuid(), '${name}', s.gym_id, m.athlete_id, 1,
      jsonb_build_object('sessionId', s.id, 'athleteId', m.athlete_id), gen_random_uuid()::text, ${at} FROM ${past}`;
  const statements = [
    `INSERT INTO attendance (franchise_id, session_id, athlete_id, gym_id, kind, state, since, findings)
     SELECT s.franchise_id, s.id, m.athlete_id, s.gym_id, 'enrolled', 'left', s.ends_at, '{}' FROM ${past}`,
    mark('in', 's.starts_at'),
    mark('out', 's.ends_at'),
    `INSERT INTO stays (franchise_id, session_id, athlete_id, position, gym_id, in_at, out_at)
     SELECT s.franchise_id, s.id, m.athlete_id, 1, s.gym_id, s.starts_at, s.ends_at FROM ${past}`,
    event('attendance.checked-in', 's.starts_at'),
    event('attendance.checked-out', 's.ends_at'),
  ];
  for (const statement of statements) await owner.query(statement, [franchiseId, day]);
}

/** Nobody has come yet on the measured day. */
export async function emptyTheHall({ ownerPool }: BenchDatabase, { f, sessions }: GymDay): Promise<void> {
  const ids = sessions.map(({ id }) => id);
  for (const table of ['stays', 'attendance_marks', 'attendance']) {
    await ownerPool.query(`DELETE FROM ${table} WHERE franchise_id = $1 AND session_id = ANY($2)`, [f.id, ids]);
  }
  // Those of the days before have no account.
  await ownerPool.query('DELETE FROM events WHERE franchise_id = $1 AND account_id IS NOT NULL', [f.id]);
  await ownerPool.query('VACUUM ANALYZE stays, attendance_marks, attendance, events, persons, sessions');
}
