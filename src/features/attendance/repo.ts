import { and, desc, eq, gt, inArray, isNull, or, type SQL, sql } from 'drizzle-orm';
import { Temporal } from 'temporal-polyfill';
import type { CoverLock } from '../../enforcement/lock.ts';
import { isOneOf, some } from '../../enforcement/rows.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import { ours } from '../../platform/db/tenant.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { newId } from '../../platform/ids.ts';
import { found, invalid, refuse } from '../../platform/problem.ts';
import { activityHolds, attendance, custodyNotes } from '../../tables/attendance.ts';
import { gyms } from '../../tables/gyms.ts';
import { athletes } from '../../tables/people.ts';
import { sessions } from '../../tables/schedule.ts';
import { NIGHT_ENDS } from '../people/who-is-here.ts';

export type SessionRow = typeof sessions.$inferSelect;

/** What the gym's door does with whoever is over the limit. */
export async function doorOf(ctx: Context, gymId: string): Promise<(typeof gyms.$inferSelect)['door']> {
  const [row] = await selectDoor(ctx, { gymId });
  return found(row, 'gym').door;
}

const selectDoor = statement((tx, given: Given<{ gymId: string }>) =>
  tx
    .select({ door: gyms.door })
    .from(gyms)
    .where(and(ours(given, gyms), eq(gyms.id, given('gymId')))),
);

/** The gym's local day at a moment. */
export const dayAt = (zone: string, at: Date): string =>
  Temporal.Instant.fromEpochMilliseconds(at.getTime()).toZonedDateTimeISO(zone).toPlainDate().toString();

/**
 * The local days whose athletes may still be in the building: today; in the night, yesterday too. Somebody of an earlier
 * day was not marked out, and has left.
 */
export function daysOfNow(zone: string, now: Date): [today: string, before?: string] {
  const here = Temporal.Instant.fromEpochMilliseconds(now.getTime()).toZonedDateTimeISO(zone);
  const today = here.toPlainDate();
  const before = today.subtract({ days: 1 });
  return here.hour < NIGHT_ENDS ? [today.toString(), before.toString()] : [today.toString()];
}

/** How long a device may have been offline. */
export const MOST_DAYS_OFFLINE = 7;
export const FAST_CLOCK_MS = 120_000;
const DAY_MS = 86_400_000;

/** When it was: now, unless said; refuses what is ahead, or further back than `days`. A clock may run fast by two minutes. */
export function whenOf(ctx: Context, at: string | undefined, days = 1): Date {
  if (at === undefined) return ctx.now;
  const moment = new Date(at);
  const ahead = moment.getTime() - ctx.now.getTime();
  if (ahead > FAST_CLOCK_MS) throw invalid('/at', 'Expected a time that has come.');
  if (-ahead > days * DAY_MS) throw invalid('/at', `Expected a time at most ${days} day(s) ago.`);
  return ahead > 0 ? ctx.now : moment;
}

/** So long before its start, and after its end, somebody may be at a session, and no longer. */
export const AROUND_HOURS = 6;
const AROUND_MS = AROUND_HOURS * 3_600_000;
export interface Span {
  startsAt: Date;
  endsAt: Date;
}

/** Refuses what is said to have been long before a session, or a block; `pointer` is where that was said. */
export function refuseLongBefore({ startsAt }: Span, at: Date, pointer: string): void {
  if (startsAt.getTime() - at.getTime() <= AROUND_MS) return;
  const detail = `That begins at ${instantOf(startsAt)}: expected at most ${AROUND_HOURS} hours before, not ${instantOf(at)}.`;
  throw invalid(pointer, detail);
}

/** The same of what was long after it. */
export function refuseLongAfter({ endsAt }: Span, at: Date, pointer: string): void {
  if (at.getTime() - endsAt.getTime() <= AROUND_MS) return;
  const detail = `That ended at ${instantOf(endsAt)}: expected at most ${AROUND_HOURS} hours after, not ${instantOf(at)}.`;
  throw invalid(pointer, detail);
}

export async function getSession(ctx: Context, gymId: string, sessionId: string): Promise<SessionRow> {
  const [row] = await ctx.tx
    .select()
    .from(sessions)
    .where(and(ours(ctx, sessions), eq(sessions.gymId, gymId), eq(sessions.id, sessionId)));
  return found(row, 'session');
}

/** Does the caller write (or read) attendance for the gym as a whole, beyond their own blocks? */
export function isDesk(ctx: Context, permission: 'attendance.read' | 'attendance.write', gymId: string): boolean {
  const scopes = scopesAt(ctx, permission, gymId);
  return scopes.has('franchise') || scopes.has('gym');
}

/** The blocks that somebody is placed on, of one block or one session; to shadow is to watch. */
const placedOn = (ctx: Context, which: SQL) => sql`EXISTS (SELECT FROM blocks b
  JOIN assignments a ON a.franchise_id = ${ctx.franchiseId} AND a.released_at IS NULL
    AND (a.block_id = b.id OR a.session_id = b.session_id)
  WHERE b.franchise_id = ${ctx.franchiseId} AND b.superseded_at IS NULL AND ${which} AND a.person_id = ${ctx.personId}::uuid
    AND a.duty <> 'shadow')`;

/** For a coach: refuses a session of which no block is theirs, as not found. */
export async function ownSessionOrRefuse(
  ctx: Context,
  permission: 'attendance.read' | 'attendance.write',
  gymId: string,
  sessionId: string,
): Promise<void> {
  if (isDesk(ctx, permission, gymId)) return;
  const { rowCount } = await ctx.tx.execute(sql`SELECT WHERE ${placedOn(ctx, sql`b.session_id = ${sessionId}`)}`);
  if (rowCount === 0) throw refuse('not-found', 'There is no such session here that you have a block of.');
}

