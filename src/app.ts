import express, { type NextFunction, type Request, type Response } from 'express';
import { pinoHttp } from 'pino-http';
import { identify } from './features/identity/identify.ts';
import { sendProblem } from './platform/http/answer.ts';
import { type Mounting, mount } from './platform/http/mount.ts';
import { pages } from './platform/http/pages.ts';
import { newId } from './platform/ids.ts';
import { errorForLog, requestForLog } from './platform/log.ts';
import { Problem, refuse } from './platform/problem.ts';
import { routes } from './routes.ts';

export interface AppOptions extends Omit<Mounting, 'identify'> {
  /** Can it serve: database reachable, not shutting down? */
  isReady: () => Promise<boolean>;
  /** How many proxies in front say who called them. */
  trustedProxies: number;
}

const REQUEST_ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/;

/** The whole service as an Express application: health, reference, problem pages, and the routes under /v1. */
export function createApp(options: AppOptions): express.Express {
  const app = express();
  app
    .disable('x-powered-by')
    .disable('etag')
    .set('query parser', 'simple')
    .set('case sensitive routing', true)
    .set('trust proxy', options.trustedProxies);

  app.use((request, response, next) => {
    const sent = request.get('X-Request-Id');
    const requestId = sent && REQUEST_ID.test(sent) ? sent : newId();
    response.locals.requestId = requestId;
    response.set({
      'X-Request-Id': requestId,
      'X-Content-Type-Options': 'nosniff',
      'X-Frame-Options': 'DENY',
      'Referrer-Policy': 'no-referrer',
      'Content-Security-Policy': "default-src 'none'; frame-ancestors 'none'",
    });
    next();
  });
  app.use(
    pinoHttp<Request, Response>({
      logger: options.log,
      genReqId: (_request, response) => response.locals.requestId,
      wrapSerializers: false,
      serializers: {
        req: (request: Request) => ({ id: request.id, ...requestForLog(request) }),
        res: ({ statusCode }: Response) => ({ statusCode }),
        err: errorForLog,
      },
      autoLogging: { ignore: ({ url }) => url?.startsWith('/health/') ?? false },
    }),
  );

  app.get('/health/live', (_request, response) => {
    response.json({ status: 'live' });
  });
  app.get('/health/ready', async (_request, response) => {
    const ready = await options.isReady();
    response.status(ready ? 200 : 503).json({ status: ready ? 'ready' : 'not ready' });
  });
  app.use(pages(routes));
  app.use('/v1', express.json({ limit: '1mb', strict: false }), mount(routes, { ...options, identify }));

  app.use((request) => {
    throw refuse('no-such-route', `There is no ${request.method} ${request.path.slice(0, 200)}.`);
  });
  app.use((error: unknown, request: Request, response: Response, next: NextFunction) => {
    if (response.headersSent) return next(error);
    const fault = fromExpress(error) ?? error;
    if (!(fault instanceof Problem)) request.log.error({ err: fault }, 'a request failed on our side');
    sendProblem(response, response.locals.requestId, fault);
  });
  return app;
}

/** What the router and the body's parser refuse by themselves, as problems; null for anything else. */
function fromExpress(error: unknown): Problem | null {
  if (error instanceof URIError) return refuse('not-found', 'The address has a "%" that escapes nothing.');
  if (!(error instanceof Error) || !('status' in error)) return null;
  switch (error.status) {
    case 400:
      return refuse('malformed-json', 'The body cannot be read as JSON, or not to its end.');
    case 413:
      return refuse('body-too-large', 'The body is larger than 1 MiB.');
    case 415:
      return refuse('wrong-content-type', 'Send UTF-8, plain or with gzip, deflate or br.');
    default:
      return null;
  }
}
