import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { changeUser } from './change-user.ts';
import { deactivateUser, reactivateUser } from './deactivate-user.ts';
import { giveRole } from './give-role.ts';
import { inviteUser } from './invite-user.ts';
import { reachOf } from './reach.ts';
import { getMember, listUsers, userOf } from './repo.ts';
import { makeResetLink } from './reset-password.ts';
import {
  Invited,
  NewRole,
  NewUser,
  OneTimeLink,
  User,
  UserChanges,
  UserPage,
  UserQuery,
  UserRef,
  UserRoleRef,
} from './schema.ts';
import { takeRole } from './take-role.ts';

const tag = 'users';
const managers = { tag, permission: 'users.manage', anyGym: true } as const;

export const userRoutes: Route[] = [
  route({
    ...managers,
    method: 'get',
    path: '/users',
    name: 'listUsers',
    summary: 'The users of the franchise; for a manager, of their gyms',
    query: UserQuery,
    returns: { 200: UserPage },
  }).handle(async (ctx, { query }) => ok(await listUsers(ctx, reachOf(ctx), query))),

  route({
    ...managers,
    method: 'post',
    path: '/users',
    name: 'inviteUser',
    summary: 'Give somebody a role by their e-mail address',
    description:
      'Whoever has not joined this franchise yet is invited: hand them the one-time link, good for seven days. Asking again makes a new link and voids the old one.',
    body: NewUser,
    returns: { 201: Invited },
    problems: ['already-exists', 'conflict'],
  }).handle(async (ctx, { body }) => created(await inviteUser(ctx, body))),

  route({
    ...managers,
    method: 'get',
    path: '/users/{accountId}',
    name: 'getUser',
    summary: 'One user',
    params: UserRef,
    returns: { 200: User },
    etag: true,
  }).handle(async (ctx, { params }) => {
    const reach = reachOf(ctx);
    return ok(userOf(reach, await getMember(ctx, reach, params.accountId)));
  }),

  route({
    ...managers,
    method: 'patch',
    path: '/users/{accountId}',
    name: 'changeUser',
    summary: 'Say which person a user is',
    params: UserRef,
    body: UserChanges,
    returns: { 200: User },
    problems: ['already-exists'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeUser(ctx, params.accountId, ifMatch, body))),

  route({
    ...managers,
    method: 'post',
    path: '/users/{accountId}/roles',
    name: 'giveRole',
    summary: 'Give a user a role',
    params: UserRef,
    body: NewRole,
    returns: { 201: User },
    problems: ['already-exists', 'conflict'],
  }).handle(async (ctx, { params, body }) => created(await giveRole(ctx, params.accountId, body))),

  route({
    ...managers,
    method: 'delete',
    path: '/users/{accountId}/roles/{roleId}',
    name: 'takeRole',
    summary: 'Take a role from a user',
    description: 'Counts from the next request on.',
    params: UserRoleRef,
    returns: { 200: User },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => ok(await takeRole(ctx, params.accountId, params.roleId))),

  route({
    ...managers,
    method: 'post',
    path: '/users/{accountId}/deactivate',
    name: 'deactivateUser',
    summary: 'Shut a user out of the franchise, at once',
    params: UserRef,
    returns: { 200: User },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => ok(await deactivateUser(ctx, params.accountId))),

  route({
    ...managers,
    method: 'post',
    path: '/users/{accountId}/reactivate',
    name: 'reactivateUser',
    summary: 'Let a user in again',
    params: UserRef,
    returns: { 200: User },
  }).handle(async (ctx, { params }) => ok(await reactivateUser(ctx, params.accountId))),

  route({
    ...managers,
    method: 'post',
    path: '/users/{accountId}/password-reset',
    name: 'resetPassword',
    summary: 'Make a one-time link by which a user sets a new password',
    description: 'Good for one day; earlier ones are void. Not for an account that is in another franchise as well.',
    params: UserRef,
    returns: { 201: OneTimeLink },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => created(await makeResetLink(ctx, params.accountId))),
];
