import { z } from 'zod';
import { inReadersLanguage, shownBy } from './http/wire.ts';

/**
 * Every way in which Matside says no, by name. The name decides the status, the title (the same each time), what the
 * document carries beside RFC 9457's members, and how to mend it (shown on the problem's own page).
 */
const define = <E extends z.ZodRawShape = Record<never, never>>(
  status: number,
  title: string,
  mend: string,
  extras?: E,
) => ({
  status,
  title,
  mend,
  extras: z.strictObject(extras ?? ({} as E)),
});

const Fault = z
  .strictObject({
    pointer: z
      .string()
      .max(400)
      .optional()
      .meta({ description: 'JSON Pointer (RFC 6901) into the body', example: '/startsAt' }),
    parameter: z.string().max(100).optional().meta({ description: 'Name of the path, query or header parameter' }),
    detail: z.string().max(1000).meta({ description: "The value's fault, and the mend", example: 'Expected "HH:MM".' }),
  })
  .meta({ id: 'Fault' });
export type Fault = z.infer<typeof Fault>;

/** Of the shape that has this name in the document; what enforcement makes of it is checked there. */
const listOf = (name: string, most: number, description: string) =>
  z
    .array(z.looseObject({}).meta(shownBy(name)))
    .max(most)
    .meta({ description })
    .register(inReadersLanguage, { readers: true });
const findings = listOf('Finding', 500, 'Why not: each finding with code, numbers and a sentence');
const remedies = listOf('Remedy', 50, 'What would make it a yes: each a request ready to send');
const nearest = listOf('Nearest', 20, 'Where nothing would: what is missing, and who comes nearest');
const refusals = listOf('Refusal', 50, 'What no cover can excuse, each with a sentence');

