import { z } from 'zod';
import { detachedRoute, noContent, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, PageQuery } from '../../platform/http/wire.ts';
import { listConflicts, settleItem } from './conflicts.ts';
import { takeBatch } from './offline.ts';
import { Batch, BatchOutcome, ConflictPage, ItemRef } from './offline-schema.ts';

const tag = 'attendance';

export const offlineRoutes: Route[] = [
  detachedRoute({
    method: 'post',
    path: '/offline-batches',
    name: 'takeOfflineBatch',
    tag,
    summary: 'Hand in what a device recorded while it was offline',
    description:
      'Item by item, each kept or refused by itself, by the device’s own ids and times. A batch may be sent twice, in parts, and out of order. A desk and a manager hand in anything, a coach their own blocks’ rolls and outings and their own coming and going.',
    body: Batch,
    returns: { 200: BatchOutcome },
    problems: ['not-found', 'not-allowed'],
  }).handle(async ({ log }, caller, { body }) => ok({ items: await takeBatch(caller, body.gymId, body.items, log) })),

  route({
    method: 'get',
    path: '/gyms/{gymId}/attendance-conflicts',
    name: 'listAttendanceConflicts',
    tag,
    summary: 'What was recorded and does not fit, and what was refused',
    permission: 'attendance.read',
    params: GymRef,
    query: z.strictObject(PageQuery),
    returns: { 200: ConflictPage },
  }).handle(async (ctx, { params, query }) => ok(await listConflicts(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/offline-items/{clientId}/settle',
    name: 'settleOfflineItem',
    tag,
    summary: 'Say that somebody looked at an item that was refused, or came with a warning',
    permission: 'attendance.write',
    params: ItemRef,
    returns: { 204: null },
  }).handle(async (ctx, { params }) => {
    await settleItem(ctx, params.gymId, params.clientId);
    return noContent();
  }),
];
