import pino, { type Logger } from 'pino';
import { errorCode } from './cannot-start.ts';

export type Log = Logger;

export const LOG_LEVELS = ['silent', 'fatal', 'error', 'warn', 'info', 'debug', 'trace'] as const;
export type LogLevel = (typeof LOG_LEVELS)[number];

/**
 * The service's log: JSON lines on standard output. It never holds personal data: of a request only what
 * `requestForLog` gives, of an error only what `errorForLog` gives, and no secret under any of the names below.
 */
export function createLog(level: LogLevel): Log {
  const secrets = ['authorization', 'cookie', 'password', 'token', 'accessToken', 'refreshToken', 'secret'];
  return pino({
    level,
    base: { service: 'matside' },
    timestamp: pino.stdTimeFunctions.isoTime,
    serializers: { err: errorForLog, error: errorForLog },
    redact: {
      paths: secrets.flatMap((name) => [name, `*.${name}`, `*.*.${name}`, `*.*.*.${name}`]),
      censor: '[hidden]',
    },
  });
}

/** Method and path of a request; of its query only the names, since values may be somebody's name or address. */
export function requestForLog(request: { method: string; url: string }): { method: string; path: string } {
  const { pathname, searchParams } = new URL(request.url, 'http://any');
  const names = [...new Set(searchParams.keys())].map((name) => `${name}=…`);
  return { method: request.method, path: names.length === 0 ? pathname : `${pathname}?${names.join('&')}` };
}

export interface LoggedError {
  type: string;
  message: string;
  code?: string;
  constraint?: string;
  stack: string[];
  cause?: LoggedError;
}

/**
 * An error without the values it was about: drizzle puts a statement's parameters in its message, PostgreSQL puts
 * the row in `detail` and the faulty input behind the colon of a data exception (class 22).
 */
export function errorForLog(error: unknown): LoggedError {
  if (!(error instanceof Error))
    return { type: typeof error, message: 'something that is no Error was thrown', stack: [] };
  const code = errorCode(error);
  const withoutParameters = error.message.split('\nparams:')[0] ?? '';
  const message = code?.startsWith('22') ? (withoutParameters.split(':')[0] ?? '') : withoutParameters;
  return {
    type: error.name,
    message,
    ...(code === null ? {} : { code }),
    ...('constraint' in error && typeof error.constraint === 'string' ? { constraint: error.constraint } : {}),
    stack: (error.stack ?? '')
      .split('\n')
      .filter((line) => line.startsWith('    at '))
      .map((line) => line.trim()),
    ...(error.cause === undefined ? {} : { cause: errorForLog(error.cause) }),
  };
}
