import type { Pool } from 'pg';
import { z } from 'zod';
import type { Passwords } from '../auth/passwords.ts';
import type { Permission, Scope } from '../auth/permissions.ts';
import type { Tokens } from '../auth/tokens.ts';
import type { Context } from '../context.ts';
import type { Tell } from '../events/hints.ts';
import type { Log } from '../log.ts';
import type { ProblemName } from '../problem.ts';

type Shape = z.ZodType;
export type Returns = Record<number, Shape | null>;

export interface Contract<P extends Shape, Q extends Shape, B extends Shape, R extends Returns> {
  method: 'get' | 'post' | 'put' | 'patch' | 'delete';
  /** Below /v1, with parameters in braces: `/gyms/{gymId}/blocks`. */
  path: `/${string}`;
  /** The operation's id: a verb and a noun. */
  name: string;
  tag: string;
  summary: string;
  description?: string;
  params?: P;
  query?: Q;
  body?: B;
  /** What may be answered, by status; null is an empty body. */
  returns: R;
  /** Refusals of its own; those that every route shares are added. */
  problems?: readonly ProblemName[];
  /** It can be asked as a question: `?dryRun=true` does everything, answers the same, and keeps nothing. */
  dryRun?: true;
  /** A second writer could lose something: the answer carries an ETag from its `revision`, the request an If-Match. */
  ifMatch?: true;
  etag?: true;
  /** Reading it leaves a line in the audit trail: a GET whose transaction may write. */
  traced?: true;
  /** What a good answer is where it is not JSON: its body is then a text of that type. */
  answers?: MediaType;
}

/** `application/pdf` is bytes: its body holds one a character (latin1). */
export type MediaType = 'image/svg+xml' | 'text/csv' | 'application/jsonl' | 'text/html' | 'application/pdf';

/** What a handler is given. */
export interface Input<P, Q, B> {
  params: P;
  query: Q;
  body: B;
  /** The revision that the caller read; there when the contract says `ifMatch`. */
  ifMatch: number;
}

export type Reply<R extends Returns> = {
  [S in keyof R & number]: {
    status: S;
    body: R[S] extends Shape ? z.input<R[S]> : null;
    headers?: Record<string, string>;
  };
}[keyof R & number];

/** What a route that opens its own transactions, or none, is given. */
export interface Services {
  pool: Pool;
  now: () => Date;
  log: Log;
  tokens: Tokens;
  passwords: Passwords;
  publicUrl: () => string;
  /** Hears where something happened, once it is committed. */
  tell: Tell;
}
export interface Door extends Services {
  requestId: string;
}

/** A caller outside any transaction; `transact` runs work in one. */
export interface Caller {
  accountId: string;
  franchiseId: string;
  signInId: string;
  transact<T>(work: (ctx: Context) => Promise<T>): Promise<T>;
}

interface Base {
  method: Contract<Shape, Shape, Shape, Returns>['method'];
  path: string;
  name: string;
  tag: string;
  summary: string;
  description: string | null;
  params: Shape | null;
  query: Shape | null;
  body: Shape | null;
  returns: Returns;
  problems: readonly ProblemName[];
  dryRun: boolean;
  ifMatch: boolean;
  etag: boolean;
  traced: boolean;
  answers: 'application/json' | 'text/event-stream' | MediaType;
}

/** How the caller is signed in, for what hands out more of it. */
export interface Asked {
  signInId: string;
  tokens: Tokens;
}

type AnyInput = Input<never, never, never>;
export interface AnyReply {
  status: number;
  body: unknown;
  headers?: Record<string, string>;
  /** Makes the answer, once what was read for it is committed. */
  later?: () => Promise<AnyReply>;
}

/** Inside one transaction, with a permission (or just signed in). */
export interface TenantRoute extends Base {
  kind: 'tenant';
  permission: Permission | 'signed-in';
  scopes: readonly Scope[];
  anyGym: boolean;
  handler: (ctx: Context, input: AnyInput, asked: Asked) => Promise<AnyReply>;
}
/** No token needed. */
export interface PublicRoute extends Base {
  kind: 'public';
  handler: (door: Door, input: AnyInput) => Promise<AnyReply>;
}
/** Signed in, but hashing, solving or streaming between transactions. */
export interface DetachedRoute extends Base {
  kind: 'detached';
  handler: (door: Door, caller: Caller, input: AnyInput) => Promise<AnyReply>;
}
/** A GET whose answer is a stream: the state as it is now, and again whenever it has changed. */
export interface StreamRoute extends Base {
  kind: 'stream';
  method: 'get';
  permission: Permission;
  scopes: readonly Scope[];
  anyGym: false;
  /** The name of its messages. */
  event: string;
  /** The field that says only when the state was read. */
  asOf: string;
  handler: (ctx: Context, input: AnyInput) => Promise<Record<string, unknown>>;
}
export type Route = TenantRoute | PublicRoute | DetachedRoute | StreamRoute;

