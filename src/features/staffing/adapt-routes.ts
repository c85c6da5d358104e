import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { Id } from '../../platform/http/wire.ts';
import { Merged, Merging, mergeGroups } from './merge-groups.ts';
import { BlockRef, SessionRef } from './schema.ts';
import { NewStepDown, StepDown, SteppedDown, stepDown, undoStepDown } from './step-down.ts';

const tag = 'staffing';
const adapting = { tag, permission: 'plans.adapt', scopes: ['franchise', 'gym', 'own-blocks'] } as const;

export const adaptRoutes: Route[] = [
  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/step-downs',
    name: 'stepDown',
    ...adapting,
    summary: 'Do an easier drill at one station of a block',
    description:
      'One down the progressions from what is done there, and spotted less. The plan stays as it is; the block says so. A coach may do it on their own blocks.',
    params: BlockRef,
    body: NewStepDown,
    returns: { 201: SteppedDown },
    problems: ['conflict', 'already-over', 'not-allowed'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await stepDown(ctx, params, body))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/blocks/{blockId}/step-downs/{stepDownId}/undo',
    name: 'undoStepDown',
    ...adapting,
    summary: 'Do at that station what the plan says again, or an adaptation that stands for the block',
    description:
      'What is done for an adaptation is taken back with it (`undoAdaptation`), not here. Refused where that would uncover a confirmed block, and where nobody may spot what an adaptation says.',
    params: BlockRef.extend({ stepDownId: Id }),
    returns: { 200: StepDown },
    problems: ['cover-broken', 'not-covered', 'conflict', 'already-over', 'not-allowed'],
    dryRun: true,
  }).handle(async (ctx, { params }) => ok(await undoStepDown(ctx, params, params.stepDownId))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/sessions/{sessionId}/merge-groups',
    name: 'mergeGroups',
    tag,
    summary: 'Let one group of a session join another, with its staff',
    permission: 'schedule.write',
    params: SessionRef,
    body: Merging,
    returns: { 200: Merged },
    problems: ['conflict', 'already-over', 'cover-broken', 'not-admissible'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await mergeGroups(ctx, params.gymId, params.sessionId, body))),
];
