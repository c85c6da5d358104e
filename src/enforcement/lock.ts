import { sql } from 'drizzle-orm';
import type { Context } from '../platform/context.ts';
import { StartOver } from '../platform/db/constraint.ts';
import { together } from '../platform/db/together.ts';
import { refuse } from '../platform/problem.ts';

/** One gym's one local day. */
export interface GymDay {
  gymId: string;
  day: string;
}

/** What a change touches; anything left out is none. */
export interface CoverKeys {
  /** Every day touched, old and new. */
  days?: readonly GymDay[];
  /** Changes of a series, laying out its sessions, enrolments. */
  classes?: readonly string[];
  /** Everyone given or losing a place, staff who are absent. */
  people?: readonly string[];
  sessions?: readonly string[];
}

declare const taken: unique symbol;
/** Proof that the locks are held: what writes an input of cover asks for one. Only this file makes it. */
export interface CoverLock {
  readonly [taken]: true;
  readonly as: 'choice' | 'fact';
  /** The days held; `'all'` of the franchise, when the fact is about no certain day. */
  readonly days: readonly GymDay[] | 'all';
  readonly people: readonly string[];
}

const lockOf = (as: CoverLock['as'], days: CoverLock['days'], people: CoverLock['people']) =>
  ({ as, days, people }) as CoverLock;

const FACT_WAIT = sql`SET LOCAL lock_timeout = '15s'`;

const sortedIds = (ids: readonly string[] = []) => [...new Set(ids)].sort();

function sortedDays(days: readonly GymDay[] = []): GymDay[] {
  const byKey = new Map(days.map((one) => [`${one.gymId} ${one.day}`, one]));
  return [...byKey].sort(([a], [b]) => (a < b ? -1 : 1)).map(([, one]) => one);
}

const sorted = (keys: CoverKeys) => ({
  days: sortedDays(keys.days),
  classes: sortedIds(keys.classes),
  people: sortedIds(keys.people),
  sessions: sortedIds(keys.sessions),
});

/**
 * Takes, in the one order that everybody keeps, the locks of a choice or of a fact about certain days: the franchise's
 * head shared, then classes, gym-days, persons, sessions, each set sorted by key. `keysOf` says what the change
 * touches; it is read before locking and again after, and where it changed the transaction starts over. Only read what
 * the change depends on after this: an earlier statement may have seen what somebody has since changed.
 *
 * @throws StartOver, and Problem `not-found` for a class, person or session that is not there.
 */
export async function lockCover(
  ctx: Context,
  as: 'choice' | 'fact',
  keysOf: () => Promise<CoverKeys>,
): Promise<CoverLock> {
  const keys = sorted(await keysOf());
  // All in one go, each with all that it sends: they arrive, and are taken, in the order in which they stand here.
  await together([
    as === 'fact' && ctx.tx.execute(FACT_WAIT).then(),
    passGate(ctx),
    lockHead(ctx, sql`FOR SHARE`),
    lockRows(ctx, 'classes', keys.classes),
    lockDays(ctx, keys.days),
    lockRows(ctx, 'persons', keys.people),
    lockRows(ctx, 'sessions', keys.sessions),
  ]);
  const again = sorted(await keysOf());
  if (JSON.stringify(again) !== JSON.stringify(keys)) throw new StartOver();
  return lockOf(as, keys.days, keys.people);
}

/**
 * Holds a gym's own row, before any lock of `lockCover`: shared by whoever adds a class there, alone by whoever means all
 * of its classes, or changes the gym itself. What has the gym as its parent is written meanwhile as ever.
 */
export async function lockGym(ctx: Context, gymId: string, how: 'shared' | 'alone'): Promise<void> {
  const mode = how === 'shared' ? sql`FOR SHARE` : sql`FOR NO KEY UPDATE`;
  await ctx.tx.execute(sql`SELECT FROM gyms WHERE franchise_id = ${ctx.franchiseId} AND id = ${gymId} ${mode}`);
}

