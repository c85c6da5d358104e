import { ok, type Route, route } from '../../platform/http/route.ts';
import { CoverTrial, TriedCover } from './trial-schema.ts';
import { tryCover } from './try-cover.ts';

export const trialRoutes: Route[] = [
  route({
    method: 'post',
    path: '/cover-trials',
    name: 'tryCover',
    tag: 'cover trials',
    summary: 'Try rules on a made-up floor: what do they ask, and who counts?',
    description:
      'Rules by a published table’s name, by a stored rule’s id, or written out; athletes, staff and stations as you like. Nothing is stored, and each rule is applied whatever its scope and days. A published table’s kinds of qualification are called as its slots are.',
    permission: 'cover.try',
    body: CoverTrial,
    returns: { 200: TriedCover },
  }).handle(async (ctx, { body }) => ok(await tryCover(ctx, body))),
];
