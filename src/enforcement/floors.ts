import { and, eq, gt, inArray, isNotNull, isNull, sql } from 'drizzle-orm';
import { admissible, narrowed, type Place, type Refusal, type Span } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { ours } from '../platform/db/tenant.ts';
import { assignments, blocks, groupMembers, sessions } from '../tables/index.ts';
import { type GymFloor, loadFloor } from './load-floor.ts';
import type { CoverLock, GymDay } from './lock.ts';

/** The floors of the days that a change may touch. */
export type Floors = readonly GymFloor[];

export const floorAt = (floors: Floors, gymId: string, day: string): GymFloor => {
  const found = floors.find((one) => one.gymId === gymId && one.day === day);
  if (!found) throw new Error('that gym-day was not locked');
  return found;
};

/** More days than this are those of a whole term, of which most have nothing that could break. */
const FEW_DAYS = 2;

/**
 * The days of a lock on which something could break. Of many days, and for a fact about no certain day, only those ahead
 * on which somebody is placed or a block is confirmed; for a fact about certain people, only those of theirs.
 */
export async function daysOf(ctx: Context, { days, people }: CoverLock): Promise<readonly GymDay[]> {
  if (days === 'all') return people.length > 0 ? daysOfPeople(ctx, people) : daysAhead(ctx, null);
  return days.length <= FEW_DAYS ? days : daysAhead(ctx, days);
}

/** Reads the floors of the days of a lock on which something could break. */
export async function loadFloors(ctx: Context, lock: CoverLock): Promise<GymFloor[]> {
  const floors: GymFloor[] = [];
  for (const day of await daysOf(ctx, lock)) floors.push(await loadFloor(ctx, day, lock.people));
  return floors;
}

/** The days ahead, of those given (null: of all), with somebody placed or a block confirmed. */
async function daysAhead(ctx: Context, among: readonly GymDay[] | null): Promise<GymDay[]> {
  const isAmong = (table: typeof assignments | typeof blocks) =>
    among === null
      ? undefined
      : sql`(${table.gymId}, ${table.day}) IN (SELECT * FROM unnest(
          ${sql.param(among.map(({ gymId }) => gymId))}::uuid[], ${sql.param(among.map(({ day }) => day))}::date[]))`;
  const placed = ctx.tx
    .select({ gymId: assignments.gymId, day: assignments.day })
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        isNull(assignments.releasedAt),
        gt(assignments.endsAt, ctx.now),
        isAmong(assignments),
      ),
    );
  const confirmed = ctx.tx
    .select({ gymId: blocks.gymId, day: blocks.day })
    .from(blocks)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId)))
    .where(
      and(
        ours(ctx, blocks),
        isNotNull(blocks.confirmedAt),
        isNull(blocks.supersededAt),
        gt(blocks.endsAt, ctx.now),
        isNull(sessions.cancelledAt),
        isAmong(blocks),
      ),
    );
  return placed.union(confirmed).orderBy(sql`1, 2`);
}

/** The days ahead on which any of these people has a place: on the staff, or as an athlete. */
async function daysOfPeople(ctx: Context, people: readonly string[]): Promise<GymDay[]> {
  const onStaff = ctx.tx
    .select({ gymId: assignments.gymId, day: assignments.day })
    .from(assignments)
    .where(
      and(
        ours(ctx, assignments),
        inArray(assignments.personId, [...people]),
        isNull(assignments.releasedAt),
        gt(assignments.endsAt, ctx.now),
      ),
    );
  const inGroups = ctx.tx
    .select({ gymId: sessions.gymId, day: sessions.day })
    .from(groupMembers)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, groupMembers.sessionId)))
    .where(
      and(
        ours(ctx, groupMembers),
        inArray(groupMembers.athleteId, [...people]),
        isNull(groupMembers.releasedAt),
        gt(groupMembers.endsAt, ctx.now),
        isNull(sessions.cancelledAt),
      ),
    );
  return onStaff.union(inGroups).orderBy(sql`1, 2`);
}

/** Somebody in a place that no cover can excuse. */
export interface Misplaced {
  at: GymFloor;
  personId: string;
  place: Place;
  refusals: Refusal[];
}

/** Everybody who stands, or will stand, where they may not; of one stretch, when it is given. What has ended is left alone. */
export function misplaced({ floor, ...day }: GymFloor, now: Date, within: Span = floor.over): Misplaced[] {
  return floor.staff.flatMap(({ person, at }) =>
    at
      .filter(({ span }) => span.to > now.getTime() && span.from < within.to && span.to > within.from)
      .flatMap((place) => {
        const refusals = admissible(narrowed(floor, place.span), person, place);
        return refusals.length === 0 ? [] : [{ at: { ...day, floor }, personId: person, place, refusals }];
      }),
  );
}
