import { ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { readBoard } from './board.ts';
import { readRoom } from './room.ts';
import { Board, BoardRoom, RoomQuery } from './schema.ts';

const tag = 'live';

export const boardRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/board',
    name: 'readBoard',
    tag,
    summary: 'A gym as it is now: who is where, the cover by who is really there, and what is about to go wrong',
    description:
      'Athletes are named to those who may read the attendance of the gym, and to a coach for their own blocks; to others they are numbers.',
    permission: 'cover.read',
    params: GymRef,
    returns: { 200: Board },
  }).handle(async (ctx, { params }) => ok(await readBoard(ctx, params.gymId))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/board/room',
    name: 'readRoom',
    tag,
    summary: 'One more five-year-old at 16:30? How many more of an age fit into each block',
    permission: 'cover.read',
    params: GymRef,
    query: RoomQuery,
    returns: { 200: BoardRoom },
  }).handle(async (ctx, { params, query }) => ok(await readRoom(ctx, params.gymId, query))),
];
