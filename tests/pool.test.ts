import type pg from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createPool } from '../src/platform/db/pool.ts';
import { createLog } from '../src/platform/log.ts';
import { openTestDatabase, type TestDatabase } from './support/database.ts';

let database: TestDatabase;
beforeAll(async () => {
  database = await openTestDatabase();
});
afterAll(() => database.close());

const poolWith = (options: { preparedStatements?: boolean; max?: number }) =>
  createPool({
    url: database.urls.service,
    applicationName: 'matside test',
    max: 1,
    role: null,
    preparedStatements: true,
    log: createLog('silent'),
    ...options,
  });

async function preparedTexts(pool: pg.Pool): Promise<string[]> {
  const { rows } = await pool.query<{ statement: string }>('SELECT statement FROM pg_prepared_statements ORDER BY 1');
  return rows.map((row) => row.statement);
}

describe('named statements', () => {
  test('each text with values that comes often is prepared once on a connection, whichever way it is sent', async () => {
    const pool = poolWith({});
    await pool.query('SELECT $1::int AS seldom', [1]);
    for (const value of [1, 2, 3, 4]) {
      await pool.query('SELECT $1::int AS a', [value]);
      await pool.query({ text: 'SELECT $1::int AS b', values: [value] });
      const { rows } = await pool.query({ text: 'SELECT $1::int AS c', values: [value], rowMode: 'array' });
      expect(rows).toEqual([[value]]);
    }
    expect(await preparedTexts(pool)).toEqual(['SELECT $1::int AS a', 'SELECT $1::int AS b', 'SELECT $1::int AS c']);
    await pool.end();
  });

  test('can be turned off, for a pooler that does not keep them', async () => {
    const pool = poolWith({ preparedStatements: false });
    await pool.query('SELECT $1::int AS a', [1]);
    expect(await preparedTexts(pool)).toEqual([]);
    await pool.end();
  });
});

test('a connection that the server ends, idle or in use, is replaced', async () => {
  const pool = poolWith({ max: 2 });
  const endAll = () =>
    database.ownerPool.query(
      "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND application_name = 'matside test'",
    );
  const inUse = await pool.connect();
  const lost = new Promise((heard) => inUse.once('end', heard));
  await endAll();
  await lost;
  inUse.release(new Error('lost'));
  expect((await pool.query('SELECT 1 AS one')).rows).toEqual([{ one: 1 }]);

  const removed = new Promise((heard) => pool.once('remove', heard));
  await endAll();
  await removed;
  expect((await pool.query('SELECT 1 AS one')).rows).toEqual([{ one: 1 }]);
  await pool.end();
});
