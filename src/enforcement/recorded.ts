import { and, eq, gt, isNotNull, isNull, lt, or, type SQL, sql } from 'drizzle-orm';
import type { Span } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { type Given, statement } from '../platform/db/statement.ts';
import { ours, type Tx } from '../platform/db/tenant.ts';
import * as t from '../tables/index.ts';
import type { GymDay } from './lock.ts';
import { grouped } from './rows.ts';
import { holds } from './spans.ts';

/** One athlete at one session, as it was recorded. Moments are epoch milliseconds. */
export interface Attended {
  athleteId: string;
  sessionId: string;
  /** Their group, or that of the group they go with; null where the session has none. */
  groupId: string | null;
  state: (typeof t.ATTENDANCE_STATES)[number];
  /** Since when they are in that state. */
  since: number;
  /** Of the session. */
  startsAt: number;
  endsAt: number;
  /** When they were in the building for it. No `from`: nobody said when they came; no `to`: they are still there. */
  stays: readonly { from: number | null; to: number | null }[];
}

/** Out of the hall, not of the building; with whom. No `to`: not back yet. */
export interface Outing {
  athleteId: string;
  sessionId: string;
  withPersonId: string | null;
  from: number;
  to: number | null;
  /** Of the session. */
  endsAt: number;
}

/** Somebody on the staff at the gym, or on a break from being there. */
export interface StaffStay {
  personId: string;
  kind: 'work' | 'break';
  from: number | null;
  to: number | null;
}

/** What was recorded at a gym for one of its days. */
export interface Recorded {
  attended: readonly Attended[];
  outings: readonly Outing[];
  staff: readonly StaffStay[];
}

/**
 * Reads what was recorded for the sessions of a gym-day, and of its staff that day: three statements. Given a span, it
 * leaves out the sessions that lie outside it, but for those who stayed.
 */
export async function loadRecorded(ctx: Context, { gymId, day }: GymDay, over?: Span): Promise<Recorded> {
  const [rows, outings, staff] = await Promise.all([
    over
      ? selectAttendedNear(ctx, { gymId, day, from: new Date(over.from), to: new Date(over.to) })
      : selectAttended(ctx, { gymId, day }),
    selectOutings(ctx, { gymId, day }),
    selectStaffStays(ctx, { gymId, day }),
  ]);

  const attended = new Map<string, Attended & { stays: { from: number | null; to: number | null }[] }>();
  for (const row of rows) {
    const { athleteId, sessionId, groupId, state } = row;
    const key = `${athleteId} ${sessionId}`;
    let one = attended.get(key);
    if (one === undefined) {
      const [since, startsAt, endsAt] = [row.since.getTime(), row.startsAt.getTime(), row.endsAt.getTime()];
      one = { athleteId, sessionId, groupId, state, since, startsAt, endsAt, stays: [] };
      attended.set(key, one);
    }
    if (row.position !== null) one.stays.push({ from: msOf(row.inAt), to: msOf(row.outAt) });
  }
  return {
    attended: [...attended.values()],
    outings: outings.map(({ outAt, backAt, endsAt, ...one }) => ({
      ...one,
      from: outAt.getTime(),
      to: msOf(backAt),
      endsAt: endsAt.getTime(),
    })),
    staff: staff.map(({ inAt, outAt, ...one }) => ({ ...one, from: msOf(inAt), to: msOf(outAt) })),
  };
}

type OfDay = { gymId: string; day: string };

const selectAttended = statement((tx, given: Given<OfDay>) => attendedOf(tx, given));

/** Of sessions in a span, and of those who stayed. */
const selectAttendedNear = statement((tx, given: Given<OfDay & { from: Date; to: Date }>) =>
  attendedOf(
    tx,
    given,
    or(
      and(lt(t.sessions.startsAt, given('to')), gt(t.sessions.endsAt, given('from'))),
      and(isNotNull(t.stays.position), or(isNull(t.stays.outAt), gt(t.stays.outAt, given('from')))),
    ),
  ),
);

