import { z } from 'zod';
import { localDay } from '../../cover/index.ts';
import { created, noContent, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, Id } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { absenceRoutes } from './absence-routes.ts';
import { adaptRoutes } from './adapt-routes.ts';
import { Assigned, PLACING_PROBLEMS } from './assigned.ts';
import { confirmBlock, confirmSession, unconfirmBlock } from './confirm.ts';
import { coverRoutes } from './cover-routes.ts';
import { acceptFinding, withdrawOverride } from './override.ts';
import { listOverrides } from './overrides-repo.ts';
import { place } from './place.ts';
import { release } from './release.ts';
import * as repo from './repo.ts';
import { roomRoutes } from './room-routes.ts';
import {
  Assignment,
  AssignmentPage,
  AssignmentQuery,
  AssignmentRef,
  Because,
  BlockPlacing,
  BlockRef,
  DaysQuery,
  NewOverride,
  Override,
  OverridePage,
  OverrideRef,
  PremisesPlacing,
  SessionPlacing,
  SessionRef,
  Swap,
} from './schema.ts';
import { swap } from './swap.ts';

const tag = 'staffing';
const Confirmed = z.strictObject({ confirmed: z.array(Id).max(200) }).meta({ id: 'Confirmed' });
const moment = (value: string | undefined) => (value === undefined ? null : new Date(value));

const assigning: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/assignments',
    name: 'assignToBlock',
    tag,
    summary: 'Put a coach on a block',
    description:
      'Refused when no cover can excuse it: in two places at once, not employed that day, too young, not qualified. A planned block may stay short: the answer says what it still needs.',
    permission: 'staffing.assign',
    params: BlockRef,
    body: BlockPlacing,
    returns: { 201: Assigned },
    problems: PLACING_PROBLEMS,
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created(
      await place(ctx, async () => (await repo.getBlockUnit(ctx, params.gymId, params.blockId)).at, {
        ...body,
        startsAt: moment(body.startsAt),
        endsAt: moment(body.endsAt),
      }),
    ),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/assignments',
    name: 'assignOverseer',
    tag,
    summary: 'Let somebody oversee a session',
    description: 'In sight of several of its blocks, with no hands on; counted once, by the rules per session.',
    permission: 'staffing.assign',
    params: SessionRef,
    body: SessionPlacing,
    returns: { 201: Assigned },
    problems: PLACING_PROBLEMS,
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    created(
      await place(ctx, async () => (await repo.getSessionUnit(ctx, params.gymId, params.sessionId)).at, {
        ...body,
        duty: 'oversee',
        startsAt: moment(body.startsAt),
        endsAt: moment(body.endsAt),
      }),
    ),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/premises/assignments',
    name: 'assignFloater',
    tag,
    summary: 'Have somebody on the premises as a floater',
    description: 'Counted by the rules for the premises only, until sent to a block.',
    permission: 'staffing.assign',
    params: GymRef,
    body: PremisesPlacing,
    returns: { 201: Assigned },
    problems: PLACING_PROBLEMS,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId }, body }) => {
    const span = { from: Date.parse(body.startsAt), to: Date.parse(body.endsAt) };
    const unitNow = async () => {
      const zone = await zoneOf(ctx, gymId);
      const day = localDay(zone, span.from);
      if (span.from < span.to && localDay(zone, span.to - 1) !== day) {
        throw refuse('invalid-request', 'A floater’s span lies within one day.', {
          errors: [{ pointer: '/endsAt', detail: 'Expected an end on the same day in the gym’s zone.' }],
        });
      }
      return { unit: { per: 'premises', id: gymId } as const, gymId, day, span };
    };
    return created(await place(ctx, unitNow, { ...body, startsAt: new Date(span.from), endsAt: new Date(span.to) }));
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}/assignments',
    name: 'listAssignments',
    tag,
    summary: 'Who was put where at a gym, released places included',
    permission: 'schedule.read',
    params: GymRef,
    query: AssignmentQuery,
    returns: { 200: AssignmentPage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listAssignments(ctx, params.gymId, query))),

  route({
    method: 'get',
    path: '/me/assignments',
    name: 'listMyAssignments',
    tag,
    summary: 'Your own places ahead',
    permission: 'signed-in',
    query: DaysQuery,
    returns: { 200: AssignmentPage },
  }).handle(async (ctx, { query }) =>
    ok(ctx.personId === null ? { items: [], next: null } : await repo.listOwnAssignments(ctx, ctx.personId, query)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/assignments/{assignmentId}/release',
    name: 'releaseAssignment',
    tag,
    summary: 'Take somebody off a place',
    description: 'Refused, with remedies, when a confirmed block would be left uncovered.',
    permission: 'staffing.assign',
    params: AssignmentRef,
    body: Because,
    returns: { 200: Assignment },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await release(ctx, params.gymId, params.assignmentId, body.reason))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/swaps',
    name: 'swapPlaces',
    tag,
    summary: 'Let two people exchange their places within a span',
    permission: 'staffing.assign',
    params: GymRef,
    body: Swap,
    returns: { 200: z.strictObject({ assignments: z.array(Assignment).max(200) }).meta({ id: 'Swapped' }) },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) =>
    ok(
      await swap(ctx, params.gymId, {
        personIds: body.personIds,
        startsAt: new Date(body.startsAt),
        endsAt: new Date(body.endsAt),
      }),
    ),
  ),
];

