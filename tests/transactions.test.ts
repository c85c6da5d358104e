import { eq, sql } from 'drizzle-orm';
import type pg from 'pg';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createPool } from '../src/platform/db/pool.ts';
import { type Given, statement } from '../src/platform/db/statement.ts';
import { asTenant, type Tx } from '../src/platform/db/tenant.ts';
import { together } from '../src/platform/db/together.ts';
import { newId } from '../src/platform/ids.ts';
import { createLog } from '../src/platform/log.ts';
import { gyms, sessions } from '../src/tables/index.ts';
import { openTestDatabase, type TestDatabase } from './support/database.ts';

let database: TestDatabase;
let pool: pg.Pool;
beforeAll(async () => {
  database = await openTestDatabase();
  const options = { applicationName: 'matside test', role: null, preparedStatements: true, log: createLog('silent') };
  pool = createPool({ url: database.urls.service, max: 1, ...options });
});
afterAll(async () => {
  await pool.end();
  await database.close();
});

const [ours, theirs] = [newId(), newId()];
const franchiseIn = async (tx: Tx) => {
  const { rows } = await tx.execute<{ id: string }>(sql`SELECT current_setting('app.franchise_id', true) AS id`);
  return rows[0]?.id;
};

describe('a transaction that fails', () => {
  test('lets nothing that goes on beside the failure into the next one on its connection', async () => {
    const seen: unknown[] = [];
    const failing = asTenant(pool, ours, {}, async (tx) => {
      const goesOn = async () => {
        for (let step = 0; step < 5; step += 1) seen.push(await franchiseIn(tx));
      };
      const fails = async () => {
        await franchiseIn(tx);
        throw new Error('refused');
      };
      await Promise.all([goesOn(), fails()]);
    });
    const next = asTenant(pool, theirs, {}, async (tx) => {
      const first = await franchiseIn(tx);
      await new Promise((later) => setImmediate(later));
      return [first, await franchiseIn(tx)];
    });
    await expect(failing).rejects.toThrow('refused');
    expect(await next).toEqual([theirs, theirs]);
    expect(seen).toEqual([ours, ours, ours, ours, ours]);
  });

  test('is not taken for done where what failed was passed over', async () => {
    const work = asTenant(pool, ours, {}, async (tx) => {
      await tx.execute(sql`SELECT 1 / 0`).catch(() => undefined);
      return 'done';
    });
    await expect(work).rejects.toThrow('went on after one of its statements failed');
    expect(await asTenant(pool, theirs, {}, franchiseIn)).toBe(theirs);
  });

  test('says that nothing was changed where the connection was lost before the end', async () => {
    const work = asTenant(pool, ours, {}, async (tx) => {
      const { rows } = await tx.execute<{ pid: number }>(sql`SELECT pg_backend_pid() AS pid`);
      await database.ownerPool.query('SELECT pg_terminate_backend($1)', [rows[0]?.pid]);
      return franchiseIn(tx);
    });
    await expect(work).rejects.toMatchObject({ problem: 'busy' });
    expect(await asTenant(pool, theirs, {}, franchiseIn)).toBe(theirs);
  });

  test('tells the first that was sent of those that went out together', async () => {
    const work = asTenant(pool, ours, {}, (tx) => {
      const slowlyTold = async () => {
        await tx.execute(sql`SELECT 1 / 0`).catch(async (fault: unknown) => {
          await Promise.resolve();
          throw fault;
        });
      };
      return together([slowlyTold(), tx.execute(sql`SELECT 1`)]);
    });
    await expect(work).rejects.toMatchObject({ cause: { code: '22012' } });
  });
});

test('together gives what each gave, in order', async () => {
  expect(await together([1, Promise.resolve('two')])).toEqual([1, 'two']);
});

describe('a statement', () => {
  test('of a join that does not say what it selects is refused, not read as if it were the first table’s', async () => {
    const select = statement((tx, given: Given<{ gymId: string }>) =>
      tx
        .select()
        .from(gyms)
        .leftJoin(sessions, eq(sessions.gymId, gyms.id))
        .where(eq(gyms.id, given('gymId'))),
    );
    const asked = asTenant(pool, ours, {}, (tx) => select({ tx, franchiseId: ours }, { gymId: newId() }));
    await expect(asked).rejects.toThrow('"gyms" is neither');
  });
});
