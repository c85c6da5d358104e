import { z } from 'zod';
import { mayOrRefuse } from '../../platform/context.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, PageQuery } from '../../platform/http/wire.ts';
import { zoneOf } from '../gyms/repo.ts';
import { dayOf } from '../schedule/zone-time.ts';
import { getIncident } from './access.ts';
import { incidentAdditionRoutes } from './addition-routes.ts';
import { Completion, IncidentRef, InjuryCodes } from './addition-schema.ts';
import { verifyChain } from './chain.ts';
import { changeNote, completeNote, sendNote } from './change-note.ts';
import { injuryCodes } from './injury-codes.ts';
import { readIncident } from './read-note.ts';
import { listReaders } from './readers.ts';
import * as repo from './repo.ts';
import { reckonDue, reviewNote } from './review.ts';
import {
  ChainQuery,
  CountQuery,
  Incident,
  IncidentChanges,
  IncidentCounts,
  IncidentPage,
  IncidentQuery,
  NewIncident,
  ReaderPage,
  Receipt,
  Review,
  Signed,
  Verified,
} from './schema.ts';
import { recordListed, recordRead } from './trace.ts';
import { writeNote } from './write-note.ts';

const tag = 'incidents';
// The desk and coaches are let in to their own; the operations narrow to those, and to those named for a concern.
const reads = {
  method: 'get',
  tag,
  permission: 'incidents.read',
  scopes: ['franchise', 'gym', 'own'],
  traced: true,
} as const;
const writes = { tag, permission: 'incidents.write', scopes: ['franchise', 'gym', 'own-blocks'] } as const;
const completes = { tag, permission: 'incidents.complete' } as const;

export const incidentRoutes: Route[] = [
  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/incidents',
    name: 'writeIncident',
    summary: 'Write a note of what happened: a draft until it is sent',
    description:
      'The service attaches the facts of that minute. A suspected concussion stops the athlete’s check-in to activity at once. No medical advice is given; local law and licensed practice come first.',
    params: GymRef,
    body: NewIncident,
    returns: { 201: Incident },
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await writeNote(ctx, params.gymId, body))),

  route({
    ...reads,
    path: '/gyms/{gymId}/incidents',
    name: 'listIncidents',
    summary: 'The notes that you may read, newest first',
    params: GymRef,
    query: IncidentQuery,
    returns: { 200: IncidentPage },
  }).handle(async (ctx, { params: { gymId }, query }) => {
    const today = dayOf(ctx.now, await zoneOf(ctx, gymId));
    if (query.dueForReview) await reckonDue(ctx, gymId, today);
    const listed = await repo.listIncidents(ctx, gymId, today, query);
    await recordListed(
      ctx,
      gymId,
      listed.items.map(({ id }) => id),
    );
    return ok(listed);
  }),

  route({
    ...reads,
    path: '/gyms/{gymId}/incidents/{incidentId}',
    name: 'readIncident',
    summary: 'One note, whole; that it was read stays in the audit trail',
    params: IncidentRef,
    returns: { 200: Incident },
    etag: true,
  }).handle(async (ctx, { params }) => {
    const incident = await readIncident(ctx, params);
    await recordRead(ctx, await getIncident(ctx, params));
    return ok(incident);
  }),

  route({
    ...writes,
    method: 'patch',
    path: '/gyms/{gymId}/incidents/{incidentId}',
    name: 'changeIncident',
    summary: 'Change a draft',
    params: IncidentRef,
    body: IncidentChanges,
    returns: { 200: Incident },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeNote(ctx, params, ifMatch, body))),

  route({
    ...completes,
    method: 'put',
    path: '/gyms/{gymId}/incidents/{incidentId}/completion',
    name: 'completeIncident',
    summary: 'Complete a draft: station, skill, spotting, injury codes, witnesses, the family',
    params: IncidentRef,
    body: Completion,
    returns: { 200: Incident },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await completeNote(ctx, params, ifMatch, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/send',
    name: 'sendIncident',
    summary: 'Sign and send a draft: from then on it is amended, never edited',
    params: IncidentRef,
    body: Signed,
    returns: { 200: Receipt },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await sendNote(ctx, params, ifMatch, body.signedAs))),

  route({
    ...completes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/reviews',
    name: 'reviewIncident',
    summary: 'Keep a note that is due for review, until a later day',
    params: IncidentRef,
    body: Review,
    returns: { 200: Incident },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params, body }) => ok(await reviewNote(ctx, params, body))),

  route({
    method: 'get',
    tag,
    permission: 'incidents.count',
    path: '/gyms/{gymId}/incident-counts',
    name: 'countIncidents',
    summary: 'How many sent notes there are of each kind, without persons',
    params: GymRef,
    query: CountQuery,
    returns: { 200: IncidentCounts },
  }).handle(async (ctx, { params, query: { from = null, until = null } }) =>
    ok({ from, until, counts: await repo.countIncidents(ctx, params.gymId, { from, until }) }),
  ),

  route({
    ...writes,
    method: 'get',
    path: '/gyms/{gymId}/incident-readers',
    name: 'listIncidentReaders',
    summary: 'Accounts that a safeguarding concern could name as its readers',
    params: GymRef,
    query: z.strictObject(PageQuery),
    returns: { 200: ReaderPage },
  }).handle(async (ctx, { params, query }) => ok(await listReaders(ctx, params.gymId, query))),

  route({
    method: 'get',
    tag,
    permission: 'audit.read',
    path: '/gyms/{gymId}/incident-chain',
    name: 'verifyIncidents',
    summary: 'Verify one of the gym’s chains of hashes; names the first link that does not hold',
    params: GymRef,
    query: ChainQuery,
    returns: { 200: Verified },
  }).handle(async (ctx, { params: { gymId }, query: { of } }) => {
    // Whose events name no gym: there too the owner alone sees that there is one.
    if (of === 'concerns') mayOrRefuse(ctx, 'audit.read', gymId, ['franchise']);
    return ok(await verifyChain(ctx, gymId, of));
  }),

  route({
    method: 'get',
    tag,
    permission: 'franchise.read',
    path: '/injury-codes',
    name: 'listInjuryCodes',
    summary: 'The public injury codes, and the codes of what may be seen after a knock',
    returns: { 200: InjuryCodes },
  }).handle(async () => ok(injuryCodes())),

  ...incidentAdditionRoutes,
];
