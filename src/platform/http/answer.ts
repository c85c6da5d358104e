import type { Request, Response } from 'express';
import type { z } from 'zod';
import { type Fault, PROBLEMS, Problem, refuse } from '../problem.ts';
import { isProblemInReadersLanguage } from './language.ts';
import type { AnyReply, Route } from './route.ts';

const pointerOf = (path: readonly PropertyKey[]) =>
  path.map((part) => `/${String(part).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');

type Issue = z.core.$ZodIssue;

/** Of what several shapes could have been, the faults of the one that was most nearly meant: the fewest foreign fields. */
function nearestShape(issue: Issue): Issue[] {
  if (issue.code !== 'invalid_union' || issue.errors.length === 0) return [issue];
  const foreign = (issues: readonly Issue[]) =>
    issues.reduce((sum, one) => sum + (one.code === 'unrecognized_keys' ? one.keys.length : 0), 0);
  const [nearest = []] = [...issue.errors].sort((a, b) => foreign(a) - foreign(b) || a.length - b.length);
  return nearest.flatMap((one) => nearestShape({ ...one, path: [...issue.path, ...one.path] }));
}

/** What zod found, as faults with a JSON pointer (body) or a parameter's name (query). */
export function faultsOf(error: z.ZodError, where: 'body' | 'query'): Fault[] {
  const at = (path: readonly PropertyKey[]) =>
    where === 'body' ? { pointer: pointerOf(path) } : { parameter: String(path[0] ?? '') };
  const issues = error.issues.flatMap(nearestShape);
  // Of a value of the wrong type, its size says nothing more.
  const wrongType = new Set(issues.filter(({ code }) => code === 'invalid_type').map(({ path }) => pointerOf(path)));
  return issues
    .filter(({ code, path }) => code === 'invalid_type' || !wrongType.has(pointerOf(path)))
    .flatMap((issue) =>
      issue.code === 'unrecognized_keys'
        ? issue.keys.map((key) => ({ ...at([...issue.path, key]), detail: 'There is no such field; leave it out.' }))
        : [{ ...at(issue.path), detail: detailOf(issue) }],
    )
    .slice(0, 100);
}

const TYPES: Record<string, string> = {
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object',
};
const SIZES: Record<string, string> = { string: 'characters', array: 'entries' };

/** The fault in our words; a schema that has its own says those. */
function detailOf(issue: Issue): string {
  const { message } = issue;
  const isOwn = issue.code.startsWith('too_') && !/^Too (big|small)/.test(message);
  if (isOwn) return message;
  switch (issue.code) {
    case 'invalid_type': {
      const expected = `Expected ${TYPES[issue.expected] ?? issue.expected}`;
      return message.endsWith('received undefined') ? `It is missing. ${expected}.` : `${expected}.`;
    }
    case 'too_big':
      if (issue.origin === 'array' && Number(issue.maximum) === 0) return 'It is nested too deeply.';
      return `Expected at most ${issue.maximum}${sizeOf(issue.origin)}.`;
    case 'too_small':
      return `Expected at least ${issue.minimum}${sizeOf(issue.origin)}.`;
    case 'invalid_value':
      return `Expected ${issue.values.map((value) => JSON.stringify(value)).join(', ')}`.replace(
        /, ([^,]*)$/,
        ' or $1.',
      );
    case 'invalid_format':
      return message.startsWith('Invalid')
        ? `Expected ${issue.format === 'uuid' ? 'an id (a UUID)' : issue.format}.`
        : message;
    default:
      return message.slice(0, 1000);
  }
}

const sizeOf = (origin: string) => (SIZES[origin] ? ` ${SIZES[origin]}` : '');

/** Checks path, query and body against the contract. Ids that are no ids are simply not found. */
export function readInput(route: Route, request: Request) {
  const params = route.params?.safeParse(request.params);
  if (params && !params.success)
    throw refuse('not-found', 'There is nothing at that address: an id in it is malformed.');
  const faults: Fault[] = [];
  const { dryRun: asked, ...rest } = request.query;
  if (asked !== undefined && (!route.dryRun || (asked !== 'true' && asked !== 'false'))) {
    const detail = route.dryRun ? 'Expected "true" or "false".' : 'This route has no dry run; leave it out.';
    faults.push({ parameter: 'dryRun', detail });
  }
  const query = route.query?.safeParse(rest);
  if (query && !query.success) faults.push(...faultsOf(query.error, 'query'));
  if (!route.query) {
    for (const parameter of Object.keys(rest))
      faults.push({ parameter, detail: 'There is no such parameter; leave it out.' });
  }
  const empty = request.get('Content-Length') === '0' || request.is('application/json') === null;
  if (route.body && request.body === undefined && !empty) {
    throw refuse('wrong-content-type', 'This route takes application/json.');
  }
  const body = route.body?.safeParse(request.body);
  if (body && !body.success) faults.push(...faultsOf(body.error, 'body'));
  if (faults.length > 0) {
    const [first] = faults;
    const detail = `${first?.pointer ?? first?.parameter ?? ''}: ${first?.detail}`.replace(/^: /, '');
    throw refuse('invalid-request', detail, { errors: faults.slice(0, 100) });
  }
  return {
    params: params?.data as never,
    query: query?.data as never,
    body: body?.data as never,
    dryRun: asked === 'true',
  };
}

/** The revision in If-Match: refuses a request that says none, or one of another form. */
export function readIfMatch(request: Request): number {
  const value = request.get('If-Match');
  if (value === undefined) throw refuse('if-match-required', 'Send If-Match with the ETag of what you read.');
  const revision = /^"r([1-9]\d{0,8})"$/.exec(value)?.[1];
  if (revision === undefined) {
    throw refuse(
      'changed-meanwhile',
      'That is no ETag of this resource: send it as it was read, with its quotes: "r3".',
    );
  }
  return Number(revision);
}

/** Sends what a handler gave, with the headers that follow from it. */
export function sendReply(route: Route, request: Request, response: Response, reply: AnyReply): void {
  response.status(reply.status).set(reply.headers ?? {});
  const { body } = reply;
  if (body === null) {
    response.end();
    return;
  }
  if (typeof body === 'object') {
    if (route.etag && 'revision' in body) response.set('ETag', `"r${body.revision}"`);
    if ('next' in body && typeof body.next === 'string') {
      const url = new URL(request.originalUrl, 'http://any');
      url.searchParams.set('cursor', body.next);
      response.set('Link', `<${url.pathname}${url.search}>; rel="next"`);
    }
  }
  response.set('Cache-Control', 'no-store');
  if (route.answers === 'application/pdf') response.type(route.answers).end(Buffer.from(String(body), 'latin1'));
  else if (typeof body === 'string') response.type(`${route.answers}; charset=utf-8`).end(body);
  else response.type('application/json').end(JSON.stringify(body));
}

/** Sends a problem document (RFC 9457). Anything that is not a `Problem` is our fault: the caller logs it. */
export function sendProblem(response: Response, requestId: string, fault: unknown): void {
  const problem: Problem = fault instanceof Problem ? fault : new Problem('internal', 'The fault has been logged.', {});
  const { status } = PROBLEMS[problem.problem];
  if (status === 401) response.set('WWW-Authenticate', 'Bearer realm="matside"');
  if (isProblemInReadersLanguage(problem.problem)) response.set('Content-Language', response.locals.language);
  if (status === 503) response.set('Retry-After', '2');
  response
    .status(status)
    .set(problem.headers)
    .set('Cache-Control', 'no-store')
    .type('application/problem+json')
    .end(JSON.stringify(problemDocument(requestId, problem)));
}

/** A refusal as RFC 9457 has it. */
export function problemDocument(requestId: string, problem: Problem) {
  const { status, title } = PROBLEMS[problem.problem];
  return {
    type: `/problems/${problem.problem}`,
    title,
    status,
    detail: problem.message,
    instance: `urn:uuid:${requestId}`,
    ...problem.extras,
  };
}
