import { PERMISSIONS } from '../../src/platform/auth/permissions.ts';
import type { Route } from '../../src/platform/http/route.ts';
import type { Member } from './a-franchise.ts';

/** Somebody whom the route lets in: the owner, or a gym's manager where the owner may only read. */
export function callerFor(route: Route, owner: Member, manager: Member): Member {
  if (!('permission' in route) || route.permission === 'signed-in') return owner;
  return 'owner' in PERMISSIONS[route.permission] ? owner : manager;
}
