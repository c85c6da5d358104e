import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { listReady, readCriteria, setCriteria, signMove } from './moves.ts';
import { Criteria, CriteriaBody, LevelRef, Move, NewMove, ReadyPage, ReadyQuery } from './moves-schema.ts';
import {
  DueWatchPage,
  NewPairRequest,
  PairRequest,
  PairRequestPage,
  PairRequestQuery,
  PairRequestRef,
  WatchQuery,
} from './watch-schema.ts';
import { askForPairing, listDueWatches, listPairRequests, settlePairRequest } from './watches.ts';

const tag = 'teaching';
const plans = { tag, permission: 'teaching.read' } as const;

/** Who is to be watched and paired, and who moves up. */
export const planningRoutes: Route[] = [
  route({
    ...plans,
    method: 'get',
    path: '/gyms/{gymId}/watches-due',
    name: 'listDueWatches',
    summary: 'Who is to spot a skill in the days ahead, and is not signed off for all of it',
    params: GymRef,
    query: WatchQuery,
    returns: { 200: DueWatchPage },
  }).handle(async (ctx, { params, query }) => ok(await listDueWatches(ctx, params.gymId, query))),

  route({
    ...plans,
    method: 'get',
    path: '/gyms/{gymId}/pair-requests',
    name: 'listPairRequests',
    summary: 'Who asks to be watched at a skill; seen only by those who plan',
    params: GymRef,
    query: PairRequestQuery,
    returns: { 200: PairRequestPage },
  }).handle(async (ctx, { params, query }) => ok(await listPairRequests(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/pair-requests',
    name: 'askForPairing',
    tag,
    summary: '"Please pair me": ask to be watched at a skill',
    permission: 'teaching.ask',
    scopes: ['franchise', 'gym', 'own'],
    params: GymRef,
    body: NewPairRequest,
    returns: { 201: PairRequest },
    problems: ['conflict', 'already-exists'],
  }).handle(async (ctx, { params, body }) => created(await askForPairing(ctx, params.gymId, body))),

  route({
    ...plans,
    method: 'post',
    path: '/gyms/{gymId}/pair-requests/{pairRequestId}/settle',
    name: 'settlePairRequest',
    summary: 'Mark a request as settled',
    params: PairRequestRef,
    returns: { 200: PairRequest },
  }).handle(async (ctx, { params }) => ok(await settlePairRequest(ctx, params.gymId, params.pairRequestId))),

  route({
    method: 'get',
    path: '/levels/{levelId}/criteria',
    name: 'readLevelCriteria',
    tag,
    summary: 'What it takes to move up from a level',
    permission: 'curriculum.read',
    params: LevelRef,
    returns: { 200: Criteria },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await readCriteria(ctx, params.levelId))),

  route({
    method: 'put',
    path: '/levels/{levelId}/criteria',
    name: 'setLevelCriteria',
    tag,
    summary: 'Say what it takes to move up from a level: which skills, on how many days, and who signs',
    permission: 'curriculum.write',
    params: LevelRef,
    body: CriteriaBody,
    returns: { 200: Criteria },
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await setCriteria(ctx, params.levelId, ifMatch, body))),

  route({
    ...plans,
    method: 'get',
    path: '/gyms/{gymId}/moves-up',
    name: 'listReady',
    summary: 'Who has shown all that it takes to move up, on enough days',
    params: GymRef,
    query: ReadyQuery,
    returns: { 200: ReadyPage },
  }).handle(async (ctx, { params, query }) => ok(await listReady(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/moves-up',
    name: 'signMoveUp',
    tag,
    summary: 'Sign that somebody may move up',
    permission: 'moves.sign',
    params: GymRef,
    body: NewMove,
    returns: { 201: Move },
    problems: ['conflict', 'not-allowed'],
  }).handle(async (ctx, { params, body }) => created(await signMove(ctx, params.gymId, body))),
];
