import { readFileSync } from 'node:fs';
import { z } from 'zod';
import {
  createDocument,
  type ZodOpenApiOperationObject,
  type ZodOpenApiOverrideContext,
  type ZodOpenApiPathsObject,
  type ZodOpenApiResponseObject,
} from 'zod-openapi';
import { PERMISSIONS, ROLES, type Role, type Scope } from '../auth/permissions.ts';
import { PROBLEMS, type ProblemName } from '../problem.ts';
import { answersInReadersLanguage, isProblemInReadersLanguage, speaks } from './language.ts';
import { acceptLanguage, dryRun, HEADERS, headers, idempotencyKey, ifMatch, lastEventId } from './openapi-headers.ts';
import type { Route } from './route.ts';

type JsonSchema = ZodOpenApiOverrideContext['jsonSchema'];

const problemSchemas = new Map<ProblemName, z.ZodType>();

/** The document of one problem: RFC 9457's members and what this one carries. */
export function problemSchema(name: ProblemName): z.ZodType {
  const known = problemSchemas.get(name);
  if (known) return known;
  const { status, title, extras } = PROBLEMS[name];
  const schema = z
    .strictObject({
      type: z.literal(`/problems/${name}`),
      title: z.literal(title),
      status: z.literal(status),
      detail: z.string().max(4000),
      instance: z.string().max(60),
      ...extras.shape,
    })
    .meta({ id: `Problem_${name}` });
  problemSchemas.set(name, schema);
  return schema;
}

/** Every problem that a route can answer with: its own, and those that come from the way it is called. */
export function problemsOf(route: Route): ProblemName[] {
  const names: ProblemName[] = ['too-many-requests', 'busy', 'internal', ...route.problems];
  if (route.kind === 'stream') names.push('too-many-streams');
  if (route.kind !== 'public') names.push('not-signed-in');
  if (mayRefuseRole(route)) names.push('not-allowed');
  if (route.params) names.push('not-found');
  names.push('invalid-request');
  if (route.body) names.push('malformed-json', 'body-too-large', 'wrong-content-type');
  if (route.ifMatch) names.push('if-match-required', 'changed-meanwhile');
  if (takesIdempotencyKey(route)) names.push('idempotency-key-reused');
  return [...new Set(names)].sort();
}

/** Where every role of a gym has the permission, whoever lacks it does not belong to the gym, and hears 404. */
function mayRefuseRole(route: Route): boolean {
  if (!('permission' in route) || route.permission === 'signed-in') return false;
  if (!route.path.startsWith('/gyms/{gymId}')) return true;
  const scopes: Partial<Record<Role, Scope>> = PERMISSIONS[route.permission];
  return ROLES.some((role) => !route.scopes.some((scope) => scope === scopes[role]));
}

const takesIdempotencyKey = (route: Route) => route.method === 'post' && route.kind === 'tenant';

const inLanguage = ['Content-Language', 'Vary'] as const;

/** A stream has no end, so that nothing can be said of its whole; what its messages are, the operation tells. */
const STREAM = z.unknown().meta({ description: 'Server-sent events, until either side ends the stream' });

/** Answers of the demo's service, by the operation's name; lists are cut short. */
const EXAMPLES: Record<string, unknown> = z
  .record(z.string(), z.unknown())
  .parse(JSON.parse(readFileSync(new URL('../../../openapi/examples.json', import.meta.url), 'utf8')));

/** What a status answers, with an example where it is the good answer and there is one. */
function contentOf(route: Route, status: string, schema: z.ZodType) {
  const example = status === goodStatusOf(route) ? EXAMPLES[route.name] : undefined;
  return { [route.answers]: { schema, ...(example === undefined ? {} : { example }) } };
}

const goodStatusOf = ({ returns }: Route) => Object.keys(returns).find((status) => status.startsWith('2'));

type Responses = Record<string, ZodOpenApiResponseObject>;