/**
 * Takes the franchise's head alone: for a fact about no certain day (a rule, a qualification kind, a revocation, an
 * employment, a birth date, a trait, a sign-off, a helper or guardian link, a plan withdrawn). Nobody else changes
 * anything that cover depends on until this transaction ends. `about` are the people whom it is about, where it is about
 * certain people and nobody else: then only the days on which they have a place need to be judged.
 */
export async function lockAllCover(ctx: Context, about: readonly string[] = []): Promise<CoverLock> {
  await ctx.tx.execute(FACT_WAIT);
  await ctx.tx.execute(sql`SELECT FROM franchises WHERE franchise_id = ${ctx.franchiseId} FOR NO KEY UPDATE`);
  await lockHead(ctx, sql`FOR NO KEY UPDATE`);
  return lockOf('fact', 'all', about);
}

/**
 * Waits while somebody wants, or has, the head alone. PostgreSQL lets sharers overtake whoever waits to be alone, and a
 * steady stream of them would keep that one waiting for as long as it flows. So that one shuts a gate first (the
 * franchise's own row), and everybody else steps through it before sharing: the savepoint gives the gate back at once.
 */
async function passGate(ctx: Context): Promise<void> {
  await ctx.tx.execute(
    sql.raw(`SAVEPOINT gate; SELECT FROM franchises WHERE franchise_id = '${ctx.franchiseId}' FOR SHARE;
      ROLLBACK TO SAVEPOINT gate; RELEASE SAVEPOINT gate`),
  );
}

async function lockHead(ctx: Context, mode: typeof FACT_WAIT) {
  const { rowCount } = await ctx.tx.execute(
    sql`SELECT FROM cover_heads WHERE franchise_id = ${ctx.franchiseId} ${mode}`,
  );
  if (rowCount !== 1) throw new Error('this franchise has no cover head');
}

const WHAT = { classes: 'class', persons: 'person', sessions: 'session' } as const;

async function lockRows(ctx: Context, table: keyof typeof WHAT, ids: readonly string[]) {
  if (ids.length === 0) return;
  const { rowCount } = await ctx.tx.execute(
    sql`SELECT FROM ${sql.identifier(table)} WHERE franchise_id = ${ctx.franchiseId} AND id = ANY(${sql.param(ids)}::uuid[])
        ORDER BY id FOR NO KEY UPDATE`,
  );
  if (rowCount !== ids.length) throw refuse('not-found', `There is no such ${WHAT[table]} here.`);
}

async function lockDays(ctx: Context, days: readonly GymDay[]) {
  if (days.length === 0) return;
  const gyms = days.map(({ gymId }) => gymId);
  const dates = days.map(({ day }) => day);
  const make = sql`INSERT INTO gym_days (franchise_id, gym_id, day)
    SELECT ${ctx.franchiseId}::uuid, gym_id, day
    FROM unnest(${sql.param(gyms)}::uuid[], ${sql.param(dates)}::date[]) AS touched (gym_id, day)
    ORDER BY gym_id, day ON CONFLICT DO NOTHING`;
  const lock = sql`SELECT FROM gym_days WHERE franchise_id = ${ctx.franchiseId}
    AND (gym_id, day) IN (SELECT * FROM unnest(${sql.param(gyms)}::uuid[], ${sql.param(dates)}::date[]))
    ORDER BY gym_id, day FOR NO KEY UPDATE`;
  // Together, so that whatever is locked after the days is not sent in between.
  await together([ctx.tx.execute(make), ctx.tx.execute(lock)]);
}

/** Counts the write on every row that is held alone. */
export async function bumpHeld(ctx: Context, lock: CoverLock): Promise<void> {
  if (lock.days === 'all') {
    await ctx.tx.execute(sql`UPDATE cover_heads SET revision = revision + 1 WHERE franchise_id = ${ctx.franchiseId}`);
    return;
  }
  if (lock.days.length === 0) return;
  await ctx.tx.execute(
    sql`UPDATE gym_days SET revision = revision + 1 WHERE franchise_id = ${ctx.franchiseId}
        AND (gym_id, day) IN (SELECT * FROM unnest(
          ${sql.param(lock.days.map(({ gymId }) => gymId))}::uuid[], ${sql.param(lock.days.map(({ day }) => day))}::date[]))`,
  );
}
