import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { NewTerm, Term, TermContent, TermCopy, TermPage, TermQuery, TermRef, TermShift } from './term-schema.ts';
import { addTerm, changeTerm, copyTerm, shiftTerm } from './terms.ts';
import { getTerm, listTerms } from './terms-repo.ts';

const tag = 'terms';
const read = 'curriculum.read';
const write = 'curriculum.write';

export const termRoutes: Route[] = [
  route({
    method: 'get',
    path: '/terms',
    name: 'listTerms',
    tag,
    summary: 'The terms, by their first week',
    permission: read,
    query: TermQuery,
    returns: { 200: TermPage },
  }).handle(async (ctx, { query }) => ok(await listTerms(ctx, query))),

  route({
    method: 'post',
    path: '/terms',
    name: 'addTerm',
    tag,
    summary: 'Add a programme’s term: its weeks with their skills, and the plans that hang from them',
    permission: write,
    body: NewTerm,
    returns: { 201: Term },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { body }) => created(await addTerm(ctx, body))),

  route({
    method: 'get',
    path: '/terms/{termId}',
    name: 'getTerm',
    tag,
    summary: 'One term: skills by weeks',
    permission: read,
    params: TermRef,
    returns: { 200: Term },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await getTerm(ctx, params.termId))),

  route({
    method: 'put',
    path: '/terms/{termId}',
    name: 'changeTerm',
    tag,
    summary: 'Put this in place of a term’s title, first week and weeks',
    permission: write,
    params: TermRef,
    body: TermContent,
    returns: { 200: Term },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await changeTerm(ctx, params.termId, ifMatch, body))),

  route({
    method: 'post',
    path: '/terms/{termId}/copy',
    name: 'copyTerm',
    tag,
    summary: 'Begin another term with the same weeks',
    permission: write,
    params: TermRef,
    body: TermCopy,
    returns: { 201: Term },
    problems: ['conflict'],
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await copyTerm(ctx, params.termId, body))),

  route({
    method: 'post',
    path: '/terms/{termId}/shift',
    name: 'shiftTerm',
    tag,
    summary: 'Move weeks later, or earlier over empty ones',
    description: 'Classes keep the number of their week: shift weeks that no class has reached.',
    permission: write,
    params: TermRef,
    body: TermShift,
    returns: { 200: Term },
    problems: ['conflict'],
    ifMatch: true,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await shiftTerm(ctx, params.termId, ifMatch, body))),
];
