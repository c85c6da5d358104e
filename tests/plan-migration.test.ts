import { randomBytes } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import pg from 'pg';
import { afterAll, beforeAll, expect, inject, test } from 'vitest';
import { MIGRATIONS } from '../src/platform/db/migrate.ts';
import { newId } from '../src/platform/ids.ts';

/** The migration that brought focus, pieces, doses and choices. */
const NEW_SHAPE = '0008_curriculum';

const run = randomBytes(6).toString('hex');
const owner = `matside_test_${run}_owner`;
const database = `matside_test_${run}`;
let server: pg.Client;
let client: pg.Client;
beforeAll(async () => {
  const { ownerUrl } = inject('postgres');
  server = new pg.Client({ connectionString: ownerUrl });
  await server.connect();
  // Held to the row policies like an owner that a hosting firm gives out: no superuser.
  await server.query(`CREATE ROLE ${owner} LOGIN NOSUPERUSER NOBYPASSRLS PASSWORD '${run}'`);
  await server.query(`CREATE DATABASE ${database} OWNER ${owner}`);
  const url = new URL(ownerUrl);
  url.pathname = `/${database}`;
  url.username = owner;
  url.password = run;
  client = new pg.Client({ connectionString: url.href });
  await client.connect();
});
afterAll(async () => {
  await client.end();
  await server.query(`DROP DATABASE ${database} WITH (FORCE)`);
  await server.query(`DROP ROLE ${owner}`);
  await server.end();
});

/** The migrations before the new shape, and from it on, each as its statements. */
async function migrations(): Promise<{ before: string[]; from: string[] }> {
  const files = (await readdir(MIGRATIONS)).filter((name) => name.endsWith('.sql')).sort();
  const statements = async (names: string[]) =>
    (await Promise.all(names.map((name) => readFile(join(MIGRATIONS, name), 'utf8')))).flatMap((text) =>
      text.split('--> statement-breakpoint'),
    );
  const at = files.indexOf(`${NEW_SHAPE}.sql`);
  expect(at).toBeGreaterThan(0);
  return { before: await statements(files.slice(0, at)), from: await statements(files.slice(at)) };
}

async function apply(statements: readonly string[]): Promise<void> {
  await client.query('BEGIN');
  for (const statement of statements) await client.query(statement);
  await client.query('COMMIT');
}

test('plans that were written before keep their words, their drills and what they stand on', async () => {
  const { before, from } = await migrations();
  await apply(before);
  const franchise = newId();
  const [bars, mat, drill, plan, version, block, station, other, step] = Array.from({ length: 9 }, newId);
  await client.query("SELECT set_config('app.franchise_id', $1, false)", [franchise]);
  const insert = (table: string, row: Record<string, unknown>) => {
    const columns = Object.keys({ franchise_id: franchise, ...row });
    const values = [franchise, ...Object.values(row)];
    return client.query(
      `INSERT INTO ${table} (${columns.join(', ')}) VALUES (${columns.map((_, at) => `$${at + 1}`).join(', ')})`,
      values,
    );
  };
  await insert('apparatus', { id: bars, name: 'Bars' });
  await insert('apparatus', { id: mat, name: 'Floor' });
  const turn = { say_first: '', spotting_mode: 'none', seconds_a_turn: 20, places: 1 };
  await insert('drills', { id: drill, name: 'Long hang', apparatus_id: bars, ...turn });
  await insert('lesson_plans', { id: plan, title: 'Swings', week_of: '2026-09-07' });
  await insert('plan_versions', { id: version, plan_id: plan, number: 1, state: 'published' });
  const said = { activity: 'apparatus', minutes: 15, class_rule: '', stations_run: 'side-by-side' };
  await insert('plan_blocks', { id: block, plan_version_id: version, position: 1, title: 'Bars', ...said });
  const setUp = 'A low bar with a thick mat under it.';
  const standing = { plan_block_id: block, items: 1, set_up: setUp };
  const asked = { mode: 'hands-on', kind: newId(), grade: 1, skills: [] };
  const published = { ...standing, spotting: JSON.stringify(asked) };
  await insert('plan_stations', { id: station, position: 1, name: 'Low bar', apparatus_id: bars, ...published });
  await insert('plan_stations', { id: other, position: 2, name: 'Mat', apparatus_id: mat, ...standing });
  const words = 'four turns, slowly';
  await insert('plan_steps', {
    id: step,
    station_id: station,
    position: 1,
    drill_id: drill,
    dose: words,
    weight: 'core',
  });
  await client.query("SELECT set_config('app.franchise_id', '', false)");

  await apply(from);

  await client.query("SELECT set_config('app.franchise_id', $1, false)", [franchise]);
  const all = async (text: string) => (await client.query(text)).rows;
  expect(await all('SELECT set_up, places, stays_up FROM plan_stations ORDER BY position')).toEqual([
    { set_up: setUp, places: null, stays_up: false },
    { set_up: setUp, places: null, stays_up: false },
  ]);
  expect(await all('SELECT dose, dose_amount, dose_unit, dose_sets, dose_each_side FROM plan_steps')).toEqual([
    { dose: words, dose_amount: null, dose_unit: null, dose_sets: 1, dose_each_side: false },
  ]);
  // Each drill keeps what its station asked when it was published, whatever the library says.
  expect(await all('SELECT step_id, drill_id, position, spotting FROM plan_step_drills')).toEqual([
    { step_id: step, drill_id: drill, position: 1, spotting: asked },
  ]);
  expect(await all('SELECT apparatus_id, position FROM plan_block_apparatus ORDER BY position')).toEqual([
    { apparatus_id: bars, position: 1 },
    { apparatus_id: mat, position: 2 },
  ]);
  expect(await all('SELECT formation, importance FROM plan_blocks')).toEqual([
    { formation: 'stations', importance: 1 },
  ]);
  const { rows } = await client.query('SELECT relname FROM pg_class WHERE relrowsecurity AND NOT relforcerowsecurity');
  expect(rows).toEqual([]);
});
