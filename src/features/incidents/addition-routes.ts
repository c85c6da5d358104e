import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import {
  Attachment,
  AttachmentContent,
  AttachmentRef,
  ConcussionRef,
  FollowUp,
  FollowUpDone,
  FollowUpPage,
  FollowUpQuery,
  FollowUpRef,
  IncidentRef,
  NewAmendment,
  NewAttachment,
  NewClearance,
  NewFollowUp,
  Suspicion,
} from './addition-schema.ts';
import { amendNote } from './amend-note.ts';
import { attach, readAttachment } from './attach.ts';
import { clearAthlete } from './clear-athlete.ts';
import { addFollowUp, finishFollowUp } from './follow-ups.ts';
import * as repo from './repo.ts';
import { Incident } from './schema.ts';
import { addSuspicion } from './suspect-concussion.ts';
import { recordListed } from './trace.ts';

const tag = 'incidents';
const writes = { tag, permission: 'incidents.write', scopes: ['franchise', 'gym', 'own-blocks'] } as const;
const completes = { tag, permission: 'incidents.complete' } as const;

/** What is added to a note beside its own words. */
export const incidentAdditionRoutes: Route[] = [
  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/amendments',
    name: 'amendIncident',
    summary:
      'Amend a sent note, signed: a correction, the completion, who was told, a call, an acknowledgement, more readers',
    params: IncidentRef,
    body: NewAmendment,
    returns: { 201: Incident },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await amendNote(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/suspected-concussions',
    name: 'suspectConcussion',
    summary: 'Write down a suspected concussion: stops the athlete’s check-in to activity at once',
    params: IncidentRef,
    body: Suspicion,
    returns: { 201: Incident },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await addSuspicion(ctx, params, body))),

  route({
    ...completes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/suspected-concussions/{concussionId}/clearance',
    name: 'clearAthlete',
    summary: 'Put a licensed professional’s clearance on file: the athlete may take part again',
    params: ConcussionRef,
    body: NewClearance,
    returns: { 201: Incident },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await clearAthlete(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/attachments',
    name: 'attachToIncident',
    summary: 'Put a photo or paper beside a note',
    params: IncidentRef,
    body: NewAttachment,
    returns: { 201: Attachment },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => created(await attach(ctx, params, body))),

  route({
    method: 'get',
    tag,
    permission: 'incidents.read',
    scopes: ['franchise', 'gym', 'own'],
    traced: true,
    path: '/gyms/{gymId}/incidents/{incidentId}/attachments/{attachmentId}',
    name: 'readAttachment',
    summary: 'One file of a note, with its bytes; that it was read stays in the audit trail',
    params: AttachmentRef,
    returns: { 200: AttachmentContent },
  }).handle(async (ctx, { params }) => ok(await readAttachment(ctx, params))),

  route({
    ...completes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/follow-ups',
    name: 'addFollowUp',
    summary: 'Agree on a follow-up and its due date',
    params: IncidentRef,
    body: NewFollowUp,
    returns: { 201: FollowUp },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => created(await addFollowUp(ctx, params, body))),

  route({
    ...completes,
    method: 'post',
    path: '/gyms/{gymId}/incidents/{incidentId}/follow-ups/{followUpId}/done',
    name: 'finishFollowUp',
    summary: 'Say what came of a follow-up',
    params: FollowUpRef,
    body: FollowUpDone,
    returns: { 200: FollowUp },
    problems: ['conflict'],
  }).handle(async (ctx, { params, body }) => ok(await finishFollowUp(ctx, params, body.outcome))),

  route({
    ...completes,
    method: 'get',
    traced: true,
    path: '/gyms/{gymId}/incident-follow-ups',
    name: 'listFollowUps',
    summary: 'Follow-ups of the gym’s notes',
    params: GymRef,
    query: FollowUpQuery,
    returns: { 200: FollowUpPage },
  }).handle(async (ctx, { params: { gymId }, query }) => {
    const listed = await repo.listFollowUps(ctx, gymId, query);
    await recordListed(
      ctx,
      gymId,
      listed.items.map(({ incidentId }) => incidentId),
    );
    return ok(listed);
  }),
];
