import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { listQuestions } from './briefing-repo.ts';
import {
  Briefing,
  DifferencesQuery,
  NewAnswer,
  NewQuestion,
  PlanDifferences,
  Question,
  QuestionPage,
  QuestionQuery,
  QuestionRef,
  ReaderPage,
  ReaderQuery,
  Seen,
} from './briefing-schema.ts';
import * as briefings from './briefings.ts';
import { VersionRef } from './plan-schema.ts';
import { sightOf } from './plan-sight.ts';

const tag = 'lesson plans';

export const briefingRoutes: Route[] = [
  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/differences',
    name: 'comparePlanVersions',
    tag,
    summary: 'What is not as it was in another version of the plan, in plain words',
    permission: 'curriculum.read',
    params: VersionRef,
    query: DifferencesQuery,
    returns: { 200: PlanDifferences },
  }).handle(async (ctx, { params: { planId, number }, query }) =>
    ok(await briefings.differencesSince(ctx, planId, number, query.from, sightOf(ctx))),
  ),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/briefing',
    name: 'getBriefing',
    tag,
    summary: 'What coaches should know about a published version',
    description:
      'The lead’s words, and what changed since the version before; of a plan’s first version, since the plan of the latest earlier week that shares a programme.',
    permission: 'curriculum.read',
    params: VersionRef,
    returns: { 200: Briefing },
  }).handle(async (ctx, { params }) => ok(await briefings.brief(ctx, params.planId, params.number))),

  route({
    method: 'post',
    path: '/lesson-plans/{planId}/versions/{number}/briefing/seen',
    name: 'markBriefingSeen',
    tag,
    summary: 'Mark a briefing as seen by you; the first time is what counts',
    permission: 'briefings.ask',
    params: VersionRef,
    returns: { 200: Seen },
  }).handle(async (ctx, { params }) => ok(await briefings.markSeen(ctx, params.planId, params.number))),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/briefing/readers',
    name: 'listBriefingReaders',
    tag,
    summary: 'Who has seen a briefing, of all who coach at your gyms',
    permission: 'briefings.follow',
    anyGym: true,
    params: VersionRef,
    query: ReaderQuery,
    returns: { 200: ReaderPage },
  }).handle(async (ctx, { params, query }) =>
    ok(await briefings.listReaders(ctx, params.planId, params.number, query)),
  ),

  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/briefing/questions',
    name: 'listBriefingQuestions',
    tag,
    summary: 'What was asked about a published version, with the answers',
    permission: 'briefings.ask',
    params: VersionRef,
    query: QuestionQuery,
    returns: { 200: QuestionPage },
  }).handle(async (ctx, { params, query }) =>
    ok(await briefings.listQuestions(ctx, params.planId, params.number, query)),
  ),

  route({
    method: 'post',
    path: '/lesson-plans/{planId}/versions/{number}/briefing/questions',
    name: 'askAboutPlan',
    tag,
    summary: 'Ask the programme lead about a published version',
    permission: 'briefings.ask',
    params: VersionRef,
    body: NewQuestion,
    returns: { 201: Question },
  }).handle(async (ctx, { params, body }) =>
    created(await briefings.ask(ctx, params.planId, params.number, body.question)),
  ),

  route({
    method: 'get',
    path: '/briefing-questions',
    name: 'listAllBriefingQuestions',
    tag,
    summary: 'What was asked about any plan: with `answered=false`, what waits for an answer',
    permission: 'curriculum.write',
    query: QuestionQuery,
    returns: { 200: QuestionPage },
  }).handle(async (ctx, { query }) => ok(await listQuestions(ctx, null, query))),

  route({
    method: 'post',
    path: '/briefing-questions/{questionId}/answer',
    name: 'answerBriefingQuestion',
    tag,
    summary: 'Answer a question, once',
    permission: 'curriculum.write',
    params: QuestionRef,
    body: NewAnswer,
    returns: { 200: Question },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => ok(await briefings.answer(ctx, params.questionId, body.answer))),
];
