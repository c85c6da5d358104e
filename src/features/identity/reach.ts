import { gymsFor, type HeldRole, type Role, scopesOf } from '../../platform/auth/permissions.ts';
import type { Context } from '../../platform/context.ts';
import { refuse } from '../../platform/problem.ts';

/** Whose users the caller manages: everybody, or holders of lesser roles at these gyms (null: at every gym). */
export type Reach = 'franchise' | { gyms: string[] | null };

export function reachOf(ctx: Context): Reach {
  const scopes = scopesOf(ctx.roles, 'users.manage', 'any');
  return scopes.has('franchise') ? 'franchise' : { gyms: gymsFor(ctx.roles, 'users.manage') };
}

const LESSER: readonly Role[] = ['manager', 'desk', 'coach'];

const isAtTheirs = (reach: Reach, gymId: string | null) =>
  reach === 'franchise' || reach.gyms === null || (gymId !== null && reach.gyms.includes(gymId));

/** May the caller give and take that role there? */
export const isWithin = (reach: Reach, { role, gymId }: HeldRole): boolean =>
  reach === 'franchise' || (LESSER.includes(role) && isAtTheirs(reach, gymId));

/** May the caller know of the role: it is at one of their gyms, or for the whole franchise. */
export const maySeeRole = (reach: Reach, { gymId }: HeldRole): boolean => gymId === null || isAtTheirs(reach, gymId);

/** May the caller know that somebody with these roles is a user? Only by a role at their gyms. */
export const maySeeUser = (reach: Reach, roles: readonly HeldRole[]): boolean =>
  reach === 'franchise' || roles.some(({ gymId }) => isAtTheirs(reach, gymId));

export const notWithin = (detail: string) => refuse('not-allowed', detail, { permission: 'users.manage' });

/**
 * Refuses unless every role of the user is one that the caller may give and take: whoever could reset the password of
 * somebody with more than that, or lock them out, could take their place.
 */
export function refuseUnlessWhollyWithin(reach: Reach, roles: readonly HeldRole[]): void {
  if (roles.every((role) => isWithin(reach, role))) return;
  throw notWithin('They hold a role beyond the gyms whose users you manage; ask an owner.');
}
