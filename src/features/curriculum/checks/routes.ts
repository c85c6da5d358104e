import { ok, type Route, route } from '../../../platform/http/route.ts';
import { VersionRef } from '../plan-schema.ts';
import * as plans from '../plans-repo.ts';
import { TermRef } from '../term-schema.ts';
import { checkVersion, checkWholeTerm } from './check-version.ts';
import { CurriculumSettings, PlanChecks, SettableLimits, TermChecks } from './schema.ts';
import { getSettings, setSettings } from './settings.ts';

const write = 'curriculum.write';

export const checkRoutes: Route[] = [
  route({
    method: 'get',
    path: '/lesson-plans/{planId}/versions/{number}/checks',
    name: 'checkPlanVersion',
    tag: 'lesson plans',
    summary: 'A version in numbers: time, turns, equipment, sizes, spotters, order and coverage',
    description:
      'Against the classes of its programmes at all gyms in its week. Each finding has its number, its limit and where the limit comes from.',
    permission: write,
    params: VersionRef,
    returns: { 200: PlanChecks },
  }).handle(async (ctx, { params: { planId, number } }) =>
    ok(await checkVersion(ctx, await plans.getVersion(ctx, planId, number, 'drafts-too'))),
  ),

  route({
    method: 'get',
    path: '/terms/{termId}/checks',
    name: 'checkTerm',
    tag: 'terms',
    summary: 'A term in numbers: what its plans teach of what it plans, how much is new, and its tests',
    permission: write,
    params: TermRef,
    returns: { 200: TermChecks },
  }).handle(async (ctx, { params }) => ok(await checkWholeTerm(ctx, params.termId))),

  route({
    method: 'get',
    path: '/curriculum-settings',
    name: 'getCurriculumSettings',
    tag: 'curriculum',
    summary: 'What plans are measured by',
    permission: 'curriculum.read',
    returns: { 200: CurriculumSettings },
    etag: true,
  }).handle(async (ctx) => ok(await getSettings(ctx))),

  route({
    method: 'put',
    path: '/curriculum-settings',
    name: 'setCurriculumSettings',
    tag: 'curriculum',
    summary: 'Set what plans are measured by',
    permission: write,
    body: SettableLimits,
    returns: { 200: CurriculumSettings },
    ifMatch: true,
  }).handle(async (ctx, { body, ifMatch }) => ok(await setSettings(ctx, ifMatch, body))),
];
