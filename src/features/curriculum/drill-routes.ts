import { z } from 'zod';
import { created, noContent, ok, type Route, route } from '../../platform/http/route.ts';
import { PageQuery } from '../../platform/http/wire.ts';
import { found } from '../../platform/problem.ts';
import { drawDiagram } from './diagram.ts';
import { searchDrills } from './drill-search.ts';
import { addDrill, changeDrill } from './drills.ts';
import { getDrill } from './drills-repo.ts';
import {
  HeightLadder,
  LeadUp,
  LeadUpQuery,
  RelatedDrillPage,
  RelatedQuery,
  SkillRef,
  UnledSkillPage,
} from './lead-up-schema.ts';
import { getHeightLadder, getLeadUp, listRelated, listUnled } from './lead-ups.ts';
import { addProgression, removeProgression } from './progressions.ts';
import { listProgressions } from './progressions-repo.ts';
import {
  Drill,
  DrillChanges,
  DrillPage,
  DrillQuery,
  DrillRef,
  NewDrill,
  NewProgression,
  Progression,
  ProgressionPage,
  ProgressionQuery,
  ProgressionRef,
} from './schema.ts';

const tag = 'curriculum';
const read = 'curriculum.read';
const write = 'curriculum.write';

/** The drill library, and what leads to what in it. */
export const drillRoutes: Route[] = [
  route({
    method: 'get',
    path: '/drills',
    name: 'listDrills',
    tag,
    summary: 'Search the drills by words, apparatus, skill, level, spotting, and by what a gym has in use',
    permission: read,
    query: DrillQuery,
    returns: { 200: DrillPage },
    problems: ['not-found'],
  }).handle(async (ctx, { query }) => ok(await searchDrills(ctx, query))),

  route({
    method: 'post',
    path: '/drills',
    name: 'addDrill',
    tag,
    summary: 'Add a drill: what to say and look for, who spots it, what it needs',
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
  }).handle(async (ctx, { params }) => ok(await getDrill(ctx, params.drillId))),

  route({
    method: 'patch',
    path: '/drills/{drillId}',
    name: 'changeDrill',
    tag,
    summary: 'Change a drill, retire it, or bring it back',
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
    path: '/drills/{drillId}/diagram.svg',
    name: 'drawDrill',
    tag,
    summary: 'The drill’s set-up as a drawing; not found where it has none',
    permission: read,
    params: DrillRef,
    returns: { 200: z.string().max(200_000) },
    answers: 'image/svg+xml',
  }).handle(async (ctx, { params }) =>
    ok(drawDiagram(found((await getDrill(ctx, params.drillId)).diagram, 'diagram'))),
  ),

  ...(['easier', 'harder'] as const).map((direction) =>
    route({
      method: 'get',
      path: `/drills/{drillId}/${direction}`,
      name: direction === 'easier' ? 'listEasierDrills' : 'listHarderDrills',
      tag,
      summary: direction === 'easier' ? 'What leads to a drill, nearest first' : 'What a drill leads to, nearest first',
      permission: read,
      params: DrillRef,
      query: RelatedQuery,
      returns: { 200: RelatedDrillPage },
    }).handle(async (ctx, { params, query }) => ok(await listRelated(ctx, params.drillId, direction, query))),
  ),

  route({
    method: 'get',
    path: '/drills/{drillId}/height-ladder',
    name: 'getHeightLadder',
    tag,
    summary: 'The same thing on the floor, low, and at full height',
    description: 'Choosing a lower rung is never a failing.',
    permission: read,
    params: DrillRef,
    returns: { 200: HeightLadder },
  }).handle(async (ctx, { params }) => ok(await getHeightLadder(ctx, params.drillId))),

  route({
    method: 'get',
    path: '/skills/{skillId}/lead-up',
    name: 'getLeadUp',
    tag,
    summary: 'The shortest way of drills up to a skill',
    permission: read,
    params: SkillRef,
    query: LeadUpQuery,
    returns: { 200: LeadUp },
  }).handle(async (ctx, { params, query }) => ok(await getLeadUp(ctx, params.skillId, query.fromDrillId))),

  route({
    method: 'get',
    path: '/skills-without-lead-up',
    name: 'listSkillsWithoutLeadUp',
    tag,
    summary: 'The skills that nothing leads to',
    permission: read,
    query: z.strictObject(PageQuery),
    returns: { 200: UnledSkillPage },
  }).handle(async (ctx, { query }) => ok(await listUnled(ctx, query))),

  route({
    method: 'get',
    path: '/progressions',
    name: 'listProgressions',
    tag,
    summary: 'Which drill leads to which',
    permission: read,
    query: ProgressionQuery,
    returns: { 200: ProgressionPage },
  }).handle(async (ctx, { query }) => ok(await listProgressions(ctx, query, query))),

  route({
    method: 'post',
    path: '/progressions',
    name: 'addProgression',
    tag,
    summary: 'Let an easier drill lead to a harder one',
    permission: write,
    body: NewProgression,
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
];
