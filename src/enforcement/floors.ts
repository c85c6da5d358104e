import { and, eq, gt, isNotNull, isNull, sql } from 'drizzle-orm';
import { admissible, narrowed, type Place, type Refusal, type Span } from '../cover/index.ts';
import type { Context } from '../platform/context.ts';
import { ours } from '../platform/db/tenant.ts';
import { assignments, blocks, sessions } from '../tables/index.ts';
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
 * Reads the floors of the days held. Of many days, and for a fact about no certain day, only those ahead on which
 * somebody is placed or a block is confirmed: on the others nothing can break.
 */
export async function loadFloors(ctx: Context, lock: CoverLock): Promise<GymFloor[]> {
  const { days, people } = lock;
  const read = days !== 'all' && days.length <= FEW_DAYS ? days : await daysAhead(ctx, days);
  const floors: GymFloor[] = [];
  for (const day of read) floors.push(await loadFloor(ctx, day, people));
  return floors;
}

/** The days ahead, of those given, with somebody placed or a block confirmed. */
async function daysAhead(ctx: Context, among: readonly GymDay[] | 'all'): Promise<GymDay[]> {
  const placed = ctx.tx
    .select({ gymId: assignments.gymId, day: assignments.day })
    .from(assignments)
    .where(and(ours(ctx, assignments), isNull(assignments.releasedAt), gt(assignments.endsAt, ctx.now)));
  const confirmed = ctx.tx
    .select({ gymId: blocks.gymId, day: blocks.day })
    .from(blocks)
    .innerJoin(sessions, and(ours(ctx, sessions), eq(sessions.id, blocks.sessionId)))
    .where(
      and(ours(ctx, blocks), isNotNull(blocks.confirmedAt), gt(blocks.endsAt, ctx.now), isNull(sessions.cancelledAt)),
    );
  const all = await placed.union(confirmed).orderBy(sql`1, 2`);
  if (among === 'all') return all;
  const held = new Set(among.map(({ gymId, day }) => `${gymId} ${day}`));
  return all.filter(({ gymId, day }) => held.has(`${gymId} ${day}`));
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