export const PROBLEMS = {
  'invalid-request': define(422, 'The request has values that cannot be used', 'Mend each value named in `errors`.', {
    errors: z.array(Fault).max(100).meta({ description: 'Where each fault is, what it is, and the mend' }),
  }),
  'malformed-json': define(400, 'The body is not JSON', 'Send one JSON value, UTF-8, without a trailing comma.'),
  'body-too-large': define(
    413,
    'The body is larger than this service takes',
    'Send at most 1 MiB; split a large import.',
  ),
  'wrong-content-type': define(415, 'The body is of another type', 'Send `Content-Type: application/json`.'),
  'not-signed-in': define(
    401,
    'The request needs a valid access token',
    'Sign in, or refresh, and send `Authorization: Bearer …`.',
  ),
  'sign-in-refused': define(
    401,
    'The e-mail address and password do not fit',
    'Check both; ask whoever invited you for a new link.',
  ),
  'choose-franchise': define(
    409,
    'This account is in more than one franchise',
    'Send `franchiseId` with one of `franchises`.',
    {
      franchises: z.array(z.strictObject({ id: z.uuid(), name: z.string().max(200) })).max(100),
    },
  ),
  'link-not-valid': define(
    410,
    'That link has been used, replaced, or is too old',
    'Ask whoever sent it for a new one.',
  ),
  'not-allowed': define(
    403,
    'Your roles here do not include this',
    'Ask an owner for the role that has the permission named.',
    {
      permission: z.string().max(60).meta({ description: 'The permission that it takes' }),
    },
  ),
  'not-found': define(
    404,
    'There is nothing here that you can see',
    'Check the ids; another franchise’s records are never visible.',
  ),
  'no-such-route': define(404, 'There is no such route', 'See the API reference at /reference.'),
  'method-not-allowed': define(405, 'That route does not take this method', 'See the `Allow` header.'),
  'already-exists': define(409, 'There is one already', 'Use the one that is there, or choose another name.'),
  'still-in-use': define(409, 'Something else depends on it', 'Mend what depends on it first.'),
  conflict: define(
    409,
    'The present state does not allow that',
    'Read it again; `detail` says what stands in the way.',
  ),
  'changed-meanwhile': define(
    412,
    'Somebody changed it since you read it',
    'Read it again, and send the ETag that you then get.',
  ),
  'if-match-required': define(428, 'Say which revision you mean', 'Send `If-Match` with the ETag that you read.'),
  'idempotency-key-reused': define(
    422,
    'That Idempotency-Key came with another request',
    'Make a new key for each new request.',
  ),
  'not-admissible': define(
    422,
    'No cover can excuse this placing',
    'See `refusals`: choose somebody free, employed, of age and qualified.',
    {
      refusals,
    },
  ),
  'cover-broken': define(
    422,
    'The change would leave a confirmed block without the coaches it needs',
    'Take one of `remedies` first, or un-confirm the block with a reason.',
    { findings, remedies, nearest },
  ),
  'not-covered': define(
    422,
    'The block does not have the cover it needs',
    'Take one of `remedies`, or accept a finding by name with a reason.',
    {
      findings,
      remedies,
      nearest,
    },
  ),
  'already-assigned': define(409, 'That coach already has this place', 'Nothing needs doing.'),
  'already-over': define(
    409,
    'That block has ended',
    'The past is not changed by planning; write down what happened instead.',
  ),
  'looser-rule': define(
    422,
    'The rule is looser than the franchise’s',
    'Ask for at least as many coaches at every age.',
    {
      ageMonths: z.int().min(0).max(3000).meta({ description: 'The first age at which it asks for less, in months' }),
      franchiseRule: z.uuid().meta({ description: 'The rule that asks for more' }),
    },
  ),
  'not-overridable': define(
    422,
    'That finding cannot be accepted',
    'The rule forbids it, or there is no such finding; mend the cover.',
  ),
  'plan-not-whole': define(422, 'The plan is not whole yet', 'Mend each thing named in `errors`, then publish.', {
    errors: z.array(Fault).max(200).meta({ description: 'What is missing, and where in the plan' }),
  }),
  'plan-frozen': define(409, 'A published plan does not change', 'Make a new version and change that.'),
  'progression-cycle': define(
    422,
    'The progression would go round in a circle',
    'Take away one of the steps named in `cycle`.',
    {
      cycle: z.array(z.uuid()).max(500).meta({ description: 'The drills of the circle, in its order' }),
      names: z.array(z.string().max(120)).max(500).meta({ description: 'Their names, in the same order' }),
    },
  ),
  'may-not-collect': define(
    409,
    'That person is not on record as somebody who may collect',
    'Ask a guardian; write down whom they name, then check out.',
    { athleteIds: z.array(z.uuid()).max(50).meta({ description: 'The athletes whom they may not collect' }) },
  ),
  'too-many-streams': define(
    429,
    'This account has as many streams open as it may',
    'Close a stream that nobody reads any more, then connect again.',
  ),
  'too-many-requests': define(429, 'Too many requests', 'Wait as long as `Retry-After` says.'),
  busy: define(503, 'Too much is going on at once', 'Try again after `Retry-After` seconds; nothing was changed.'),
  internal: define(500, 'Something broke on our side', 'Nothing was changed. Tell us the `instance`.'),
} as const;

export type ProblemName = keyof typeof PROBLEMS;
export type Extras<N extends ProblemName> = z.input<(typeof PROBLEMS)[N]['extras']>;

/** A refusal: what the client did, not what we did. `detail` is about this time: it names the thing and the numbers. */
export class Problem<N extends ProblemName = ProblemName> extends Error {
  readonly problem: N;
  readonly extras: Record<string, unknown>;
  readonly headers: Record<string, string>;

  constructor(problem: N, detail: string, extras: Record<string, unknown>, headers: Record<string, string> = {}) {
    super(detail);
    this.problem = problem;
    this.extras = extras;
    this.headers = headers;
  }
}

type ExtrasArgument<N extends ProblemName> = Record<never, never> extends Extras<N> ? [] : [extras: Extras<N>];

/** Refuses. `throw refuse('not-found', 'There is no class …')`. */
export const refuse = <N extends ProblemName>(name: N, detail: string, ...[extras]: ExtrasArgument<N>) =>
  new Problem(name, detail, extras ?? {});

export const notFound = (what: string) => refuse('not-found', `There is no such ${what} here.`);

/** Gives back what is there, or refuses with 404. */
export function found<T>(thing: T | null | undefined, what: string): T {
  if (thing === null || thing === undefined) throw notFound(what);
  return thing;
}

/** One value's fault in a body that is otherwise well formed: 422 with the JSON pointer. */
export const invalid = (pointer: string, detail: string) =>
  refuse('invalid-request', detail, { errors: [{ pointer, detail }] });
