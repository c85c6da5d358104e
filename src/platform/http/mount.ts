import { type Request, type Response, Router } from 'express';
import { rateLimit } from 'express-rate-limit';
import { belongsToGym, type HeldRole, rolesWith, scopesOf } from '../auth/permissions.ts';
import type { Claims } from '../auth/tokens.ts';
import type { Context, PathGym } from '../context.ts';
import { withRetries } from '../db/retries.ts';
import { asTenant, type Tx } from '../db/tenant.ts';
import { recorder } from '../events/record.ts';
import type { Language } from '../language.ts';
import { Problem, refuse } from '../problem.ts';
import { createTurns, type InTurn } from '../turns.ts';
import { readIfMatch, readInput, sendProblem, sendReply } from './answer.ts';
import { fingerprintOf, once, readIdempotencyKey } from './idempotency.ts';
import { answersInReadersLanguage, languageFor, speaks } from './language.ts';
import type { Streams } from './rooms.ts';
import type { AnyReply, Route, Services, StreamRoute, TenantRoute } from './route.ts';
import { readLastEventId, stateMessage } from './stream.ts';

/**
 * Who a token's account is in its franchise, at this moment, and the gym asked for, where it is one of the franchise's;
 * refuses an account that is signed out or deactivated.
 */
export type Identify = (
  tx: Tx,
  claims: Claims,
  gymId: string | null,
) => Promise<{ personId: string | null; roles: readonly HeldRole[]; gym: PathGym | null }>;

export interface Mounting extends Services {
  identify: Identify;
  limits: { requestsAMinute: number; signInsAMinute: number };
  streams: Streams;
  /** Sees every answer before it is sent, refusals apart; the place to check it against its contract. */
  onAnswer?: (route: Route, reply: AnyReply) => void;
}

/** Refuses unless the caller's roles open this route here: 404 where they may not know the gym, else 403. */
function mayEnter(
  route: TenantRoute | StreamRoute,
  roles: readonly HeldRole[],
  gymId: string | null,
  gym: PathGym | null,
): void {
  if (gymId !== null && !(gym !== null && belongsToGym(roles, gymId)))
    throw refuse('not-found', 'There is no such gym here.');
  if (route.permission === 'signed-in') return;
  const held = scopesOf(roles, route.permission, route.anyGym ? 'any' : gymId);
  if (!route.scopes.some((scope) => held.has(scope))) {
    const who = rolesWith(route.permission, route.scopes).join(', ');
    throw refuse('not-allowed', `This needs the permission ${route.permission}; it comes with the role of: ${who}.`, {
      permission: route.permission,
    });
  }
}

/** Puts every route on a router: who, may they, parse, open the transaction, do it, commit, encode. */
export function mount(routes: readonly Route[], deps: Mounting): Router {
  const router = Router({ strict: true });
  const writing = writingInTurn(deps.pool.options.max ?? 10);
  const limit = (perMinute: number, keyOf: (request: Request, response: Response) => string) =>
    rateLimit({
      windowMs: 60_000,
      limit: perMinute,
      standardHeaders: 'draft-8',
      legacyHeaders: false,
      keyGenerator: keyOf,
      validate: false,
      handler: (_request, response, _next, options) =>
        sendProblem(
          response,
          response.locals.requestId,
          refuse('too-many-requests', `At most ${options.limit} requests a minute; wait a little.`),
        ),
    });
  const signedInLimit = limit(deps.limits.requestsAMinute, (_request, response) => response.locals.claims.accountId);
  const publicLimit = limit(deps.limits.signInsAMinute, (request) => request.ip ?? 'unknown');

  for (const route of routes) {
    const path = expressPath(route);
    const limiter = route.kind === 'public' ? publicLimit : signedInLimit;
    const hasSentences = speaks(route);
    router[route.method](
      path,
      (request, response, next) => {
        response.locals.language = languageFor(request);
        if (hasSentences) response.vary('Accept-Language');
        if (route.kind !== 'public') response.locals.claims = claimsOf(route, request, deps);
        next();
      },
      limiter,
      async (request, response) => {
        if (route.kind === 'stream') return openStream(route, request, response, deps);
        const read = await answer(route, request, response, deps, writing);
        const reply = read.later ? await read.later() : read;
        deps.onAnswer?.(route, reply);
        sendReply(route, request, response, reply);
      },
    );
  }
  for (const [path, methods] of methodsByPath(routes)) {
    const allow = [...methods, ...(methods.includes('GET') ? ['HEAD'] : []), 'OPTIONS'].sort().join(', ');
    router.all(path, (request, response) => {
      if (request.method !== 'OPTIONS') {
        throw new Problem('method-not-allowed', `It takes ${allow}, not ${request.method}.`, {}, { Allow: allow });
      }
      response.status(204).set('Allow', allow).end();
    });
  }
  return router;
}

const MOST_WAITING = 500;

/**
 * Lets at most half of the pool's connections write for one franchise at once: whoever waits there for a lock keeps no
 * reader, and no other franchise, from a connection.
 */
function writingInTurn(connections: number): (franchiseId: string) => InTurn {
  const turns = new Map<string, InTurn>();
  return (franchiseId) => {
    const known = turns.get(franchiseId) ?? createTurns(Math.max(1, Math.floor(connections / 2)), MOST_WAITING);
    turns.set(franchiseId, known);
    return known;
  };
}

/** The methods of each path. */
function methodsByPath(routes: readonly Route[]): Map<string, string[]> {
  const byPath = new Map<string, string[]>();
  for (const route of routes) {
    const path = expressPath(route);
    byPath.set(path, [...(byPath.get(path) ?? []), route.method.toUpperCase()]);
  }
  return byPath;
}

