import { and, eq, isNull, lt } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { type Given, statement } from '../../platform/db/statement.ts';
import { ours } from '../../platform/db/tenant.ts';
import { sessions, stays } from '../../tables/index.ts';
import { daysOfNow } from '../attendance/repo.ts';
import { zoneOf } from '../gyms/repo.ts';
import { windowAt } from './board-floor.ts';

/**
 * The local day that a gym's board is of: today; in the night, yesterday for as long as somebody of it is in the
 * building. Not once the first class of the morning is near: whoever was forgotten on the roll must not hide it.
 */
export async function boardDay(ctx: Context, gymId: string): Promise<string> {
  const [today, yesterday] = daysOfNow(await zoneOf(ctx, gymId), ctx.now);
  if (yesterday === undefined) return today;
  const [stillThere, begins] = await Promise.all([
    selectStillThere(ctx, { gymId, day: yesterday }),
    selectBeginning(ctx, { gymId, day: today, before: new Date(windowAt(ctx.now.getTime()).to) }),
  ]);
  return stillThere.length > 0 && begins.length === 0 ? yesterday : today;
}

const selectStillThere = statement((tx, given: Given<{ gymId: string; day: string }>) =>
  tx
    .select({ athleteId: stays.athleteId })
    .from(sessions)
    .innerJoin(stays, and(ours(given, stays), eq(stays.sessionId, sessions.id)))
    .where(
      and(
        ours(given, sessions),
        eq(sessions.gymId, given('gymId')),
        eq(sessions.day, given('day')),
        isNull(stays.outAt),
      ),
    )
    .limit(1),
);

const selectBeginning = statement((tx, given: Given<{ gymId: string; day: string; before: Date }>) =>
  tx
    .select({ id: sessions.id })
    .from(sessions)
    .where(
      and(
        ours(given, sessions),
        eq(sessions.gymId, given('gymId')),
        eq(sessions.day, given('day')),
        isNull(sessions.cancelledAt),
        lt(sessions.startsAt, given('before')),
      ),
    )
    .limit(1),
);
