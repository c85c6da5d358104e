import type { Caller, Door } from '../../platform/http/route.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { lockPassword, setPassword } from './accounts.ts';
import type { PasswordChange } from './schema.ts';

/** Changes one's own password. This sign-in goes on; all others, in every franchise, end. */
export async function changePassword(door: Door, caller: Caller, { current, new: next }: PasswordChange) {
  const before = await caller.transact((ctx) => lockPassword(ctx, caller.accountId, 'share'));
  if (!(await door.passwords.fits(current, before))) {
    throw invalid('/current', 'That is not the present password; ask for a reset link if it is lost.');
  }
  const passwordHash = await door.passwords.hash(next);
  await caller.transact(async (ctx) => {
    if ((await lockPassword(ctx, caller.accountId, 'no key update')) !== before) {
      throw refuse('conflict', 'The password was changed by somebody else at the same time.');
    }
    await setPassword(ctx, caller.accountId, passwordHash, caller.signInId);
    await ctx.record('users.password-changed', { subjectId: caller.accountId }, { accountId: caller.accountId });
  });
}
