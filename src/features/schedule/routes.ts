import { z } from 'zod';
import { settledOnWire } from '../../enforcement/describe.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, PageQuery } from '../../platform/http/wire.ts';
import { addClass } from './add-class.ts';
import { cancelSession } from './cancel-session.ts';
import { changeClass } from './change-class.ts';
import { enrol } from './enrol.ts';
import { listEnrolments } from './enrolments-repo.ts';
import { layOutBlocks } from './lay-out-blocks.ts';
import { layOutSessions } from './lay-out-sessions.ts';
import { moveSession } from './move-session.ts';
import { listSessions, readSession } from './read-sessions.ts';
import { regroup } from './regroup.ts';
import * as repo from './repo.ts';
import * as schema from './schema.ts';
import { takePlanVersion } from './take-plan-version.ts';
import { termPlaceRoutes } from './term-place-routes.ts';
import { unenrol } from './unenrol.ts';

const tag = 'schedule';
const Paged = z.strictObject(PageQuery);

export const scheduleRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/classes',
    name: 'listClasses',
    tag,
    summary: 'A gym’s weekly classes',
    permission: 'schedule.read',
    params: GymRef,
    query: Paged,
    returns: { 200: schema.ClassPage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listClasses(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/classes',
    name: 'addClass',
    tag,
    summary: 'Add a weekly class',
    description: 'It keeps wall time in the gym’s zone. Its sessions are laid out for a span of weeks, separately.',
    permission: 'schedule.write',
    params: GymRef,
    body: schema.NewClass,
    returns: { 201: schema.Class },
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await addClass(ctx, params.gymId, body))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/classes/{classId}',
    name: 'getClass',
    tag,
    summary: 'One class',
    permission: 'schedule.read',
    params: schema.ClassRef,
    returns: { 200: schema.Class },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await repo.getClass(ctx, params.gymId, params.classId))),

  route({
    method: 'patch',
    path: '/gyms/{gymId}/classes/{classId}',
    name: 'changeClass',
    tag,
    summary: 'Change a class’s name, capacity or last day',
    description: 'Day, time and programme stay: for another, end the class and add a new one.',
    permission: 'schedule.write',
    params: schema.ClassRef,
    body: schema.ClassChanges,
    returns: { 200: schema.Class },
    problems: ['conflict'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, classId }, body, ifMatch }) =>
    ok(await changeClass(ctx, gymId, classId, ifMatch, body)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/classes/{classId}/sessions',
    name: 'layOutSessions',
    tag,
    summary: 'Lay out a class’s sessions for a span of weeks',
    description:
      'One session for each dated meeting. Those that are there already are left as they are, so asking again is ' +
      'harmless. A wall time that the clocks skip in spring is read with the offset before the gap (02:30 becomes ' +
      '03:30); of one that comes twice in autumn, the first is meant.',
    permission: 'schedule.write',
    params: schema.ClassRef,
    body: schema.SessionWeeks,
    returns: { 201: schema.LaidOutSessions },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, classId }, body }) =>
    created(await layOutSessions(ctx, gymId, classId, body)),
  ),

  route({
    method: 'get',
    path: '/gyms/{gymId}/classes/{classId}/enrolments',
    name: 'listEnrolments',
    tag,
    summary: 'Who is, was and will be enrolled in a class',
    permission: 'athletes.read',
    params: schema.ClassRef,
    query: Paged,
    returns: { 200: schema.EnrolmentPage },
  }).handle(async (ctx, { params: { gymId, classId }, query }) => {
    await repo.getClass(ctx, gymId, classId);
    return ok(await listEnrolments(ctx, classId, query));
  }),

  route({
    method: 'post',
    path: '/gyms/{gymId}/classes/{classId}/enrolments',
    name: 'enrol',
    tag,
    summary: 'Enrol an athlete in a class',
    description:
      'Gives a place in the smallest group of every session that is laid out with groups, from that day on. Refused ' +
      'when the class is full, the athlete would be in two places, or a confirmed block would be left uncovered.',
    permission: 'enrolments.write',
    params: schema.ClassRef,
    body: schema.NewEnrolment,
    returns: { 201: schema.Enrolled },
    problems: ['conflict', 'already-exists', 'cover-broken', 'not-admissible'],
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, classId }, body }) => created(await enrol(ctx, gymId, classId, body))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/classes/{classId}/enrolments/{enrolmentId}/end',
    name: 'endEnrolment',
    tag,
    summary: 'End an enrolment',
    description: 'A fact: it stands, and the answer says what it led to. Places from that day on are given up.',
    permission: 'enrolments.write',
    params: schema.EnrolmentRef,
    body: schema.EnrolmentEnd,
    returns: { 200: schema.Unenrolled },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => {
    const { settled, ...ended } = await unenrol(ctx, params, body.until);
    return ok({ ...ended, settled: await settledOnWire(ctx, settled) });
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions',
    name: 'listSessions',
    tag,
    summary: 'A gym’s sessions, by their start',
    permission: 'schedule.read',
    params: GymRef,
    query: schema.SessionQuery,
    returns: { 200: schema.SessionPage },
  }).handle(async (ctx, { params, query }) => ok(await listSessions(ctx, params.gymId, query))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}',
    name: 'getSession',
    tag,
    summary: 'One session with its groups and blocks',
    description:
      'Who is in a group is shown to those who may read athletes; to a coach, for the groups that they have.',
    permission: 'schedule.read',
    params: schema.SessionRef,
    returns: { 200: schema.WholeSession },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await readSession(ctx, params.gymId, params.sessionId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/lay-out',
    name: 'layOutBlocks',
    tag,
    summary: 'Lay a session’s blocks out from a published plan',
    description:
      'Makes the groups, spreads everybody who is enrolled that day evenly over them, and pins the blocks to the plan ' +
      'version. Laying out again replaces, as long as the session has not begun, nothing is confirmed and nobody on the ' +
      'staff is placed on it; the old blocks’ overrides are withdrawn. Easier drills that stand for the gym, class or ' +
      'session are done in the new blocks (`stepDowns`); a step up has to be adapted again.',
    permission: 'schedule.write',
    params: schema.SessionRef,
    body: schema.NewLayout,
    returns: { 200: schema.WholeSession },
    problems: ['conflict', 'already-over', 'cover-broken', 'not-admissible'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, sessionId }, body, ifMatch }) =>
    ok(await layOutBlocks(ctx, gymId, sessionId, ifMatch, body)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/take-plan-version',
    name: 'takePlanVersion',
    tag,
    summary: 'Pin a session’s blocks to another version of their plan',
    description:
      'Each block goes to the one at its position there. Times and areas stay. What was done otherwise at its stations ' +
      'was about the version before, and is taken back: adapt the stations of this one. Easier drills that stand for ' +
      'these already are done (`stepDowns`).',
    permission: 'schedule.write',
    params: schema.SessionRef,
    body: schema.PlanVersionChoice,
    returns: { 200: schema.WholeSession },
    problems: ['conflict', 'already-over', 'cover-broken', 'not-admissible'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, sessionId }, body, ifMatch }) =>
    ok(await takePlanVersion(ctx, gymId, sessionId, ifMatch, body.planVersionId)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/regroup',
    name: 'regroup',
    tag,
    summary: 'Move athletes to other groups of their session',
    permission: 'schedule.write',
    params: schema.SessionRef,
    body: schema.Regrouping,
    returns: { 200: schema.WholeSession },
    problems: ['conflict', 'already-over', 'cover-broken', 'not-admissible'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, sessionId }, body, ifMatch }) =>
    ok(await regroup(ctx, gymId, sessionId, ifMatch, body)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/move',
    name: 'moveSession',
    tag,
    summary: 'Move a session to another time or day',
    description:
      'Before it begins, to a day on which the class still meets; to another day only while nobody has been checked in. Its blocks, athletes and staff move along; it stays the same session.',
    permission: 'schedule.write',
    params: schema.SessionRef,
    body: schema.SessionMove,
    returns: { 200: schema.WholeSession },
    problems: ['conflict', 'already-over', 'cover-broken', 'not-admissible'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, sessionId }, body, ifMatch }) =>
    ok(await moveSession(ctx, gymId, sessionId, ifMatch, body)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/cancel',
    name: 'cancelSession',
    tag,
    summary: 'Cancel a session',
    description: 'A fact: it stands, and the answer says what it led to. Its staff and athletes are free again.',
    permission: 'schedule.write',
    params: schema.SessionRef,
    body: schema.Cancellation,
    returns: { 200: schema.CancelledSession },
    problems: ['conflict', 'already-over'],
    dryRun: true,
  }).handle(async (ctx, { params: { gymId, sessionId }, body }) => {
    const { settled, ...cancelled } = await cancelSession(ctx, gymId, sessionId, body.reason);
    return ok({ ...cancelled, settled: await settledOnWire(ctx, settled) });
  }),

  ...termPlaceRoutes,
];