const expressPath = (route: Route) => route.path.replaceAll(/\{(\w+)\}/g, ':$1');

function claimsOf(route: Route, request: Request, deps: Services): Claims {
  const { ticket } = request.query;
  if (route.kind === 'stream' && typeof ticket === 'string') {
    return deps.tokens.readStreamTicket(ticket, request.path.toLowerCase());
  }
  const [scheme, token, ...more] = (request.get('Authorization') ?? '').split(' ');
  if (scheme?.toLowerCase() !== 'bearer' || !token || more.length > 0) {
    throw refuse('not-signed-in', 'Send an access token: `Authorization: Bearer …`.');
  }
  return deps.tokens.read(token);
}

async function answer(
  route: Exclude<Route, StreamRoute>,
  request: Request,
  response: Response,
  deps: Mounting,
  writing: (franchiseId: string) => InTurn,
): Promise<AnyReply> {
  const requestId: string = response.locals.requestId;
  const language: Language = response.locals.language;
  const door = { ...deps, requestId };
  if (route.kind === 'public') {
    return route.handler(door, { ...readInput(route, request), ifMatch: 0 });
  }

  const claims: Claims = response.locals.claims;
  const gymId = gymOf(request);
  const transact = <T>(
    options: { readOnly?: boolean; rollback?: boolean },
    work: (ctx: Context & { accountId: string }) => Promise<T>,
  ) => {
    const { franchiseId, accountId } = claims;
    const attempt = async () => {
      const gyms = new Set<string | null>();
      const done = await asTenant(deps.pool, franchiseId, options, async (tx) => {
        const { personId, roles, gym } = await deps.identify(tx, claims, gymId);
        const facts = { tx, franchiseId, accountId, personId, roles, gym, language, requestId, now: deps.now() };
        return work({ ...facts, record: recorder(facts, gyms) });
      });
      // That something was read changes nothing for anybody.
      if (!options.rollback && route.method !== 'get') deps.tell(franchiseId, gyms);
      return done;
    };
    return options.readOnly ? attempt() : writing(franchiseId)(() => withRetries(attempt));
  };
  if (route.kind === 'detached') {
    const input = { ...readInput(route, request), ifMatch: 0 };
    return route.handler(door, { ...claims, transact: (work) => transact({}, work) }, input);
  }

  const readOnly = route.method === 'get' && !route.traced;
  const rollback = !readOnly && route.dryRun && request.query.dryRun === 'true';
  const key = route.method === 'post' ? readIdempotencyKey(request.get('Idempotency-Key')) : null;
  return transact({ readOnly, rollback }, async (ctx) => {
    mayEnter(route, ctx.roles, gymId, ctx.gym);
    const input = readInput(route, request);
    const ifMatch = route.ifMatch ? readIfMatch(request) : 0;
    const asked = { signInId: claims.signInId, tokens: deps.tokens };
    // The language goes with the answer: a replay says the one that the answer was kept in.
    const work = async () => inLanguage(language, route, await route.handler(ctx, { ...input, ifMatch }, asked));
    if (key === null || rollback) return work();
    const fingerprint = fingerprintOf(request.method, request.originalUrl, request.get('If-Match'), request.body);
    const { answer: kept, replayed } = await once(ctx, key, fingerprint, work);
    return replayed ? { ...kept, headers: { ...kept.headers, 'Idempotency-Replay': 'true' } } : kept;
  });
}

const inLanguage = (language: Language, route: Route, reply: AnyReply): AnyReply =>
  answersInReadersLanguage(route, reply.status)
    ? { ...reply, headers: { ...reply.headers, 'Content-Language': language } }
    : reply;

/** Lets a reader in as any GET does, then hands them over to the streams, which hold no transaction. */
async function openStream(route: StreamRoute, request: Request, response: Response, deps: Mounting): Promise<void> {
  const claims: Claims = response.locals.claims;
  const gymId = gymOf(request);
  if (gymId === null) throw new Error(`the stream ${route.name} names no gym`);
  const admit = async (tx: Tx, who: Claims) => {
    const { personId, roles, gym } = await deps.identify(tx, who, gymId);
    mayEnter(route, roles, gymId, gym);
    return { personId, roles, gym };
  };
  await asTenant(deps.pool, claims.franchiseId, { readOnly: true }, (tx) => admit(tx, claims));
  const input = { ...readInput(route, request), ifMatch: 0 };
  const { language, requestId } = response.locals;
  if (request.method === 'HEAD') {
    const headers = { 'Content-Type': 'text/event-stream', 'Content-Language': language, 'Cache-Control': 'no-store' };
    return void response.writeHead(200, headers).end();
  }
  const showing = {
    name: `${route.name} ${request.path.toLowerCase()}`,
    franchiseId: claims.franchiseId,
    gymId,
    admit,
    read: async (ctx: Context) => {
      const state = await route.handler(ctx, input);
      deps.onAnswer?.(route, { status: 200, body: state });
      return stateMessage(route.event, state, route.asOf);
    },
  };
  const lastEventId = readLastEventId(request.get('Last-Event-ID'));
  deps.streams.open(showing, { claims, language, requestId, lastEventId, response });
}

const UUID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** The gym in the path; refuses one that is no id, as not found. */
function gymOf(request: Request): string | null {
  const { gymId } = request.params;
  if (typeof gymId !== 'string') return null;
  const id = gymId.toLowerCase();
  if (!UUID.test(id)) throw refuse('not-found', 'There is no such gym here.');
  return id;
}