function attendedOf(tx: Tx, given: Given<OfDay>, isNear?: SQL) {
  return tx
    .select({
      athleteId: t.attendance.athleteId,
      sessionId: t.attendance.sessionId,
      groupId: sql<string | null>`coalesce(${t.groupMembers.groupId}, ${t.attendance.groupId})`,
      state: t.attendance.state,
      since: t.attendance.since,
      startsAt: t.sessions.startsAt,
      endsAt: t.sessions.endsAt,
      position: t.stays.position,
      inAt: t.stays.inAt,
      outAt: t.stays.outAt,
    })
    .from(t.sessions)
    .innerJoin(t.attendance, and(ours(given, t.attendance), eq(t.attendance.sessionId, t.sessions.id)))
    .leftJoin(
      t.stays,
      and(
        ours(given, t.stays),
        eq(t.stays.sessionId, t.attendance.sessionId),
        eq(t.stays.athleteId, t.attendance.athleteId),
      ),
    )
    .leftJoin(
      t.groupMembers,
      and(
        ours(given, t.groupMembers),
        eq(t.groupMembers.sessionId, t.attendance.sessionId),
        eq(t.groupMembers.athleteId, t.attendance.athleteId),
        isNull(t.groupMembers.releasedAt),
      ),
    )
    .where(and(ours(given, t.sessions), eq(t.sessions.gymId, given('gymId')), eq(t.sessions.day, given('day')), isNear))
    .orderBy(t.attendance.athleteId, t.attendance.sessionId, t.stays.position);
}

const selectOutings = statement((tx, given: Given<OfDay>) =>
  tx
    .select({
      athleteId: t.outings.athleteId,
      sessionId: t.outings.sessionId,
      withPersonId: t.outings.withPersonId,
      outAt: t.outings.outAt,
      backAt: t.outings.backAt,
      endsAt: t.sessions.endsAt,
    })
    .from(t.sessions)
    .innerJoin(t.outings, and(ours(given, t.outings), eq(t.outings.sessionId, t.sessions.id)))
    .where(
      and(
        ours(given, t.sessions),
        eq(t.sessions.gymId, given('gymId')),
        eq(t.sessions.day, given('day')),
        isNull(t.outings.undoneAt),
      ),
    )
    .orderBy(t.outings.outAt, t.outings.id),
);

const selectStaffStays = statement((tx, given: Given<OfDay>) =>
  tx
    .select({
      personId: t.staffStays.personId,
      kind: t.staffStays.kind,
      inAt: t.staffStays.inAt,
      outAt: t.staffStays.outAt,
    })
    .from(t.staffStays)
    .where(and(ours(given, t.staffStays), eq(t.staffStays.gymId, given('gymId')), eq(t.staffStays.day, given('day'))))
    .orderBy(t.staffStays.personId, t.staffStays.position),
);

const msOf = (moment: Date | null) => (moment === null ? null : moment.getTime());

export type StaffState = 'not-in' | 'in' | 'on-break' | 'left';

/** Where everybody on the staff is at a moment, by what was recorded that day. */
export function staffStates({ staff }: Recorded, moment: number): (personId: string) => StaffState {
  const staysOf = grouped(staff, ({ personId }) => personId);
  return (personId) => {
    const stays = staysOf(personId);
    const isNow = (kind: StaffStay['kind']) =>
      stays.some((one) => one.kind === kind && one.from !== null && holds(spanFrom(one.from, one.to), moment));
    if (isNow('break')) return 'on-break';
    if (isNow('work')) return 'in';
    return stays.some(({ to }) => to !== null && to <= moment) ? 'left' : 'not-in';
  };
}

/** Open is for good, as far as anybody knows. */
export const spanFrom = (from: number, to: number | null) => ({ from, to: to ?? Infinity });

/** What an athlete's record at a session came to at a moment. */
export function stateAt(
  { state, since, stays }: Pick<Attended, 'state' | 'since' | 'stays'>,
  moment: number,
): Attended['state'] {
  if (stays.some(({ from, to }) => (from ?? -Infinity) <= moment && moment < (to ?? Infinity))) return 'present';
  if (state === 'on-hold' && since <= moment) return 'on-hold';
  if (stays.some(({ to }) => to !== null && to <= moment)) return 'left';
  return state === 'absent' || since <= moment ? state : 'expected';
}
