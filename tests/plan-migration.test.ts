import { afterAll, beforeAll, expect, test } from 'vitest';
import { newId } from '../src/platform/ids.ts';
import { type OlderDatabase, olderThan } from './support/older-database.ts';

let older: OlderDatabase;
beforeAll(async () => {
  older = await olderThan('0008_curriculum');
});
afterAll(() => older.close());

test('plans that were written before keep their words, their drills and what they stand on', async () => {
  const { owner: client } = older;
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

  await older.migrate();

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
