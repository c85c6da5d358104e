import { and, eq, gt, isNotNull, isNull, sql } from 'drizzle-orm';
import { admissible } from '../cover/index.ts';
import type { Place, Refusal } from '../cover/types.ts';
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

/** Reads the floors of the days held; for a fact about no certain day, of every day ahead with somebody placed or a block confirmed. */
export async function loadFloors(ctx: Context, lock: CoverLock): Promise<GymFloor[]> {
  const days = lock.days === 'all' ? await daysAhead(ctx) : lock.days;
  const floors: GymFloor[] = [];
  for (const day of days) floors.push(await loadFloor(ctx, day, lock.people));
  return floors;
}

async function daysAhead(ctx: Context): Promise<GymDay[]> {
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
  return placed.union(confirmed).orderBy(sql`1, 2`);
}

/** Somebody in a place that no cover can excuse. */
export interface Misplaced {
  at: GymFloor;
  personId: string;
  place: Place;
  refusals: Refusal[];
}

/** Everybody who stands, or will stand, where they may not. What has ended is left alone. */
export function misplaced(floors: Floors, now: Date): Misplaced[] {
  return floors.flatMap((here) =>
    here.floor.staff.flatMap(({ person, at }) =>
      at
        .filter(({ span }) => span.to > now.getTime())
        .flatMap((place) => {
          const refusals = admissible(here.floor, person, place);
          return refusals.length === 0 ? [] : [{ at: here, personId: person, place, refusals }];
        }),
    ),
  );
}
