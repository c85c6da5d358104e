import { ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { listEvents } from './repo.ts';
import { EventPage, EventQuery } from './schema.ts';

const audits = { method: 'get', tag: 'audit', permission: 'audit.read', query: EventQuery } as const;

export const auditRoutes: Route[] = [
  route({
    ...audits,
    path: '/events',
    name: 'listEvents',
    summary: 'What happened in the franchise, newest first',
    scopes: ['franchise'],
    returns: { 200: EventPage },
  }).handle(async (ctx, { query }) => ok(await listEvents(ctx, null, query))),

  route({
    ...audits,
    path: '/gyms/{gymId}/events',
    name: 'listGymEvents',
    summary: 'What happened at one gym, newest first',
    params: GymRef,
    returns: { 200: EventPage },
  }).handle(async (ctx, { params, query }) => ok(await listEvents(ctx, params.gymId, query))),
];