/** What a route answers; refusals that several routes share are put into `shared`, and referred to. */
function responsesOf(route: Route, shared: Responses) {
  const responses: NonNullable<ZodOpenApiOperationObject['responses']> = {};
  for (const [status, body] of Object.entries(route.returns)) {
    responses[status as '200'] = {
      description: body ? 'Done' : 'Done; nothing to show',
      headers: headers(
        ...(route.etag && body ? (['ETag'] as const) : []),
        ...(takesIdempotencyKey(route) ? (['Idempotency-Replay'] as const) : []),
        ...(answersInReadersLanguage(route, Number(status)) ? inLanguage : []),
      ),
      ...(body ? { content: contentOf(route, status, route.kind === 'stream' ? STREAM : body) } : {}),
    };
  }
  const byStatus = new Map<number, ProblemName[]>();
  for (const name of problemsOf(route)) {
    const { status } = PROBLEMS[name];
    byStatus.set(status, [...(byStatus.get(status) ?? []), name]);
  }
  for (const [status, names] of [...byStatus].sort(([a], [b]) => a - b)) {
    const name = names.join('_');
    shared[name] ??= refusal(status, names);
    responses[`${status}` as '400'] = { $ref: `#/components/responses/${name}` };
  }
  return responses;
}

function refusal(status: number, names: readonly ProblemName[]): ZodOpenApiResponseObject {
  const schemas = names.map(problemSchema);
  const [only] = schemas;
  return {
    description: names.map((name) => PROBLEMS[name].title).join('; '),
    headers: headers(
      ...(names.some(isProblemInReadersLanguage) ? inLanguage : []),
      ...(status === 401 ? (['WWW-Authenticate'] as const) : []),
      ...(status === 429 || status === 503 ? (['Retry-After'] as const) : []),
    ),
    content: { 'application/problem+json': { schema: schemas.length === 1 && only ? only : z.union(schemas) } },
  };
}

function operationOf(route: Route, shared: Responses): ZodOpenApiOperationObject {
  const who =
    'permission' in route && route.permission !== 'signed-in'
      ? `Needs the permission \`${route.permission}\`: ${Object.entries(PERMISSIONS[route.permission])
          .filter(([, scope]) => route.scopes.includes(scope))
          .map(([role, scope]) => `${role} (${scope})`)
          .join(', ')}.`
      : null;
  const query = { ...shapeOf(route.query), ...(route.dryRun ? { dryRun } : {}) };
  const header = {
    ...(takesIdempotencyKey(route) ? { 'Idempotency-Key': idempotencyKey } : {}),
    ...(route.ifMatch ? { 'If-Match': ifMatch } : {}),
    ...(speaks(route) ? { 'Accept-Language': acceptLanguage } : {}),
    ...(route.kind === 'stream' ? { 'Last-Event-ID': lastEventId } : {}),
  };
  return {
    operationId: route.name,
    tags: [route.tag],
    summary: route.summary,
    description:
      [route.description, messagesOf(route), who].filter((part) => part !== null).join('\n\n') || route.summary,
    ...(route.kind === 'public' ? { security: [] } : {}),
    requestParams: {
      ...(route.params instanceof z.ZodObject ? { path: route.params } : {}),
      ...(Object.keys(query).length > 0 ? { query: z.object(query) } : {}),
      ...(Object.keys(header).length > 0 ? { header: z.object(header) } : {}),
    },
    ...(route.body ? { requestBody: { required: true, content: { 'application/json': { schema: route.body } } } } : {}),
    responses: responsesOf(route, shared),
  };
}

function messagesOf(route: Route): string | null {
  if (route.kind !== 'stream') return null;
  const { id } = z.globalRegistry.get(route.returns[200] ?? STREAM) ?? {};
  return `Each message \`${route.event}\` carries the whole state as JSON (\`${id}\`), with an id that is a digest of it. A message \`closed\` carries a problem and is the last: the permission has gone, which is looked at again for as long as the stream is open. A reader who takes nothing for half a minute is cut off. Open it with an access token, whose expiry does not end it, or with a ticket in the address.`;
}

const shapeOf = (schema: z.ZodType | null): z.ZodRawShape => (schema instanceof z.ZodObject ? schema.shape : {});

