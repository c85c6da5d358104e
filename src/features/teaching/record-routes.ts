import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { VersionRef } from '../curriculum/plan-schema.ts';
import { answerStations, listFeedback, readBlockFeedback, replyToFeedback, summarizeFeedback } from './feedback.ts';
import {
  BlockFeedback,
  BlockRef,
  Feedback,
  FeedbackPage,
  FeedbackQuery,
  FeedbackRef,
  FeedbackSummary,
  NewFeedback,
  NewReply,
} from './feedback-schema.ts';
import { listAthleteSkills, readTaught, recordSkill, tickStations } from './taught.ts';
import {
  AthleteRef,
  AthleteSkillPage,
  AthleteSkillQuery,
  NewSkillsShown,
  NewTicks,
  SkillsShown,
  TaughtBlock,
} from './taught-schema.ts';

const tag = 'teaching';
const ofBlock = {
  tag,
  permission: 'teaching.record',
  scopes: ['franchise', 'gym', 'own-blocks'],
  params: BlockRef,
} as const;
const leads = { tag, permission: 'curriculum.write' } as const;

/** What was taught and shown, and what coaches say of it. */
export const recordRoutes: Route[] = [
  route({
    ...ofBlock,
    method: 'get',
    path: '/gyms/{gymId}/blocks/{blockId}/taught',
    name: 'readTaught',
    summary: 'What became of each station of a block',
    returns: { 200: TaughtBlock },
  }).handle(async (ctx, { params }) => ok(await readTaught(ctx, params))),

  route({
    ...ofBlock,
    method: 'put',
    path: '/gyms/{gymId}/blocks/{blockId}/taught',
    name: 'tickStations',
    summary: 'Tick stations of a block: done, skipped or adapted, and why',
    body: NewTicks,
    returns: { 200: TaughtBlock },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => ok(await tickStations(ctx, params, body))),

  route({
    ...ofBlock,
    method: 'put',
    path: '/gyms/{gymId}/blocks/{blockId}/skills',
    name: 'recordSkill',
    summary: 'Write down how far a block’s athletes are with a skill, a whole group at once',
    body: NewSkillsShown,
    returns: { 200: SkillsShown },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => ok(await recordSkill(ctx, params, body))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/athletes/{athleteId}/skills',
    name: 'listAthleteSkills',
    tag,
    summary: 'How far an athlete is with each skill; for a coach, of one in their own blocks today',
    permission: 'athletes.read',
    scopes: ['franchise', 'gym', 'own-blocks'],
    params: AthleteRef,
    query: AthleteSkillQuery,
    returns: { 200: AthleteSkillPage },
  }).handle(async (ctx, { params, query }) => ok(await listAthleteSkills(ctx, params, query))),

  route({
    ...ofBlock,
    method: 'get',
    path: '/gyms/{gymId}/blocks/{blockId}/feedback',
    name: 'readBlockFeedback',
    summary: 'What was said of a block, with the lead’s replies; for a coach, their own',
    returns: { 200: BlockFeedback },
  }).handle(async (ctx, { params }) => ok(await readBlockFeedback(ctx, params))),

  route({
    ...ofBlock,
    method: 'put',
    path: '/gyms/{gymId}/blocks/{blockId}/feedback',
    name: 'answerStations',
    summary: 'Say how stations of a block went: one tap each, and a line',
    body: NewFeedback,
    returns: { 200: BlockFeedback },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => ok(await answerStations(ctx, params, body))),

  route({
    ...leads,
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/feedback',
    name: 'summarizeFeedback',
    summary: 'A version as it was taught, by station and how often: what did not work out first',
    params: VersionRef,
    returns: { 200: FeedbackSummary },
  }).handle(async (ctx, { params }) => ok(await summarizeFeedback(ctx, params))),

  route({
    ...leads,
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/feedback/answers',
    name: 'listFeedback',
    summary: 'What coaches said of a version, one by one',
    params: VersionRef,
    query: FeedbackQuery,
    returns: { 200: FeedbackPage },
  }).handle(async (ctx, { params, query }) => ok(await listFeedback(ctx, params, query))),

  route({
    ...leads,
    method: 'post',
    path: '/feedback/{feedbackId}/reply',
    name: 'replyToFeedback',
    summary: 'Reply to what a coach said',
    params: FeedbackRef,
    body: NewReply,
    returns: { 201: Feedback },
  }).handle(async (ctx, { params, body }) => created(await replyToFeedback(ctx, params.feedbackId, body.reply))),
];
