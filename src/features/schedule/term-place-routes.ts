import { ok, type Route, route } from '../../platform/http/route.ts';
import { TermRef } from '../curriculum/term-schema.ts';
import { NewTermPlace, PlaceQuery, PlacesQuery, TermPlace, TermPlacePage, TermPlaceRef } from './term-place-schema.ts';
import { getPlace, listPlaces, setPlace } from './term-places.ts';

const tag = 'terms';

export const termPlaceRoutes: Route[] = [
  route({
    method: 'get',
    path: '/terms/{termId}/places',
    name: 'listTermPlaces',
    tag,
    summary: 'How far each class of the programme is in a term',
    description:
      'A class goes one week on with each session that is held, so a closure makes one weekday fall behind alone.',
    permission: 'schedule.read',
    anyGym: true,
    params: TermRef,
    query: PlacesQuery,
    returns: { 200: TermPlacePage },
  }).handle(async (ctx, { params, query }) => ok(await listPlaces(ctx, params.termId, query))),

  route({
    method: 'get',
    path: '/terms/{termId}/places/{classId}',
    name: 'getTermPlace',
    tag,
    summary: 'How far one class is in a term, and which plan it is taught next',
    permission: 'schedule.read',
    anyGym: true,
    params: TermPlaceRef,
    query: PlaceQuery,
    returns: { 200: TermPlace },
  }).handle(async (ctx, { params, query }) => ok(await getPlace(ctx, params.termId, params.classId, query.on))),

  route({
    method: 'put',
    path: '/terms/{termId}/places/{classId}',
    name: 'setTermPlace',
    tag,
    summary: 'Put a class at a week of a term by hand, and say why',
    permission: 'curriculum.write',
    params: TermPlaceRef,
    body: NewTermPlace,
    returns: { 200: TermPlace },
  }).handle(async (ctx, { params, body }) => ok(await setPlace(ctx, params.termId, params.classId, body))),
];
