import { describe, expect, test } from 'vitest';
import { errorForLog, requestForLog } from './log.ts';

test('of a query only the names are logged', () => {
  expect(requestForLog({ method: 'GET', url: '/v1/people?name=Ada&name=Bo&limit=5' })).toEqual({
    method: 'GET',
    path: '/v1/people?name=…&limit=…',
  });
  expect(requestForLog({ method: 'GET', url: '/v1/me' }).path).toBe('/v1/me');
});

describe('an error', () => {
  test('loses the parameters of its statement, and the row that PostgreSQL quotes', () => {
    const cause = Object.assign(new Error('duplicate key value violates unique constraint "accounts_email"'), {
      code: '23505',
      constraint: 'accounts_email',
      detail: 'Key (email)=(ada@example.org) already exists.',
    });
    const error = new Error('Failed query: insert into "accounts"\nparams: ada@example.org', { cause });
    const logged = errorForLog(error);
    expect(logged).toMatchObject({
      message: 'Failed query: insert into "accounts"',
      cause: { code: '23505', constraint: 'accounts_email' },
    });
    expect(JSON.stringify(logged)).not.toContain('ada@');
  });

  test('loses faulty input', () => {
    const error = Object.assign(new Error('invalid input syntax for type uuid: "Ada"'), { code: '22P02' });
    expect(errorForLog(error).message).toBe('invalid input syntax for type uuid');
  });

  test('keeps where it happened', () => {
    expect(errorForLog(new Error('x')).stack[0]).toMatch(/^at .*log\.test\.ts/);
  });

  test('that is none is not quoted', () => {
    expect(JSON.stringify(errorForLog('ada@example.org'))).not.toContain('ada@');
  });
});
