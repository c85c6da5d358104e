import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { addStaff } from './add-staff.ts';
import { changeStaff } from './change-staff.ts';
import { employ, endEmployment } from './employ.ts';
import { addQualification, revokeQualification } from './qualify.ts';
import { EndOn, SearchQuery } from './schema.ts';
import { addSignOff, endSignOff } from './sign-off.ts';
import { getStaffMember, listStaff } from './staff-repo.ts';
import {
  ChangedEmployment,
  ChangedQualification,
  ChangedSignOff,
  ChangedStaffMember,
  EmploymentRef,
  NewEmployment,
  NewQualification,
  NewSignOff,
  NewStaff,
  QualificationRef,
  Revocation,
  SignOffRef,
  StaffChanges,
  StaffMember,
  StaffPage,
  StaffRef,
} from './staff-schema.ts';

const reads = { tag: 'staff', permission: 'staff.read' } as const;
const writes = { tag: 'staff', permission: 'staff.write' } as const;

export const staffRoutes: Route[] = [
  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/staff',
    name: 'listStaff',
    summary: 'Everybody who is, was or will be employed at the gym',
    params: GymRef,
    query: SearchQuery,
    returns: { 200: StaffPage },
  }).handle(async (ctx, { params, query }) => ok(await listStaff(ctx, params.gymId, query))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff',
    name: 'addStaff',
    summary: 'Put somebody on the staff, employed at this gym',
    params: GymRef,
    body: NewStaff,
    returns: { 201: StaffMember },
    problems: ['already-exists'],
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await addStaff(ctx, params.gymId, body))),

  route({
    ...reads,
    method: 'get',
    path: '/gyms/{gymId}/staff/{personId}',
    name: 'getStaffMember',
    summary: 'One of the gym’s staff, with employments, qualifications and sign-offs',
    params: StaffRef,
    returns: { 200: StaffMember },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await getStaffMember(ctx, params.gymId, params.personId))),

  route({
    ...writes,
    method: 'patch',
    path: '/gyms/{gymId}/staff/{personId}',
    name: 'changeStaff',
    summary: 'Correct names, contacts or birth date',
    params: StaffRef,
    body: StaffChanges,
    returns: { 200: ChangedStaffMember },
    problems: ['conflict'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeStaff(ctx, params, ifMatch, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/employments',
    name: 'employStaff',
    summary: 'Employ somebody who is on the staff already, at this gym too',
    params: StaffRef,
    body: NewEmployment,
    returns: { 201: ChangedEmployment },
    problems: ['already-exists', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await employ(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/employments/{employmentId}/end',
    name: 'endEmployment',
    summary: 'Say from which day on somebody is employed here no more',
    description: 'Always recorded: whoever stood somewhere after that day is released.',
    params: EmploymentRef,
    body: EndOn,
    returns: { 200: ChangedEmployment },
    problems: ['already-exists', 'conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endEmployment(ctx, params, body.until))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/qualifications',
    name: 'addQualification',
    summary: 'Write down a qualification that somebody holds',
    params: StaffRef,
    body: NewQualification,
    returns: { 201: ChangedQualification },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addQualification(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/qualifications/{qualificationId}/revoke',
    name: 'revokeQualification',
    summary: 'Take a qualification from a day on',
    description: 'Always recorded: the answer says who was released and which blocks lost their confirmation.',
    params: QualificationRef,
    body: Revocation,
    returns: { 200: ChangedQualification },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await revokeQualification(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/sign-offs',
    name: 'addSignOff',
    summary: 'Write down how far somebody was watched spotting a skill',
    params: StaffRef,
    body: NewSignOff,
    returns: { 201: ChangedSignOff },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => created(await addSignOff(ctx, params, body))),

  route({
    ...writes,
    method: 'post',
    path: '/gyms/{gymId}/staff/{personId}/sign-offs/{signOffId}/end',
    name: 'endSignOff',
    summary: 'Say from which day on a sign-off holds no more',
    params: SignOffRef,
    body: EndOn,
    returns: { 200: ChangedSignOff },
    problems: ['conflict'],
    dryRun: true,
  }).handle(async (ctx, { params, body }) => ok(await endSignOff(ctx, params, body.until))),
];
