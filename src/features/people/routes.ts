import { z } from 'zod';
import { undatedFact } from '../../enforcement/undated-fact.ts';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { athleteRoutes } from './athlete-routes.ts';
import { listDutyRules, setDutyRule } from './duty-rules.ts';
import { addKind, changeKind, listKinds } from './kinds.ts';
import {
  ChangedDutyRule,
  ChangedQualificationKind,
  DutyRef,
  DutyRuleBody,
  DutyRulePage,
  NewQualificationKind,
  QualificationKind,
  QualificationKindChanges,
  QualificationKindPage,
  QualificationKindRef,
} from './schema.ts';
import { staffRoutes } from './staff-routes.ts';

const tag = 'people';

export const peopleRoutes: Route[] = [
  route({
    method: 'get',
    path: '/qualification-kinds',
    name: 'listQualificationKinds',
    tag,
    summary: 'The kinds of qualification that the franchise knows',
    permission: 'franchise.read',
    query: z.strictObject(PageQuery),
    returns: { 200: QualificationKindPage },
  }).handle(async (ctx, { query }) => ok(await listKinds(ctx, query))),

  route({
    method: 'post',
    path: '/qualification-kinds',
    name: 'addQualificationKind',
    tag,
    summary: 'Add a kind of qualification',
    permission: 'franchise.write',
    body: NewQualificationKind,
    returns: { 201: QualificationKind },
    problems: ['already-exists'],
    etag: true,
  }).handle(async (ctx, { body }) => created(await addKind(ctx, body))),

  route({
    method: 'patch',
    path: '/qualification-kinds/{kindId}',
    name: 'changeQualificationKind',
    tag,
    summary: 'Change a kind of qualification',
    description: 'Grades may be renamed, and higher ones added: those that are held and asked for are numbers.',
    permission: 'franchise.write',
    params: QualificationKindRef,
    body: QualificationKindChanges,
    returns: { 200: ChangedQualificationKind },
    problems: ['already-exists'],
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params, body, ifMatch }) =>
    ok(await undatedFact(ctx, (lock) => changeKind(ctx, lock, params.kindId, ifMatch, body))),
  ),

  route({
    method: 'get',
    path: '/duty-rules',
    name: 'listDutyRules',
    tag,
    summary: 'Who may do which duty at all',
    permission: 'franchise.read',
    returns: { 200: DutyRulePage },
  }).handle(async (ctx) => ok(await listDutyRules(ctx))),

  route({
    method: 'put',
    path: '/duty-rules/{duty}',
    name: 'setDutyRule',
    tag,
    summary: 'Say who may do a duty at all',
    description: 'No cover can excuse what this refuses; whoever stands somewhere against it is released.',
    permission: 'franchise.write',
    params: DutyRef,
    body: DutyRuleBody,
    returns: { 200: ChangedDutyRule },
    ifMatch: true,
    dryRun: true,
  }).handle(async (ctx, { params, body, ifMatch }) =>
    ok(await undatedFact(ctx, (lock) => setDutyRule(ctx, lock, params.duty, ifMatch, body.who))),
  ),

  ...staffRoutes,
  ...athleteRoutes,
];
