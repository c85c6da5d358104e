import { z } from 'zod';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { Day, GymRef, PageQuery } from '../../platform/http/wire.ts';
import { countHeads } from './headcounts.ts';
import { endOuting, listOutings, recordOuting, undoOuting } from './outings.ts';
import { countSession, listRolls } from './roll-lists.ts';
import {
  BlockRef,
  Headcount,
  NewHeadcount,
  NewOuting,
  NewRoll,
  NewStaffMark,
  Outing,
  OutingPage,
  OutingRef,
  RollPage,
  StaffMarkRef,
  StaffPresence,
  StaffPresencePage,
  TakenRoll,
  Totals,
} from './roll-schema.ts';
import { takeRoll } from './rolls.ts';
import { SessionRef, When } from './schema.ts';
import { listStaffPresence, markStaff, undoStaffMark } from './staff-presence.ts';

// A coach is let in, and finds there the blocks, and the sessions of the blocks, that they are placed on.
const scopes = ['franchise', 'gym', 'own-blocks'] as const;
const writes = { tag: 'attendance', permission: 'attendance.write', scopes } as const;
const reads = { tag: 'attendance', permission: 'attendance.read', scopes } as const;
const Paged = z.strictObject(PageQuery);

export const floorRoutes: Route[] = [
  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/rolls',
    name: 'takeRoll',
    summary: 'Take a block’s roll',
    description:
      'Whoever is here and was not checked in is in by this; nobody is out by not being seen. The answer says where the roll, the door and the group’s roll before differ.',
    params: BlockRef,
    body: NewRoll,
    returns: { 201: TakenRoll },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await takeRoll(ctx, params.gymId, params.blockId, body))),

  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/blocks/{blockId}/rolls',
    name: 'listRolls',
    summary: 'A block’s rolls and headcounts, the last one first',
    params: BlockRef,
    query: Paged,
    returns: { 200: RollPage },
  }).handle(async (ctx, { params, query }) => ok(await listRolls(ctx, params.gymId, params.blockId, query))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/headcounts',
    name: 'countHeads',
    summary: 'Write down how many heads were counted, against the roll',
    params: BlockRef,
    body: NewHeadcount,
    returns: { 201: Headcount },
    problems: ['already-exists'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await countHeads(ctx, params.gymId, params.blockId, body))),

  route({
    tag: 'attendance',
    permission: 'attendance.count',
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/attendance-totals',
    name: 'countSession',
    summary: 'A session’s heads by their state, without persons',
    params: SessionRef,
    returns: { 200: Totals },
  }).handle(async (ctx, { params }) => ok(await countSession(ctx, params.gymId, params.sessionId))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/outings',
    name: 'recordOuting',
    summary: 'Write down who is, or was, out of the hall, and with whom',
    params: GymRef,
    body: NewOuting,
    returns: { 201: Outing },
    problems: ['already-exists', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await recordOuting(ctx, params.gymId, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/outings/{outingId}/back',
    name: 'endOuting',
    summary: 'They are back in the hall',
    params: OutingRef,
    body: When,
    returns: { 200: Outing },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endOuting(ctx, params.gymId, params.outingId, body.at))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/outings/{outingId}/undo',
    name: 'undoOuting',
    summary: 'Take back an outing that was written down by mistake',
    params: OutingRef,
    returns: { 200: Outing },
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await undoOuting(ctx, params.gymId, params.outingId))),

  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/outings',
    name: 'listOutings',
    summary: 'Who is, or was, out of the hall in a session',
    params: SessionRef,
    query: Paged,
    returns: { 200: OutingPage },
  }).handle(async (ctx, { params, query }) => ok(await listOutings(ctx, params.gymId, params.sessionId, query))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff-marks',
    name: 'markStaff',
    summary: 'Say that you came, went, or are on a break; the desk may say it of others',
    params: GymRef,
    body: NewStaffMark,
    returns: { 201: StaffPresence },
    problems: ['already-exists', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created((await markStaff(ctx, params.gymId, body)).presence)),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff-marks/{staffMarkId}/undo',
    name: 'undoStaffMark',
    summary: 'Take back a coming, going or break that was marked by mistake',
    params: StaffMarkRef,
    returns: { 200: StaffPresence },
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await undoStaffMark(ctx, params.gymId, params.staffMarkId))),

  route({
    tag: 'attendance',
    permission: 'attendance.read',
    method: 'get',
    path: '/gyms/{gymId}/staff-presence',
    name: 'listStaffPresence',
    summary: 'The gym’s staff of a day, with their comings, goings and breaks',
    params: GymRef,
    query: z.strictObject({ ...PageQuery, day: Day.optional().meta({ description: 'Today when left out' }) }),
    returns: { 200: StaffPresencePage },
  }).handle(async (ctx, { params, query }) => ok(await listStaffPresence(ctx, params.gymId, query))),
];