/** For a coach: refuses a block that is not theirs, as not found. */
export async function ownBlockOrRefuse(
  ctx: Context,
  permission: 'attendance.read' | 'attendance.write',
  gymId: string,
  blockId: string,
): Promise<void> {
  if (isDesk(ctx, permission, gymId)) return;
  const { rowCount } = await ctx.tx.execute(sql`SELECT WHERE ${placedOn(ctx, sql`b.id = ${blockId}`)}`);
  if (rowCount === 0) throw refuse('not-found', 'There is no such block here that is yours.');
}

/** Those of the athletes who are the gym's. */
export async function athletesAt(ctx: Context, gymId: string, ids: readonly string[]): Promise<Set<string>> {
  const rows = await ctx.tx
    .select({ id: athletes.personId })
    .from(athletes)
    .where(and(ours(ctx, athletes), eq(athletes.gymId, gymId), inArray(athletes.personId, some(ids))));
  return new Set(rows.map(({ id }) => id));
}

/**
 * Those of the athletes who are the gym's, or were marked at one of its sessions (at that one, where it is named): a sister
 * gym's athlete is let in by the desk first.
 */
export async function athletesMarkedAt(
  ctx: Context,
  gymId: string,
  ids: readonly string[],
  sessionId?: string,
): Promise<Set<string>> {
  const own = await athletesAt(ctx, gymId, ids);
  const others = ids.filter((id) => !own.has(id));
  if (others.length === 0) return own;
  const rows = await ctx.tx
    .select({ id: attendance.athleteId })
    .from(attendance)
    .where(
      and(
        ours(ctx, attendance),
        eq(attendance.gymId, gymId),
        inArray(attendance.athleteId, others),
        sessionId === undefined ? undefined : eq(attendance.sessionId, sessionId),
      ),
    );
  return new Set([...own, ...rows.map(({ id }) => id)]);
}

/** Those who may not be checked in to activity now. */
export async function heldFromActivity(ctx: Context, athleteIds: readonly string[]): Promise<Set<string>> {
  const rows = await selectHeld(ctx, { athleteIds, now: ctx.now });
  return new Set(rows.map(({ id }) => id));
}

const selectHeld = statement((tx, given: Given<{ athleteIds: readonly string[]; now: Date }>) =>
  tx
    .select({ id: activityHolds.athleteId })
    .from(activityHolds)
    .where(
      and(
        ours(given, activityHolds),
        isOneOf(activityHolds.athleteId, given('athleteIds')),
        or(isNull(activityHolds.clearedAt), gt(activityHolds.clearedAt, given('now'))),
      ),
    ),
);

export type ActivityHold = typeof activityHolds.$inferSelect;

/**
 * No check-in to activity from now on, until it is cleared. The lock holds the athlete (level 4), so that nobody is
 * checked in meanwhile.
 */
export async function openActivityHold(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  { athleteId, since, why }: { athleteId: string; since: Date; why: string },
): Promise<ActivityHold> {
  const row = { franchiseId: ctx.franchiseId, id: newId(), athleteId, since, why, createdAt: ctx.now };
  await ctx.tx.insert(activityHolds).values(row);
  await ctx.record('attendance.activity-held', { subjectId: athleteId, gymId }, { athleteId, holdId: row.id });
  return { ...row, clearedAt: null, clearanceId: null };
}

/** They may take part again from a moment on: what the clearance says is kept with it. Clearing twice changes nothing. */
export async function clearActivityHold(
  ctx: Context,
  _lock: CoverLock,
  gymId: string,
  { holdId, clearanceId, from }: { holdId: string; clearanceId: string; from: Date },
): Promise<ActivityHold> {
  const itself = and(ours(ctx, activityHolds), eq(activityHolds.id, holdId));
  const [row] = await ctx.tx.select().from(activityHolds).where(itself);
  const hold = found(row, 'hold');
  if (hold.clearedAt !== null) return hold;
  const cleared = { clearedAt: from, clearanceId };
  await ctx.tx.update(activityHolds).set(cleared).where(itself);
  await ctx.record(
    'attendance.activity-cleared',
    { subjectId: hold.athleteId, gymId },
    { athleteId: hold.athleteId, holdId, clearanceId },
  );
  return { ...hold, ...cleared };
}

/** Leaves a line in the audit trail about those who were shown to be stopped; none where nobody was. */
export async function recordStoppedRead(ctx: Context, gymId: string, athleteIds: readonly string[]): Promise<void> {
  if (athleteIds.length === 0) return;
  await ctx.record('people.health-read', { subjectId: gymId, gymId }, { athleteIds: [...athleteIds] });
}

/** What the desk has to know now of who may collect each; empty for anybody but the desk. */
export async function custodyNotesOf(
  ctx: Context,
  gymId: string,
  athleteIds: readonly string[],
): Promise<Map<string, string>> {
  if (!isDesk(ctx, 'attendance.write', gymId)) return new Map();
  const rows = await selectCustodyNotes(ctx, { athleteIds });
  return new Map(rows.flatMap(({ athleteId, note }): [string, string][] => (note === null ? [] : [[athleteId, note]])));
}

const selectCustodyNotes = statement((tx, given: Given<{ athleteIds: readonly string[] }>) =>
  tx
    .selectDistinctOn([custodyNotes.athleteId], { athleteId: custodyNotes.athleteId, note: custodyNotes.note })
    .from(custodyNotes)
    .where(and(ours(given, custodyNotes), isOneOf(custodyNotes.athleteId, given('athleteIds'))))
    .orderBy(custodyNotes.athleteId, desc(custodyNotes.revision)),
);
