import { z } from 'zod';
import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { checkRoutes } from './checks/routes.ts';
import { drillFileRoutes } from './drill-file-routes.ts';
import { drillRoutes } from './drill-routes.ts';
import { planFileRoutes } from './plan-file-routes.ts';
import { planRoutes } from './plan-routes.ts';
import { addProgramme, addSkill, changeProgramme } from './programmes.ts';
import * as repo from './repo.ts';
import {
  NewProgramme,
  NewSkill,
  Programme,
  ProgrammeChange,
  ProgrammePage,
  ProgrammeRef,
  Skill,
  SkillPage,
  SkillQuery,
} from './schema.ts';
import { termRoutes } from './term-routes.ts';

const tag = 'curriculum';
const read = 'curriculum.read';
const write = 'curriculum.write';

export const curriculumRoutes: Route[] = [
  route({
    method: 'get',
    path: '/programmes',
    name: 'listProgrammes',
    tag,
    summary: 'The programmes, each with its levels in order',
    permission: read,
    query: z.strictObject(PageQuery),
    returns: { 200: ProgrammePage },
  }).handle(async (ctx, { query }) => ok(await repo.listProgrammes(ctx, query))),

  route({
    method: 'post',
    path: '/programmes',
    name: 'addProgramme',
    tag,
    summary: 'Add a programme with its levels',
    permission: write,
    body: NewProgramme,
    returns: { 201: Programme },
    problems: ['already-exists'],
    etag: true,
  }).handle(async (ctx, { body }) => created(await addProgramme(ctx, body))),

  route({
    method: 'get',
    path: '/programmes/{programmeId}',
    name: 'getProgramme',
    tag,
    summary: 'One programme',
    permission: read,
    params: ProgrammeRef,
    returns: { 200: Programme },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await repo.getProgramme(ctx, params.programmeId))),

  route({
    method: 'put',
    path: '/programmes/{programmeId}',
    name: 'changeProgramme',
    tag,
    summary: 'Rename a programme; rename, order and add its levels',
    description: 'Every level that is there has to be named: plans and classes may name it, so it does not go away.',
    permission: write,
    params: ProgrammeRef,
    body: ProgrammeChange,
    returns: { 200: Programme },
    problems: ['already-exists'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) =>
    ok(await changeProgramme(ctx, params.programmeId, ifMatch, body)),
  ),

  route({
    method: 'get',
    path: '/skills',
    name: 'listSkills',
    tag,
    summary: 'The skills that athletes learn and spotters are signed off for',
    permission: read,
    query: SkillQuery,
    returns: { 200: SkillPage },
  }).handle(async (ctx, { query }) => ok(await repo.listSkills(ctx, query, query.apparatusId))),

  route({
    method: 'post',
    path: '/skills',
    name: 'addSkill',
    tag,
    summary: 'Add a skill',
    permission: write,
    body: NewSkill,
    returns: { 201: Skill },
    problems: ['already-exists'],
  }).handle(async (ctx, { body }) => created(await addSkill(ctx, body))),

  ...drillRoutes,
  ...drillFileRoutes,
  ...planRoutes,
  ...planFileRoutes,

  ...termRoutes,
  ...checkRoutes,
];
