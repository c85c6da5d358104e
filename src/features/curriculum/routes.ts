import { z } from 'zod';
import { created, noContent, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { addDrill, changeDrill } from './drills.ts';
import * as drills from './drills-repo.ts';
import { planRoutes } from './plan-routes.ts';
import { addProgramme, addSkill, changeProgramme } from './programmes.ts';
import { addProgression, removeProgression } from './progressions.ts';
import * as repo from './repo.ts';
import {
  Drill,
  DrillChanges,
  DrillPage,
  DrillQuery,
  DrillRef,
  NewDrill,
  NewProgramme,
  NewSkill,
  Programme,
  ProgrammeChange,
  ProgrammePage,
  ProgrammeRef,
  Progression,
  ProgressionPage,
  ProgressionQuery,
  ProgressionRef,
  Skill,
  SkillPage,
  SkillQuery,
} from './schema.ts';

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

  route({
    method: 'get',
    path: '/drills',
    name: 'listDrills',
    tag,
    summary: 'The drills, by apparatus or by the skill that they teach',
    permission: read,
    query: DrillQuery,
    returns: { 200: DrillPage },
  }).handle(async (ctx, { query }) => ok(await drills.listDrills(ctx, query, query))),

  route({
    method: 'post',
    path: '/drills',
    name: 'addDrill',
    tag,
    summary: 'Add a drill, with what it asks of its spotter',
    permission: write,
    body: NewDrill,
    returns: { 201: Drill },
    problems: ['already-exists'],
    etag: true,
  }).handle(async (ctx, { body }) => created(await addDrill(ctx, body))),

  route({
    method: 'get',
    path: '/drills/{drillId}',
    name: 'getDrill',
    tag,
    summary: 'One drill',
    permission: read,
    params: DrillRef,
    returns: { 200: Drill },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await drills.getDrill(ctx, params.drillId))),

  route({
    method: 'patch',
    path: '/drills/{drillId}',
    name: 'changeDrill',
    tag,
    summary: 'Change a drill',
    description:
      'Published plans keep what the drill asked of its spotter when they were published. Where that was not safe, withdraw them.',
    permission: write,
    params: DrillRef,
    body: DrillChanges,
    returns: { 200: Drill },
    problems: ['already-exists'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeDrill(ctx, params.drillId, ifMatch, body))),

  route({
    method: 'get',
    path: '/progressions',
    name: 'listProgressions',
    tag,
    summary: 'Which drill leads to which',
    permission: read,
    query: ProgressionQuery,
    returns: { 200: ProgressionPage },
  }).handle(async (ctx, { query }) => ok(await drills.listProgressions(ctx, query, query.drillId))),

  route({
    method: 'post',
    path: '/progressions',
    name: 'addProgression',
    tag,
    summary: 'Let an easier drill lead to a harder one',
    permission: write,
    body: Progression,
    returns: { 201: Progression },
    problems: ['already-exists', 'progression-cycle'],
  }).handle(async (ctx, { body }) => created(await addProgression(ctx, body))),

  route({
    method: 'delete',
    path: '/progressions/{easierId}/{harderId}',
    name: 'removeProgression',
    tag,
    summary: 'Take a progression away',
    permission: write,
    params: ProgressionRef,
    returns: { 204: null },
  }).handle(async (ctx, { params }) => {
    await removeProgression(ctx, params);
    return noContent();
  }),

  ...planRoutes,
];
