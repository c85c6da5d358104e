import { z } from 'zod';
import { STREAM_TICKET_SECONDS } from '../../platform/auth/tokens.ts';
import { created, type Route, route, streamRoute } from '../../platform/http/route.ts';
import { GymRef, Instant, instantOf } from '../../platform/http/wire.ts';
import { readBoard } from './board.ts';
import { Board } from './schema.ts';

const StreamTicket = z
  .strictObject({
    url: z.string().max(2200).meta({ description: 'Where the stream is, with the ticket in it: keep it to yourself' }),
    expiresAt: Instant,
  })
  .meta({ id: 'StreamTicket' });

const addressOf = (gymId: string) => `/gyms/${gymId}/board/stream`;
const shared = { tag: 'live', permission: 'cover.read', params: GymRef } as const;

export const streamRoutes: Route[] = [
  streamRoute({
    ...shared,
    path: '/gyms/{gymId}/board/stream',
    name: 'streamBoard',
    summary: 'The gym’s board, pushed whenever it changes',
    description: 'A board replaces the one before; one that did not change is not sent again.',
    event: 'board',
    state: Board,
    asOf: 'at',
  }).handle((ctx, { params }) => readBoard(ctx, params.gymId)),

  route({
    ...shared,
    method: 'post',
    path: '/gyms/{gymId}/board/stream-tickets',
    name: 'issueBoardTicket',
    summary: 'An address that opens the board’s stream, for a browser',
    description:
      'A browser’s EventSource cannot send an access token. The ticket opens this gym’s stream as you, for half a day, and nothing else; it is worth nothing once you have signed out.',
    returns: { 201: StreamTicket },
  }).handle(async (ctx, { params }, { tokens, signInId }) => {
    const address = addressOf(params.gymId);
    const claims = { accountId: ctx.accountId ?? '', franchiseId: ctx.franchiseId, signInId };
    return created({
      url: `/v1${address}?ticket=${tokens.issueStreamTicket(claims, address)}`,
      expiresAt: instantOf(new Date(ctx.now.getTime() + STREAM_TICKET_SECONDS * 1000)),
    });
  }),
];
