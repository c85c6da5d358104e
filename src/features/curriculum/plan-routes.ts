import { z } from 'zod';
import type { Context } from '../../platform/context.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import { briefingRoutes } from './briefing-routes.ts';
import { spottingChanges } from './briefings.ts';
import { changePlan } from './change-plan.ts';
import { checkDraft } from './check-plan.ts';
import { checkVersion } from './checks/check-version.ts';
import { drawDiagram } from './diagram.ts';
import { draftPlan } from './draft-plan.ts';
import { contentOf, diagramOf } from './plan-content-repo.ts';
import { DraftContent } from './plan-content-schema.ts';
import {
  LessonPlan,
  LessonPlanChanges,
  LessonPlanPage,
  LessonPlanQuery,
  NewLessonPlan,
  PlanCheck,
  PlanRef,
  type PlanVersion,
  PlanVersionPage,
  PlanWithdrawal,
  Publication,
  PublishedPlan,
  StationRef,
  VersionRef,
  WholePlanVersion,
  WithdrawnPlan,
} from './plan-schema.ts';
import { sightOf } from './plan-sight.ts';
import * as plans from './plans-repo.ts';
import { publishPlan } from './publish-plan.ts';
import { replaceDraft } from './replace-draft.ts';
import { startVersion } from './start-version.ts';
import { getDraft } from './take-draft.ts';
import { withdrawPlan } from './withdraw-plan.ts';

const tag = 'lesson plans';
const read = 'curriculum.read';
const write = 'curriculum.write';

const whole = async (ctx: Context, version: PlanVersion) => ({ ...version, ...(await contentOf(ctx, version.id)) });

export const planRoutes: Route[] = [
  route({
    method: 'get',
    path: '/lesson-plans',
    name: 'listLessonPlans',
    tag,
    summary: 'The lesson plans, by week',
    permission: read,
    query: LessonPlanQuery,
    returns: { 200: LessonPlanPage },
  }).handle(async (ctx, { query }) => ok(await plans.listPlans(ctx, query, query, sightOf(ctx)))),

  route({
    method: 'post',
    path: '/lesson-plans',
    name: 'draftLessonPlan',
    tag,
    summary: 'Begin a week’s plan: its version 1, as an empty draft',
    permission: write,
    body: NewLessonPlan,
    returns: { 201: LessonPlan },
    etag: true,
  }).handle(async (ctx, { body }) => created(await draftPlan(ctx, body))),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}',
    name: 'getLessonPlan',
    tag,
    summary: 'One lesson plan, with its draft and its newest published version',
    permission: read,
    params: PlanRef,
    returns: { 200: LessonPlan },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await plans.getPlan(ctx, params.planId, sightOf(ctx)))),

  route({
    method: 'patch',
    path: '/lesson-plans/{planId}',
    name: 'changeLessonPlan',
    tag,
    summary: 'Rename a plan, or move it to another week or programme',
    description: 'Its week and programmes stay as they are from its first publication on.',
    permission: write,
    params: PlanRef,
    body: LessonPlanChanges,
    returns: { 200: LessonPlan },
    problems: ['plan-frozen'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changePlan(ctx, params.planId, ifMatch, body))),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions',
    name: 'listPlanVersions',
    tag,
    summary: 'A plan’s versions, newest first',
    permission: read,
    params: PlanRef,
    query: z.strictObject(PageQuery),
    returns: { 200: PlanVersionPage },
  }).handle(async (ctx, { params, query }) => {
    const { id } = await plans.getPlan(ctx, params.planId, sightOf(ctx));
    return ok(await plans.listVersions(ctx, id, query, sightOf(ctx)));
  }),

  route({
    method: 'post',
    path: '/lesson-plans/{planId}/versions',
    name: 'startPlanVersion',
    tag,
    summary: 'Begin a new version: a draft with the content of the newest one',
    permission: write,
    params: PlanRef,
    returns: { 201: WholePlanVersion },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params }) => created(await startVersion(ctx, params.planId))),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}',
    name: 'getPlanVersion',
    tag,
    summary: 'One version with its whole content',
    permission: read,
    params: VersionRef,
    returns: { 200: WholePlanVersion },
    etag: true,
  }).handle(async (ctx, { params: { planId, number } }) =>
    ok(await whole(ctx, await plans.getVersion(ctx, planId, number, sightOf(ctx)))),
  ),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/stations/{stationId}/diagram.svg',
    name: 'drawStation',
    tag,
    summary: 'A station’s set-up as a drawing; not found where it has none',
    permission: read,
    params: StationRef,
    returns: { 200: z.string().max(200_000) },
    answers: 'image/svg+xml',
  }).handle(async (ctx, { params: { planId, number, stationId } }) => {
    const version = await plans.getVersion(ctx, planId, number, sightOf(ctx));
    return ok(drawDiagram(found(await diagramOf(ctx, version.id, stationId), 'diagram')));
  }),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/draft',
    name: 'getPlanDraft',
    tag,
    summary: 'The draft with its whole content',
    permission: write,
    params: PlanRef,
    returns: { 200: WholePlanVersion },
    problems: ['plan-frozen'],
    etag: true,
  }).handle(async (ctx, { params }) => ok(await whole(ctx, await getDraft(ctx, params.planId)))),

  route({
    method: 'put',
    path: '/lesson-plans/{planId}/draft',
    name: 'replacePlanDraft',
    tag,
    summary: 'Put this in place of the draft’s whole content',
    description: 'The If-Match is the draft’s own ETag. Blocks and stations get new ids.',
    permission: write,
    params: PlanRef,
    body: DraftContent,
    returns: { 200: WholePlanVersion },
    problems: ['plan-frozen'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await replaceDraft(ctx, params.planId, ifMatch, body))),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/draft/check',
    name: 'checkPlanDraft',
    tag,
    summary: 'Is the draft whole? What is missing, and where',
    permission: write,
    params: PlanRef,
    returns: { 200: PlanCheck },
    problems: ['plan-frozen'],
  }).handle(async (ctx, { params }) => ok(await checkDraft(ctx, params.planId))),

  route({
    method: 'post',
    path: '/lesson-plans/{planId}/draft/publish',
    name: 'publishPlan',
    tag,
    summary: 'Publish the draft at every gym at once, and freeze it',
    description:
      'Fixes what each station asks of its spotter, and answers with what the checks found and where that is not as it was in the version before. Blocks that are laid out keep the version they have; of two who publish at once, one wins.',
    permission: write,
    params: PlanRef,
    body: Publication,
    returns: { 200: PublishedPlan },
    problems: ['plan-not-whole', 'plan-frozen'],
    dryRun: true,
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => {
    const version = await publishPlan(ctx, params.planId, ifMatch, body);
    const { findings, moreFindings } = await checkVersion(ctx, version);
    return ok({ ...version, findings, moreFindings, spottingChanges: await spottingChanges(ctx, version) });
  }),

  route({
    method: 'post',
    path: '/lesson-plans/{planId}/versions/{number}/withdraw',
    name: 'withdrawPlanVersion',
    tag,
    summary: 'Take a published version back for safety',
    description:
      'Its blocks lose their confirmation and keep the finding `plan-withdrawn`; the answer says which, and with `dryRun=true` what it would come to at every gym.',
    permission: write,
    params: VersionRef,
    body: PlanWithdrawal,
    returns: { 200: WithdrawnPlan },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await withdrawPlan(ctx, params.planId, params.number, body.reason))),

  ...briefingRoutes,
];
