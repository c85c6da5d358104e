import { z } from 'zod';
import { gymsFor } from '../../platform/auth/permissions.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef, PageQuery } from '../../platform/http/wire.ts';
import { addApparatus } from './add-apparatus.ts';
import { addArea } from './add-area.ts';
import { addGym } from './add-gym.ts';
import { changeApparatus } from './change-apparatus.ts';
import { changeArea } from './change-area.ts';
import { changeGym } from './change-gym.ts';
import { listEquipment } from './list-equipment.ts';
import { getGym, listApparatus, listAreas, listGyms } from './repo.ts';
import {
  Apparatus,
  ApparatusChanges,
  ApparatusPage,
  ApparatusRef,
  Area,
  AreaChanges,
  AreaPage,
  AreaRef,
  ChangedArea,
  EquipmentPage,
  Gym,
  GymChanges,
  GymPage,
  NewApparatus,
  NewArea,
  NewGym,
  OutOfUse,
  TakenOutOfUse,
} from './schema.ts';
import { takeOutOfUse } from './take-out-of-use.ts';

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
  }).handle(async (ctx, { query }) => ok(await listGyms(ctx, gymsFor(ctx.roles, 'gyms.read'), query))),

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
  }).handle(async (ctx, { body }) => created(await addGym(ctx, body))),

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
  }).handle(async (ctx, { params }) => ok(await getGym(ctx, params.gymId))),

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
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeGym(ctx, params.gymId, ifMatch, body))),

  route({
    method: 'get',
    path: '/apparatus',
    name: 'listApparatus',
    tag,
    summary: 'The kinds of apparatus that the franchise teaches on',
    permission: 'curriculum.read',
    query: Paged,
    returns: { 200: ApparatusPage },
  }).handle(async (ctx, { query }) => ok(await listApparatus(ctx, query))),

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
    etag: true,
  }).handle(async (ctx, { body }) => created(await addApparatus(ctx, body))),

  route({
    method: 'patch',
    path: '/apparatus/{apparatusId}',
    name: 'changeApparatus',
    tag,
    summary: 'Change a kind of apparatus: its name, its size, how long a turn on it takes',
    permission: 'curriculum.write',
    params: ApparatusRef,
    body: ApparatusChanges,
    returns: { 200: Apparatus },
    problems: ['already-exists'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) =>
    ok(await changeApparatus(ctx, params.apparatusId, ifMatch, body)),
  ),

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
  }).handle(async (ctx, { params, query }) => ok(await listAreas(ctx, params.gymId, query))),

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
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await addArea(ctx, params.gymId, body))),

  route({
    method: 'patch',
    path: '/gyms/{gymId}/areas/{areaId}',
    name: 'changeArea',
    tag,
    summary: 'Correct an area’s name, or what stands in it',
    description: 'Always recorded: the answer says which blocks lost their confirmation.',
    permission: 'gyms.write',
    params: AreaRef,
    body: AreaChanges,
    returns: { 200: ChangedArea },
    problems: ['already-exists'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeArea(ctx, params, ifMatch, body))),

  route({
    method: 'put',
    path: '/gyms/{gymId}/areas/{areaId}/out-of-use',
    name: 'takeOutOfUse',
    tag,
    summary: 'Say how many of what stands in an area may not be used; they leave the gym’s stock',
    description: 'Always recorded: the answer names the stations ahead for which there is not enough any more.',
    permission: 'gyms.write',
    params: AreaRef,
    body: OutOfUse,
    returns: { 200: TakenOutOfUse },
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await takeOutOfUse(ctx, params, body))),

  route({
    method: 'get',
    path: '/gyms/{gymId}/equipment',
    name: 'listEquipment',
    tag,
    summary: 'What a gym has of each apparatus, how much of it may be used, and for which stations that is too little',
    permission: 'gyms.read',
    params: GymRef,
    query: Paged,
    returns: { 200: EquipmentPage },
  }).handle(async (ctx, { params, query }) => ok(await listEquipment(ctx, params.gymId, query))),
];
