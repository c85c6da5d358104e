import { z } from 'zod';
import { ok, type Route, route } from '../../platform/http/route.ts';
import { Day, GymRef, PageQuery } from '../../platform/http/wire.ts';
import { DayFragility, EndsQuery, listQualificationEnds, QualificationEndPage, readFragility } from './fragility.ts';
import { readSessionHeadroom } from './headroom.ts';
import { findRoom } from './room.ts';
import { HeadroomQuery, RoomPage, RoomQuestion, SessionHeadroom } from './room-schema.ts';
import { SessionRef } from './schema.ts';

const tag = 'cover';

export const roomRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms/{gymId}/sessions/{sessionId}/headroom',
    name: 'readSessionHeadroom',
    tag,
    summary: 'How many more athletes of an age and kind fit into a session, group by group, and what stops the next',
    description: 'Without an age, one like the youngest there. Under every rule, and the capacity of the class.',
    permission: 'cover.read',
    params: SessionRef,
    query: HeadroomQuery,
    returns: { 200: SessionHeadroom },
    problems: ['conflict'],
  }).handle(async (ctx, { params, query }) =>
    ok(await readSessionHeadroom(ctx, params.gymId, params.sessionId, query)),
  ),

  route({
    method: 'post',
    path: '/gyms/{gymId}/room',
    name: 'findRoom',
    tag,
    summary: 'Where is there room on these days for these athletes, all together?',
    description:
      'Nothing is stored. Each session ahead with whether all fit, who would go to which group, and if not, why. Tried, never worked out from a number: under some rules one more fits where one fewer does not.',
    permission: 'cover.read',
    params: GymRef,
    query: z.strictObject(PageQuery),
    body: RoomQuestion,
    returns: { 200: RoomPage },
    problems: ['not-allowed'],
  }).handle(async (ctx, { params, query, body }) => ok(await findRoom(ctx, params.gymId, body, query))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/days/{day}/fragility',
    name: 'readFragility',
    tag,
    summary: 'Whose absence on a day would uncover what',
    permission: 'cover.read',
    params: GymRef.extend({ day: Day }),
    returns: { 200: DayFragility },
  }).handle(async (ctx, { params }) => ok(await readFragility(ctx, params.gymId, params.day))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/qualification-ends',
    name: 'listQualificationEnds',
    tag,
    summary: 'Qualifications that end in the days ahead, and the blocks after that which they leave uncovered',
    permission: 'staff.read',
    params: GymRef,
    query: EndsQuery,
    returns: { 200: QualificationEndPage },
  }).handle(async (ctx, { params, query }) => ok(await listQualificationEnds(ctx, params.gymId, query))),
];