/** What each part of the document is about. */
const TAGS: Record<string, string> = {
  identity: 'Signing in and out, and the franchise itself',
  users: 'Who may sign in, and their roles',
  audit: 'What happened: every change, by whom and when',
  gyms: 'Gyms, the areas of their halls, and the apparatus that stands there',
  people: 'Kinds of qualification, and who may do which duty',
  staff: 'Staff with their employments, qualifications and sign-offs',
  athletes: 'Athletes, their families and guardians, and what they need',
  curriculum: 'Programmes, skills, drills and their progressions',
  'lesson plans': 'A week’s teaching: drafts, checks, versions',
  'ratio rules': 'Published ratio standards, and the rules in force',
  'cover trials': 'Trying a rule on a made-up floor; nothing is stored',
  schedule: 'Classes, enrolments, dated sessions, groups, and blocks laid out from a plan',
  staffing: 'Who takes which block; confirming, overrides, absences and who stands in',
  teaching: 'Lesson sheets, adaptations, what was taught and shown, and what coaches say of it',
  live: 'The floor as it is now, and the day on paper',
  cover: 'Does a block, a session, a day have the coaches it needs, and what would help',
};

/** The OpenAPI 3.1 document of these routes: made from the very schemas that check requests and answers. */
export function openApiOf(routes: readonly Route[]) {
  const paths: ZodOpenApiPathsObject = {};
  const shared: Responses = {};
  for (const route of routes) {
    const path = `/v1${route.path}`;
    paths[path] = { ...paths[path], [route.method]: operationOf(route, shared) };
  }
  const tags = [...new Set(routes.map((route) => route.tag))];
  const document = createDocument(
    {
      openapi: '3.1.1',
      info: {
        title: 'Matside',
        version: '1.0.0',
        description:
          'Plans a week’s gymnastics teaching for several gyms and sees that it is taught safely everywhere: coach-to-athlete ratios and spotting qualifications are enforced when staff are assigned to apparatus blocks. Matside gives no medical or legal advice; local law and licensed practice come first.',
        contact: { name: 'Whoever runs this service' },
        license: { name: 'All rights reserved' },
      },
      servers: [
        { url: '/', description: 'The service that serves this document, in production or local', 'x-internal': false },
      ],
      security: [{ accessToken: [] }],
      tags: tags.map((name) => ({ name, description: TAGS[name] ?? `Operations on ${name}` })),
      paths,
      components: {
        headers: HEADERS,
        responses: Object.fromEntries(Object.entries(shared).sort(([a], [b]) => (a < b ? -1 : 1))),
        securitySchemes: {
          accessToken: {
            type: 'http',
            scheme: 'bearer',
            bearerFormat: 'JWT',
            description:
              'A JSON Web Token (RFC 7519) used as RFC8725 advises: HS256 only, with issuer, audience and expiry checked',
          },
        },
      },
    },
    { override: ({ jsonSchema }) => tidy(jsonSchema) },
  );
  dropRepeats(document);
  return document;
}

const INT32 = 2 ** 31;

/** What zod leaves out or says at length: how wide an integer is; that a format says what a long pattern would. */
function tidy(schema: JsonSchema): void {
  if (schema.type === 'integer') {
    const narrow = [schema.minimum, schema.maximum].every((bound) => bound !== undefined && Math.abs(bound) < INT32);
    schema.format ??= narrow ? 'int32' : 'int64';
  }
  if (schema.format === 'uuid') {
    delete schema.pattern;
    schema.maxLength ??= 36;
  }
  // A pair: what follows its last item is shut out by its greatest length.
  if (schema.prefixItems?.[0]) schema.items = schema.prefixItems[0];
  if (schema.allOf && (schema.format === 'date' || schema.format === 'date-time')) {
    schema.allOf = schema.allOf.filter(({ pattern }) => pattern === undefined || pattern.length < 60);
  }
}

/** Beside a reference, zod repeats the patterns of what it refers to. */
function dropRepeats(node: unknown): void {
  if (typeof node !== 'object' || node === null) return;
  if ('$ref' in node && 'allOf' in node) delete node.allOf;
  for (const child of Object.values(node)) dropRepeats(child);
}

/** The document as it is committed and served: the same bytes from the same routes. */
export const documentText = (routes: readonly Route[]): string => `${JSON.stringify(openApiOf(routes), null, 2)}\n`;
