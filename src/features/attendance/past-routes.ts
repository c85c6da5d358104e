import { ok, type Route, route } from '../../platform/http/route.ts';
import { Day, GymRef } from '../../platform/http/wire.ts';
import {
  MomentQuery,
  PastDay,
  PastDayQuery,
  PastMoment,
  PastSession,
  PastSessionQuery,
  readMoment,
  readPastDay,
  readPastSession,
} from './past-cover.ts';
import { SessionRef } from './schema.ts';

const DayRef = GymRef.extend({ day: Day });
const reads = { tag: 'cover', method: 'get', permission: 'cover.read' } as const;

export const pastRoutes: Route[] = [
  route({
    ...reads,
    path: '/gyms/{gymId}/sessions/{sessionId}/cover/facts',
    name: 'readSessionFacts',
    summary: 'A session over time as it was: who came and went, under the rules then in force',
    description:
      'From check-ins, breaks, places held, qualifications and rules as they are on record; with `knownAt`, as they were on record then. Birth dates, traits and helpers are those on record now.',
    params: SessionRef,
    query: PastSessionQuery,
    returns: { 200: PastSession },
    problems: ['conflict'],
  }).handle(async (ctx, { params, query }) => ok(await readPastSession(ctx, params.gymId, params.sessionId, query))),

  route({
    ...reads,
    path: '/gyms/{gymId}/days/{day}/cover/facts',
    name: 'readDayFacts',
    summary: 'A gym’s day over time as it was: the premises, its sessions, its blocks',
    params: DayRef,
    query: PastDayQuery,
    returns: { 200: PastDay },
  }).handle(async (ctx, { params, query }) => ok(await readPastDay(ctx, params.gymId, params.day, query))),

  route({
    ...reads,
    path: '/gyms/{gymId}/days/{day}/cover/moment',
    name: 'readCoverMoment',
    summary: 'One moment of a gym’s day: how many athletes, who counted, which rule bound, who held what',
    params: DayRef,
    query: MomentQuery,
    returns: { 200: PastMoment },
  }).handle(async (ctx, { params, query }) => ok(await readMoment(ctx, params.gymId, params.day, query))),
];