const confirming: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/confirm',
    name: 'confirmBlock',
    tag,
    summary: 'Confirm a block: refused until it is covered',
    permission: 'staffing.confirm',
    params: BlockRef,
    returns: { 200: Confirmed },
    problems: ['not-covered', 'cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await confirmBlock(ctx, params.gymId, params.blockId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/confirm',
    name: 'confirmSession',
    tag,
    summary: 'Confirm all blocks of a session, together or not at all',
    permission: 'staffing.confirm',
    params: SessionRef,
    returns: { 200: Confirmed },
    problems: ['not-covered', 'cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await confirmSession(ctx, params.gymId, params.sessionId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/unconfirm',
    name: 'unconfirmBlock',
    tag,
    summary: 'Take back a confirmation, with a reason',
    description: 'The service then does not confirm that block by itself; people may, by hand.',
    permission: 'staffing.confirm',
    params: BlockRef,
    body: Because,
    returns: { 204: null },
    problems: ['cover-broken', 'not-admissible', 'already-over', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => {
    await unconfirmBlock(ctx, params.gymId, params.blockId, body.reason);
    return noContent();
  }),

  route({
    method: 'post',
    path: '/gyms/{gymId}/overrides',
    name: 'acceptFinding',
    tag,
    summary: 'Accept a finding by name, with a reason',
    description:
      'Copy unit, span, code, rule, subjects and shortfall from the finding. It stands in the audit trail and in every report. A rule can forbid it.',
    permission: 'staffing.override',
    params: GymRef,
    body: NewOverride,
    returns: { 201: Override },
    problems: ['not-overridable', 'already-over', 'already-exists', 'cover-broken', 'not-admissible'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await acceptFinding(ctx, params.gymId, body))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/overrides',
    name: 'listOverrides',
    tag,
    summary: 'The findings that were accepted at a gym',
    permission: 'cover.read',
    params: GymRef,
    query: DaysQuery,
    returns: { 200: OverridePage },
  }).handle(async (ctx, { params, query }) => ok(await listOverrides(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/overrides/{overrideId}/withdraw',
    name: 'withdrawOverride',
    tag,
    summary: 'Take an override back: refused when that uncovers a confirmed block',
    permission: 'staffing.override',
    params: OverrideRef,
    returns: { 200: Override },
    problems: ['cover-broken', 'not-admissible', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await withdrawOverride(ctx, params.gymId, params.overrideId))),
];

export const staffingRoutes: Route[] = [
  ...assigning,
  ...confirming,
  ...absenceRoutes,
  ...coverRoutes,
  ...roomRoutes,
  ...adaptRoutes,
];
