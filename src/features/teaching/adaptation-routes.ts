import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { adapt, undoAdaptation } from './adapt.ts';
import { Adaptation, AdaptationPage, AdaptationQuery, AdaptationRef, NewAdaptation } from './adaptation-schema.ts';
import { listAdaptations } from './adaptations-repo.ts';

const adapting = { tag: 'teaching', permission: 'plans.adapt', scopes: ['franchise', 'gym', 'own-blocks'] } as const;

export const adaptationRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/adaptations',
    name: 'listAdaptations',
    ...adapting,
    summary: 'How a gym teaches its plans otherwise, who said so, and why',
    description: 'A coach reads what they said themselves, and what was said for a block that they teach.',
    params: GymRef,
    query: AdaptationQuery,
    returns: { 200: AdaptationPage },
  }).handle(async (ctx, { params, query }) => ok(await listAdaptations(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/adaptations',
    name: 'adaptPlan',
    ...adapting,
    summary:
      'Teach a station otherwise: another drill, an if-time step left out, or another piece that the plan allows',
    description:
      'For a gym, a class, a session or one block; a coach, for their own blocks. An easier drill is for anybody; a harder one only within the levels of the class, for a coach with their own sign-offs, and nowhere where it would not be spotted. For each unit and station one drill stands, the newest, and one other way for a step or a piece; where several units say something, the narrowest counts. What a class or gym does more easily is done in what is laid out later too; a step up, and a drill that has to be spotted where the plan asks for nobody, only in the blocks that are laid out by now: `laterToo` says which.',
    params: GymRef,
    body: NewAdaptation,
    returns: { 201: Adaptation },
    problems: ['conflict', 'already-exists', 'not-allowed', 'cover-broken', 'not-covered'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await adapt(ctx, params.gymId, body))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/adaptations/{adaptationId}/undo',
    name: 'undoAdaptation',
    ...adapting,
    summary: 'Teach the station as its plan says again, or as a wider unit does',
    description:
      'Where a wider unit says something else, that is done there again. Refused where that would uncover a confirmed block, and where nobody may spot what a wider unit says.',
    params: AdaptationRef,
    returns: { 200: Adaptation },
    problems: ['conflict', 'not-allowed', 'cover-broken', 'not-covered'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await undoAdaptation(ctx, params.gymId, params.adaptationId))),
];
