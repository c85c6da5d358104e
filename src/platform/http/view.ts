import { type HeldRole, PERMISSIONS, type Permission, scopesOf } from '../auth/permissions.ts';
import type { Context, PathGym } from '../context.ts';
import type { Tx } from '../db/tenant.ts';
import { newId } from '../ids.ts';
import type { Language } from '../language.ts';

/** What decides on what somebody is shown of a gym; those with the same view are shown the same. */
export interface View {
  roles: HeldRole[];
  personId: string | null;
}

const permissions = Object.keys(PERMISSIONS) as Permission[];

/**
 * The roles at the gym; and the person only where a permission reaches no further than their own blocks. Nobody's
 * account is part of it, so nothing that is only one account's is shown.
 */
export function viewOf(who: { roles: readonly HeldRole[]; personId: string | null }, gymId: string): View {
  const here = who.roles.filter((held) => held.gymId === null || held.gymId === gymId);
  const roles = [...new Set(here.map(({ role }) => role))].sort().map((role) => ({ role, gymId }));
  const isNarrow = permissions.some((permission) => {
    const scopes = scopesOf(roles, permission, gymId);
    return scopes.has('own-blocks') && !scopes.has('gym') && !scopes.has('franchise');
  });
  return { roles, personId: isNarrow ? who.personId : null };
}

/** What everybody is shown the same of, whatever their view. */
export interface Shared {
  tx: Tx;
  franchiseId: string;
  gym: PathGym | null;
  now: Date;
}

/** In which a state is read for all who have a view and a language. */
export const contextOf = (view: View & { language: Language }, shared: Shared): Context => ({
  ...shared,
  accountId: null,
  ...view,
  requestId: newId(),
  record: async () => {
    throw new Error('a stream only reads');
  },
});
