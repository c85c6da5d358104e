import { z } from 'zod';
import { ok, type Route, route } from '../../platform/http/route.ts';
import { Day, flag, GymRef, Instant, PageQuery } from '../../platform/http/wire.ts';
import {
  BlockCoverDetail,
  BlockCoverPage,
  readBlockCover,
  readDayCover,
  readSessionCover,
  SessionCover,
} from './cover.ts';
import { BlockRef, SessionRef } from './schema.ts';
import { readDayTimeline, readSessionTimeline, SessionTimeline, TimelineQuery, UnitTimelinePage } from './timeline.ts';

const DayRef = GymRef.extend({ day: Day });
const DayQuery = z.strictObject({
  ...PageQuery,
  at: Instant.optional().meta({ description: 'Only what runs at this moment' }),
  uncovered: flag.optional().meta({ description: 'Only what is not covered' }),
});

export const coverRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/blocks/{blockId}/cover',
    name: 'readBlockCover',
    tag: 'cover',
    summary: 'Is a block covered? Who counts, who does not and why, how many more fit, what would help',
    permission: 'cover.read',
    params: BlockRef,
    returns: { 200: BlockCoverDetail },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => ok(await readBlockCover(ctx, params.gymId, params.blockId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/cover',
    name: 'readSessionCover',
    tag: 'cover',
    summary: 'Is a session covered, and each of its blocks?',
    permission: 'cover.read',
    params: SessionRef,
    returns: { 200: SessionCover },
  }).handle(async (ctx, { params }) => ok(await readSessionCover(ctx, params.gymId, params.sessionId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/cover/timeline',
    name: 'readSessionTimeline',
    tag: 'cover',
    summary: 'A session over time: each stretch in which nothing changes, and why it begins and ends there',
    permission: 'cover.read',
    params: SessionRef,
    returns: { 200: SessionTimeline },
    problems: ['conflict'],
  }).handle(async (ctx, { params }) => ok(await readSessionTimeline(ctx, params.gymId, params.sessionId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/days/{day}/cover/timeline',
    name: 'readDayTimeline',
    tag: 'cover',
    summary: 'A gym’s day over time: the premises, its sessions, its blocks',
    description:
      'A unit an item, each with its stretches and the reasons for their edges. A block is covered only if its session and the premises are too.',
    permission: 'cover.read',
    params: DayRef,
    query: TimelineQuery,
    returns: { 200: UnitTimelinePage },
  }).handle(async (ctx, { params, query }) => ok(await readDayTimeline(ctx, params.gymId, params.day, query))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/days/{day}/cover',
    name: 'readDayCover',
    tag: 'cover',
    summary: 'A gym’s day, a line a block: state, needed, counted, room, and why not',
    permission: 'cover.read',
    params: DayRef,
    query: DayQuery,
    returns: { 200: BlockCoverPage },
  }).handle(async (ctx, { params, query }) => ok(await readDayCover(ctx, params.gymId, params.day, query))),
];
