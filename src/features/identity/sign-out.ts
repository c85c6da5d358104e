import { and, eq, isNull } from 'drizzle-orm';
import type { Caller } from '../../platform/http/route.ts';
import { signIns } from '../../tables/identity.ts';

/** Ends the sign-in that the access token is of. */
export const signOut = (caller: Caller): Promise<void> =>
  caller.transact(async (ctx) => {
    await ctx.tx
      .update(signIns)
      .set({ endedAt: ctx.now, endedWhy: 'signed-out' })
      .where(and(eq(signIns.id, caller.signInId), isNull(signIns.endedAt)));
  });
