import { z } from 'zod';
import { gymsFor } from '../../platform/auth/permissions.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { changeGym } from './change-gym.ts';
import * as repo from './repo.ts';
import {
  Apparatus,
  ApparatusPage,
  Area,
  AreaPage,
  Gym,
  GymChanges,
  GymPage,
  GymRef,
  NewApparatus,
  NewArea,
  NewGym,
} from './schema.ts';

const tag = 'gyms';
const Paged = z.strictObject(PageQuery);

export const gymRoutes: Route[] = [
  route({
    method: 'get',
    path: '/gyms',
    name: 'listGyms',
    tag,
    summary: 'The gyms that you belong to',
    permission: 'gyms.read',
    anyGym: true,
    query: Paged,
    returns: { 200: GymPage },
  }).handle(async (ctx, { query }) => ok(await repo.listGyms(ctx, gymsFor(ctx.roles, 'gyms.read'), query))),

  route({
    method: 'post',
    path: '/gyms',
    name: 'addGym',
    tag,
    summary: 'Add a gym to the franchise',
    permission: 'gyms.create',
    body: NewGym,
    returns: { 201: Gym },
    etag: true,
  }).handle(async (ctx, { body }) => {
    const gym = await repo.insertGym(ctx, body);
    await ctx.record('gyms.created', { subjectId: gym.id, gymId: gym.id, revision: 1 }, { name: gym.name });
    return created(gym);
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}',
    name: 'getGym',
    tag,
    summary: 'One gym',
    permission: 'gyms.read',
    params: GymRef,
    returns: { 200: Gym },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await repo.getGym(ctx, params.gymId))),

  route({
    method: 'patch',
    path: '/gyms/{gymId}',
    name: 'changeGym',
    tag,
    summary: 'Change a gym’s name, its window of confirmation, or what happens at the door',
    description: 'The zone stays: sessions are laid out in it.',
    permission: 'gyms.write',
    params: GymRef,
    body: GymChanges,
    returns: { 200: Gym },
    ifMatch: true,
  }).handle(async (ctx, { params: { gymId }, body, ifMatch }) => ok(await changeGym(ctx, gymId, ifMatch, body))),

  route({
    method: 'get',
    path: '/apparatus',
    name: 'listApparatus',
    tag,
    summary: 'The kinds of apparatus that the franchise teaches on',
    permission: 'curriculum.read',
    query: Paged,
    returns: { 200: ApparatusPage },
  }).handle(async (ctx, { query }) => ok(await repo.listApparatus(ctx, query))),

  route({
    method: 'post',
    path: '/apparatus',
    name: 'addApparatus',
    tag,
    summary: 'Add a kind of apparatus',
    permission: 'curriculum.write',
    body: NewApparatus,
    returns: { 201: Apparatus },
    problems: ['already-exists'],
  }).handle(async (ctx, { body }) => {
    const apparatus = await repo.insertApparatus(ctx, body.name);
    await ctx.record('apparatus.added', { subjectId: apparatus.id }, { name: apparatus.name });
    return created(apparatus);
  }),

  route({
    method: 'get',
    path: '/gyms/{gymId}/areas',
    name: 'listAreas',
    tag,
    summary: 'The areas of a gym’s hall, with what stands in each',
    permission: 'gyms.read',
    params: GymRef,
    query: Paged,
    returns: { 200: AreaPage },
  }).handle(async (ctx, { params, query }) => ok(await repo.listAreas(ctx, params.gymId, query))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/areas',
    name: 'addArea',
    tag,
    summary: 'Add an area to a gym’s hall',
    permission: 'gyms.write',
    params: GymRef,
    body: NewArea,
    returns: { 201: Area },
    problems: ['already-exists'],
  }).handle(async (ctx, { params: { gymId }, body }) => {
    const area = await repo.insertArea(ctx, gymId, body);
    await ctx.record('gyms.area-added', { subjectId: area.id, gymId, revision: 1 }, { areaId: area.id });
    return created(area);
  }),
];
