import { detachedRoute, noContent, ok, publicRoute, type Route, route } from '../../platform/http/route.ts';
import { changeFranchise } from './change-franchise.ts';
import { changePassword } from './change-password.ts';
import { redeemLink } from './redeem-link.ts';
import { refresh } from './refresh.ts';
import { getFranchise, getWho } from './repo.ts';
import {
  ChangedFranchise,
  Franchise,
  FranchiseChanges,
  PasswordChange,
  Redeemed,
  Redemption,
  Refresh,
  SignedIn,
  SignIn,
  TokenPair,
  Who,
} from './schema.ts';
import { signIn } from './sign-in.ts';
import { signOut } from './sign-out.ts';
import { userRoutes } from './user-routes.ts';

const tag = 'identity';

export const identityRoutes: Route[] = [
  publicRoute({
    method: 'post',
    path: '/sign-in',
    name: 'signIn',
    tag,
    summary: 'Sign in with e-mail address and password',
    description: 'A wrong password, an unknown address and a deactivated user are answered alike.',
    body: SignIn,
    returns: { 200: SignedIn },
    problems: ['sign-in-refused', 'choose-franchise'],
  }).handle(async (door, { body }) => ok(await signIn(door, body))),

  publicRoute({
    method: 'post',
    path: '/tokens/refresh',
    name: 'refreshTokens',
    tag,
    summary: 'Exchange a refresh token for a new pair',
    description:
      'Each refresh token is good once. One that comes a second time ends the whole sign-in, so keep the new one before the next call, and never refresh twice at once.',
    body: Refresh,
    returns: { 200: TokenPair },
    problems: ['not-signed-in'],
  }).handle(async (door, { body }) => ok(await refresh(door, body.refreshToken))),

  publicRoute({
    method: 'post',
    path: '/one-time-links/redeem',
    name: 'redeemLink',
    tag,
    summary: 'Join a franchise, or set a new password, by a one-time link',
    body: Redemption,
    returns: { 200: Redeemed },
    problems: ['link-not-valid', 'sign-in-refused', 'conflict'],
  }).handle(async (door, { body }) => ok(await redeemLink(door, body))),

  detachedRoute({
    method: 'post',
    path: '/sign-out',
    name: 'signOut',
    tag,
    summary: 'End this sign-in',
    returns: { 204: null },
  }).handle(async (_door, caller) => {
    await signOut(caller);
    return noContent();
  }),

  route({
    method: 'get',
    path: '/me',
    name: 'getMe',
    tag,
    summary: 'Who you are here, and your roles',
    permission: 'signed-in',
    returns: { 200: Who },
  }).handle(async (ctx) => ok(await getWho(ctx, ctx.accountId ?? ''))),

  detachedRoute({
    method: 'put',
    path: '/me/password',
    name: 'changePassword',
    tag,
    summary: 'Change your password',
    description: 'Ends your other sign-ins, everywhere.',
    body: PasswordChange,
    returns: { 204: null },
    problems: ['conflict'],
  }).handle(async (door, caller, { body }) => {
    await changePassword(door, caller, body);
    return noContent();
  }),

  route({
    method: 'get',
    path: '/franchise',
    name: 'getFranchise',
    tag,
    summary: 'The franchise that you are signed in to',
    permission: 'franchise.read',
    returns: { 200: Franchise },
    etag: true,
  }).handle(async (ctx) => ok(await getFranchise(ctx))),

  route({
    method: 'patch',
    path: '/franchise',
    name: 'changeFranchise',
    tag,
    summary: 'Change the franchise’s settings',
    description: 'Leap birthdays and travel are inputs of cover: the answer says which blocks lost their confirmation.',
    permission: 'franchise.write',
    body: FranchiseChanges,
    returns: { 200: ChangedFranchise },
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { body, ifMatch }) => ok(await changeFranchise(ctx, ifMatch, body))),

  ...userRoutes,
];