const baseOf = (contract: Contract<Shape, Shape, Shape, Returns>): Base => ({
  method: contract.method,
  path: contract.path,
  name: contract.name,
  tag: contract.tag,
  summary: contract.summary,
  description: contract.description ?? null,
  params: contract.params ?? null,
  query: contract.query ?? null,
  body: contract.body ?? null,
  returns: contract.returns,
  problems: contract.problems ?? [],
  dryRun: contract.dryRun ?? false,
  ifMatch: contract.ifMatch ?? false,
  etag: contract.etag ?? contract.ifMatch ?? false,
  traced: contract.traced ?? false,
  answers: contract.answers ?? 'application/json',
});

const Nothing = z.undefined();
type Nothing = typeof Nothing;

/**
 * A route as data: the schemas give the handler its types, the request its check, the answer its shape and the
 * document its text. `scopes` says which scopes of the permission open the door (default: franchise and gym); an
 * operation that lets `own` or `own-blocks` in narrows to those records itself. `anyGym` opens a route that names no
 * gym to whoever holds the permission at some gym; its operation narrows to `gymsFor(ctx.roles, permission)`.
 */
export function route<
  R extends Returns,
  P extends Shape = Nothing,
  Q extends Shape = Nothing,
  B extends Shape = Nothing,
>(contract: Contract<P, Q, B, R> & { permission: Permission | 'signed-in'; scopes?: readonly Scope[]; anyGym?: true }) {
  type Handler<T> = (ctx: Context, input: Input<z.output<P>, z.output<Q>, z.output<B>>, asked: Asked) => Promise<T>;
  const handled = (handler: TenantRoute['handler']): TenantRoute => ({
    ...baseOf(contract),
    kind: 'tenant',
    permission: contract.permission,
    scopes: contract.scopes ?? ['franchise', 'gym'],
    anyGym: contract.anyGym ?? false,
    handler,
  });
  return {
    handle: (handler: Handler<Reply<R>>): TenantRoute => handled(handler),
    /** For a GET whose answer takes long to make: the handler reads, and gives what makes it with no transaction open. */
    handleThenMake: (handler: Handler<() => Promise<Reply<R>>>): TenantRoute =>
      handled(async (ctx, input, asked) => ({ status: 200, body: null, later: await handler(ctx, input, asked) })),
  };
}

/** What a browser sends whose requests cannot carry an access token. */
const StreamQuery = z.strictObject({
  ticket: z
    .string()
    .max(2000)
    .optional()
    .meta({ description: 'A ticket for this stream, where no access token can be sent' }),
});

/**
 * A state that is pushed: server-sent events, each the whole state as this reader may see it. The handler reads it, in
 * a transaction of its own, and for all who may see the same at once: of `ctx` it has the roles at the gym, and the
 * person only where a permission reaches no further than their blocks. The route names a gym. `asOf` is the state's
 * field that says when it was read.
 */
export function streamRoute<T extends z.ZodObject, P extends Shape>(
  contract: Pick<Contract<P, Nothing, Nothing, Returns>, 'name' | 'tag' | 'summary' | 'description' | 'problems'> & {
    path: `/gyms/{gymId}/${string}`;
    params: P;
    permission: Permission;
    scopes?: readonly Scope[];
    event: string;
    state: T;
    asOf: keyof z.input<T> & string;
  },
) {
  return {
    handle: (
      handler: (ctx: Context, input: Pick<Input<z.output<P>, undefined, undefined>, 'params'>) => Promise<z.input<T>>,
    ): StreamRoute => ({
      ...baseOf({ ...contract, method: 'get', query: StreamQuery, returns: { 200: contract.state } }),
      answers: 'text/event-stream',
      kind: 'stream',
      method: 'get',
      permission: contract.permission,
      scopes: contract.scopes ?? ['franchise', 'gym'],
      anyGym: false,
      event: contract.event,
      asOf: contract.asOf,
      handler,
    }),
  };
}

/** A route that anybody may call. */
export function publicRoute<
  R extends Returns,
  P extends Shape = Nothing,
  Q extends Shape = Nothing,
  B extends Shape = Nothing,
>(contract: Contract<P, Q, B, R>) {
  return {
    handle: (
      handler: (door: Door, input: Input<z.output<P>, z.output<Q>, z.output<B>>) => Promise<Reply<R>>,
    ): PublicRoute => ({ ...baseOf(contract), kind: 'public', handler }),
  };
}

/** A route for anybody signed in that runs its own transactions. */
export function detachedRoute<
  R extends Returns,
  P extends Shape = Nothing,
  Q extends Shape = Nothing,
  B extends Shape = Nothing,
>(contract: Contract<P, Q, B, R>) {
  return {
    handle: (
      handler: (door: Door, caller: Caller, input: Input<z.output<P>, z.output<Q>, z.output<B>>) => Promise<Reply<R>>,
    ): DetachedRoute => ({ ...baseOf(contract), kind: 'detached', handler }),
  };
}

/** An answer with its status kept literal. */
export const reply = <const S extends number, B>(status: S, body: B, headers?: Record<string, string>) =>
  headers === undefined ? { status, body } : { status, body, headers };
export const ok = <B>(body: B) => ({ status: 200 as const, body });
export const created = <B>(body: B) => ({ status: 201 as const, body });
export const noContent = () => ({ status: 204 as const, body: null });
